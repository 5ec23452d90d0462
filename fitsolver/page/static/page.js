// The page works without this; with it, what is typed is kept and decided at once, and a gauge
// that types its reading and Enter walks through the grid by itself.
"use strict";

const WAIT = 350; // milliseconds of quiet before what was typed is sent

function walk(form) {
  form.addEventListener("keydown", (event) => {
    const field = event.target;
    if (event.key !== "Enter" || field.tagName !== "INPUT" || field.type === "checkbox") return;
    event.preventDefault(); // Enter goes on; it never sends a form half filled
    const stops = [...form.querySelectorAll("input[data-walk]")];
    const every = [...form.querySelectorAll("input:not([type=hidden]), select, button")];
    const after = stops[stops.indexOf(field) + 1];
    const next = stops.includes(field) ? after : every[every.indexOf(field) + 1];
    if (next) {
      next.focus();
      if (next.select) next.select();
    } else {
      const button = form.querySelector("button:not(.first-button):not(.quiet)");
      if (button) button.focus();
    }
  });
}

function live(form) {
  const outcome = document.getElementById("outcome");
  const kept = document.getElementById("kept");
  let timer = 0;
  let running = null;
  let changed = false;

  async function send() {
    if (running) { changed = true; return; }
    changed = false;
    running = new AbortController();
    kept.textContent = "working ...";
    try {
      const body = new URLSearchParams(new FormData(form));
      const response = await fetch(form.dataset.live, { method: "POST", body, signal: running.signal });
      const found = await response.json();
      if (!response.ok) {
        kept.textContent = found.message || "this was refused";
      } else {
        form.elements.version.value = found.version;
        show(found);
        kept.textContent = "kept";
      }
    } catch (error) {
      kept.textContent = "not kept: the page cannot be reached; it is tried again";
      timer = setTimeout(send, 3000);
    }
    running = null;
    if (changed) send();
  }

  function show(found) {
    outcome.innerHTML = found.outcome; // made and escaped by the server's own template
    for (const mark of form.querySelectorAll(".mark")) {
      const field = form.elements[mark.id.replace(/-mark$/, "")];
      const said = found.marks[mark.id.replace(/-mark$/, "")] || "";
      if (mark.textContent !== said) mark.textContent = said;
      if (field) {
        if (said) field.setAttribute("aria-invalid", "true");
        else field.removeAttribute("aria-invalid");
      }
    }
  }

  form.addEventListener("input", () => {
    clearTimeout(timer);
    kept.textContent = "";
    timer = setTimeout(send, WAIT);
  });
  form.addEventListener("submit", () => clearTimeout(timer));
}

document.addEventListener("DOMContentLoaded", () => {
  const bench = document.getElementById("bench");
  if (bench) { walk(bench); live(bench); }
  for (const form of document.querySelectorAll("[data-walk-form]")) walk(form);
  for (const here of document.querySelectorAll(".top [aria-current]")) {
    here.parentElement.scrollLeft = here.offsetLeft - here.parentElement.clientWidth / 3;
  }
  const fresh = document.getElementById(location.hash.slice(1)); // what a button has just added
  if (fresh && fresh.matches("input, select")) fresh.focus();
});
