// Where the page cannot be reached: a copy of what was last seen is kept in the browser, and what
// is typed into a pass stays until that pass is entered. Nothing of it is needed for the work.
"use strict";

const COPIES = "fitsolver-copies";
const MOST = 40; // pages of which a copy is kept
const WAIT = 1500; // milliseconds of quiet before a copy is made
const SEEN = "The page cannot be reached: this is as it was last seen here. What you type is kept in this browser and sent later.";
const AWAY = "The page cannot be reached. What you typed stays here and is sent later; a button may be pressed again.";
let copying = 0;

// --- a copy of what is seen -----------------------------------------------------------------------

function html() {
  const copy = document.documentElement.cloneNode(true);
  const live = [...document.querySelectorAll("input, select, textarea")];
  [...copy.querySelectorAll("input, select, textarea")].forEach((field, place) => {
    const { type, value, checked } = live[place];
    if (type === "checkbox") field.toggleAttribute("checked", checked);
    else if (field.tagName === "TEXTAREA") field.textContent = value;
    else if (field.tagName === "INPUT" && type !== "file") field.setAttribute("value", value);
    for (const option of field.options || []) option.toggleAttribute("selected", option.value === value);
  });
  copy.setAttribute("data-copy", "");
  const ask = copy.querySelector("#ask");
  if (ask) ask.outerHTML = '<div id="ask" hidden></div>';
  const kept = copy.querySelector("#kept");
  if (kept) kept.textContent = "";
  return `<!doctype html>\n${copy.outerHTML}`;
}

async function keepCopy() {
  if (!navigator.serviceWorker?.controller || isCopy() || !document.querySelector("main[data-copied]")) return;
  const copies = await caches.open(COPIES);
  await copies.put(location.href.split("#")[0], new Response(html(), { headers: { "content-type": "text/html; charset=utf-8" } }));
  const keys = await copies.keys();
  await Promise.all(keys.slice(0, Math.max(0, keys.length - MOST)).map((key) => copies.delete(key)));
}

function copyLater() {
  clearTimeout(copying);
  copying = setTimeout(keepCopy, WAIT);
}

const isCopy = () => document.documentElement.hasAttribute("data-copy");

function away(words) {
  const line = document.getElementById("away");
  if (!line) return;
  if (line.textContent !== words) line.textContent = words;
  line.hidden = !words;
}

// --- a form that is sent as a whole: what is typed stays until it was taken ----------------------

const whole = () => [...document.querySelectorAll("form[data-kept]")];
const place = (form) => `fitsolver:form:${form.dataset.kept}`;

function typedIn(form) {
  return [...form.elements].filter((field) => field.name && /^(INPUT|SELECT)$/.test(field.tagName) && field.type !== "hidden");
}

function keepForm(form) {
  const values = Object.fromEntries(typedIn(form).map((field) => [field.name, field.value]));
  try { localStorage.setItem(place(form), JSON.stringify(values)); } catch { /* nothing is kept here */ }
}

function giveBack(form) {
  const mine = place(form);
  const of = mine.slice(0, mine.lastIndexOf(":") + 1);
  for (const key of Object.keys(localStorage)) {
    if (key.startsWith(of) && key !== mine) localStorage.removeItem(key); // that pass was entered
  }
  let values = {};
  try { values = JSON.parse(localStorage.getItem(mine) || "{}"); } catch { /* nothing to give back */ }
  for (const field of typedIn(form)) {
    const value = values[field.name];
    if (value !== undefined && value !== "" && field.value !== value && (field.tagName === "SELECT" || !field.value)) field.value = value;
  }
}

// --- when ------------------------------------------------------------------------------------------

function shown() {
  whole().forEach(giveBack);
  copyLater();
}

document.addEventListener("DOMContentLoaded", () => {
  if (isCopy()) away(SEEN);
  shown();
  navigator.serviceWorker?.register("/sw.js").catch(() => { /* without it the page works as well */ });
  navigator.serviceWorker?.ready.then(copyLater);
});
document.addEventListener("input", (event) => {
  if (event.target.form?.dataset.kept !== undefined) keepForm(event.target.form);
  if (event.target.form?.dataset.dirty !== undefined) event.target.form.dataset.dirty = "yes";
  copyLater();
});
document.addEventListener("submit", (event) => { if (event.target.dataset.dirty) event.target.dataset.dirty = ""; });
window.addEventListener("beforeunload", (event) => { // a text is not kept letter by letter
  if (document.querySelector("form[data-dirty=yes]")) event.preventDefault();
});
document.addEventListener("htmx:load", (event) => { if (event.detail.elt.id === "step") shown(); });
document.addEventListener("htmx:afterSettle", copyLater);
document.addEventListener("htmx:sendError", () => away(isCopy() ? SEEN : AWAY));
document.addEventListener("htmx:afterRequest", (event) => {
  if (!event.detail.successful) return;
  document.documentElement.removeAttribute("data-copy"); // the page is there again, and goes on
  away("");
});
window.addEventListener("online", () => { if (isCopy() && !document.querySelector("#step")) location.reload(); });
