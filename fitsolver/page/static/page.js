// The pages work without this. With it, what is typed is sent by htmx as it comes and kept in the
// browser until the page has it; a gauge that types its reading and Enter walks through the sheet.
"use strict";

const QUIET = 300; // milliseconds of quiet before what was typed is sent
const DONE = 40; // the same once a field is left, as by Enter: a gauge types on before they are over
const AGAIN = 3000; // until it is tried again where the page cannot be reached
const job = () => document.getElementById("step")?.dataset.job;
const store = (key) => `fitsolver:${key}`;

// --- what was typed and is not kept yet ---------------------------------------------------------

let unsent = new Map(); // field to its value
let sending = null; // fields that are under way
let handed = null; // fields that went with a button
const was = new Map(); // field to what the page had in it when it was typed in
let failing = false; // the page could not be reached when it was last tried
let timer = 0;

// A field is kept by itself, so that two windows on one job do not take each other's away.
const placeOf = (name) => store(`${job()}:${name}`);

function read() {
  const start = placeOf("");
  return Object.keys(localStorage).filter((key) => key.startsWith(start)).map((key) => {
    try { return [key.slice(start.length), JSON.parse(localStorage.getItem(key))]; }
    catch { return [key.slice(start.length), null]; }
  }).filter(([, kept]) => kept && typeof kept.value === "string");
}

function remember(name, value) {
  try { localStorage.setItem(placeOf(name), JSON.stringify({ value, was: was.get(name) })); }
  catch { /* a browser that keeps nothing: it is sent all the same */ }
}

function forget(fields, shown = true) {
  for (const [name, value] of fields) {
    const field = shown && document.getElementById(name);
    if (field && field.type === "checkbox") field.defaultChecked = value === "yes";
    else if (field && field.tagName === "INPUT") field.setAttribute("value", value);
    if (unsent.has(name)) { was.set(name, value); remember(name, unsent.get(name)); continue; }
    was.delete(name);
    localStorage.removeItem(placeOf(name));
  }
}

// What the page had in a field before it was typed in; undefined where that cannot be told.
function first(field) {
  if (field.type === "checkbox") return field.defaultChecked ? "yes" : "";
  return field.tagName === "INPUT" ? field.getAttribute("value") || "" : undefined;
}

function tell(words, old) {
  const kept = document.getElementById("kept");
  if (kept && kept.textContent !== words) kept.textContent = words;
  document.getElementById("strip")?.classList.toggle("old", old);
  if (old) for (const part of document.querySelectorAll("[data-told]")) part.classList.add("old");
}

function typed(field) {
  if (!field.name || !field.form || field.form.id !== "job-form" || field.type === "hidden") return;
  if (["pasted", "axis"].includes(field.name)) return;
  const value = field.type === "checkbox" ? (field.checked ? "yes" : "") : field.value;
  if (!was.has(field.name)) was.set(field.name, first(field));
  unsent.set(field.name, value);
  remember(field.name, value);
  if (!failing) tell("not sent yet", true);
  clearTimeout(timer);
  timer = setTimeout(send, QUIET);
}

function done(field) {
  if (!unsent.has(field.name)) return;
  clearTimeout(timer);
  timer = setTimeout(send, DONE);
}

function send() {
  clearTimeout(timer);
  const key = job();
  if (!key || sending || !unsent.size) return;
  sending = unsent;
  unsent = new Map();
  if (!failing) tell("working", true);
  const version = document.getElementById("version")?.value || "";
  const step = document.getElementById("step").dataset.step;
  const values = { ...Object.fromEntries(sending), version, step };
  htmx.ajax("POST", `/jobs/${key}/keep`, { values, swap: "none", source: "#step" });
}

function sent(event) {
  if (!sending || !(event.detail.pathInfo?.requestPath || "").endsWith("/keep")) return;
  if (event.detail.successful) {
    const kept = sending;
    sending = null;
    failing = false;
    forget(kept);
    if (unsent.size) send();
    return;
  }
  unsent = new Map([...sending, ...unsent]);
  sending = null;
  failed(event.detail.xhr);
}

function failed(answer) {
  if (answer.status && answer.status !== 429 && answer.status < 500) {
    const said = new DOMParser().parseFromString(answer.responseText, "text/html");
    tell(said.querySelector(".refusal")?.textContent || "this was refused", true);
    return;
  }
  failing = true;
  tell("cannot be reached: what you typed is kept here and sent later", true);
  timer = setTimeout(send, AGAIN);
}

// What a figure typed just before leaving needs: it goes out with the page.
function leave() {
  const key = job();
  if (!key || !(unsent.size || sending)) return;
  const body = new URLSearchParams({ ...Object.fromEntries(sending || []), ...Object.fromEntries(unsent) });
  body.set("version", document.getElementById("version")?.value || "");
  body.set("leaving", "yes");
  navigator.sendBeacon(`/jobs/${key}/keep`, body);
}

const plain = (text) => String(text).replace(",", ".").trim();
const same = (one, other) => plain(one) === plain(other)
  || (plain(one) !== "" && plain(other) !== "" && Number(plain(one)) === Number(plain(other)));

function comeBack() {
  if (!job()) return;
  const other = []; // typed here once, and changed elsewhere since
  for (const [name, kept] of read()) {
    if (unsent.has(name) || (sending && sending.has(name))) continue;
    const field = document.getElementById(name);
    const now = field ? first(field) : undefined;
    if (now !== undefined && same(now, kept.value)) { forget([[name, now]]); continue; }
    if (now !== undefined && kept.was !== undefined && !same(now, kept.was)) {
      other.push([field, kept.value, now]);
      continue;
    }
    put(field, kept.value);
    was.set(name, kept.was);
    unsent.set(name, kept.value);
  }
  offer(other);
  if (unsent.size) send();
}

function put(field, value) {
  if (!field) return;
  if (field.type === "checkbox") field.checked = value === "yes";
  else field.value = value;
}

const wordsFor = (field) => field.getAttribute("aria-label") || field.labels?.[0]?.textContent || field.name;

// Neither figure is thrown away unasked.
function offer(fields) {
  const place = document.getElementById("offered");
  if (!place) return;
  place.replaceChildren();
  for (const [field, value, now] of fields) {
    const line = place.appendChild(document.createElement("p"));
    line.className = "note";
    line.append(`${wordsFor(field)}: you typed ${value || "nothing"} here, but ${now || "nothing"} was entered elsewhere meanwhile. `);
    for (const [said, mine] of [[`Put ${value || "nothing"} in`, true], [`Leave ${now || "it"}`, false]]) {
      const button = line.appendChild(document.createElement("button"));
      button.type = "button";
      button.className = "quiet small";
      button.textContent = said;
      button.addEventListener("click", () => {
        line.remove();
        if (mine) { put(field, value); was.set(field.name, now); typed(field); }
        else forget([[field.name, now]]);
        field.focus();
      });
    }
  }
}

// --- what comes back ----------------------------------------------------------------------------

function showMarks() {
  for (const field of document.querySelectorAll("#step [aria-invalid]")) field.removeAttribute("aria-invalid");
  for (const field of document.querySelectorAll("#step [data-doubted]")) field.removeAttribute("data-doubted");
  for (const item of document.querySelectorAll("#marks li")) {
    document.getElementById(item.dataset.for || "")?.setAttribute("aria-invalid", "true");
    document.getElementById(item.dataset.doubt || "")?.setAttribute("data-doubted", "");
  }
}

function showOthers() {
  for (const item of document.querySelectorAll("#others li")) {
    const field = document.getElementById(item.dataset.set);
    if (!field || unsent.has(item.dataset.set) || field === document.activeElement) continue;
    put(field, item.textContent);
    forget([[item.dataset.set, item.textContent]]);
  }
}

function showSteps() {
  for (const said of document.querySelectorAll("#steps-said i")) {
    const link = document.querySelector(`#steps [data-name="${said.dataset.step}"] small`);
    if (link) link.textContent = said.textContent || "\u00a0";
  }
}

function settled(event) {
  const path = event.detail.pathInfo?.requestPath || "";
  if (path.endsWith("/keep")) { showMarks(); showOthers(); }
  if (path.endsWith("/strip") && event.detail.successful) {
    showSteps();
    const verdict = document.getElementById("verdict");
    const answered = Boolean(document.querySelector("#answer table"));
    const before = answered && verdict?.dataset.decided === "no";
    const busy = Boolean(unsent.size || sending); // an answer to what was typed before
    tell(busy ? "working" : before ? "the answer below is of before" : "kept", answered && (before || busy));
  }
}

// --- walking through the sheet ------------------------------------------------------------------

function cells() {
  const every = [...document.querySelectorAll("#grid input[data-c]")];
  const depths = [...document.querySelectorAll("#grid input.depth")];
  const rows = new Set(depths.filter((one) => one.value.trim()).map((one) => one.dataset.row));
  const used = rows.size ? every.filter((one) => rows.has(one.dataset.r)) : every;
  const at = (one, ...keys) => keys.map((key) => Number(one.dataset[key]));
  const keys = { depth: ["c", "r", "a"], axis: ["c", "a", "r"], all: ["r", "c", "a"] }[order()];
  return used.sort((one, other) => {
    const [mine, its] = [at(one, ...keys), at(other, ...keys)];
    const place = mine.findIndex((value, index) => value !== its[index]);
    return place < 0 ? 0 : mine[place] - its[place];
  });
}

function order() {
  return document.querySelector("[data-walk-order]")?.value || "depth";
}

function next(field) {
  if (field.classList.contains("depth")) {
    const depths = [...document.querySelectorAll("#grid input.depth")];
    return field.value.trim() ? depths[depths.indexOf(field) + 1] || cells()[0] : cells()[0];
  }
  if (field.dataset.c !== undefined) {
    const stops = cells();
    return stops[stops.indexOf(field) + 1] || document.getElementById("walked");
  }
  const form = field.form;
  if (form.dataset.walkForm !== undefined) {
    const stops = [...form.querySelectorAll("input[data-walk]")];
    return stops[stops.indexOf(field) + 1] || form.querySelector("button:not([name]):not(.unseen)");
  }
  const every = [...form.querySelectorAll("input:not([type=hidden]), select")].filter((one) => one.checkVisibility());
  return every[every.indexOf(field) + 1];
}

function walk(event) {
  const field = event.target;
  if (event.key !== "Enter" || !field.matches("input, select")) return;
  if (!field.form || !(field.form.id === "job-form" || field.form.dataset.walkForm !== undefined)) return;
  event.preventDefault(); // Enter goes on; it never sends a form half filled
  const to = next(field);
  if (!to) return;
  const end = to.id === "walked";
  const walked = document.getElementById("walked");
  if (walked) walked.textContent = end ? "The last reading of this order is in." : "";
  to.focus();
  if (to.select && to.type !== "date") to.select();
}

function paste(event) {
  const field = event.target;
  const text = event.clipboardData?.getData("text") || "";
  const inSheet = field.dataset?.c !== undefined || field.classList?.contains("depth");
  if (!inSheet || !/[\t\n;]/.test(text.trim())) return;
  event.preventDefault();
  const form = field.form;
  form.elements.pasted.value = text;
  form.elements.pasted_at.value = field.id;
  form.querySelector("button[value=paste]").click();
}

// --- the page as it is put in place ------------------------------------------------------------

function prepare() {
  const walked = document.querySelector("[data-walk-order]");
  if (walked) {
    walked.parentElement.hidden = false;
    walked.value = localStorage.getItem("fitsolver:walk") || "depth";
  }
  for (const button of document.querySelectorAll("[data-sign]")) button.hidden = false;
  for (const button of document.querySelectorAll("#job-form button[name=action]")) {
    if (button.hasAttribute("hx-post")) continue;
    button.setAttribute("hx-post", button.form.getAttribute("action"));
    htmx.process(button);
  }
  fitBar();
}

// On a phone the answer is a bar that opens; it stays as one left it when a new answer comes.
let opened = false;
function fitBar() {
  const bar = document.querySelector(".strip .bar");
  if (bar && matchMedia("(max-width: 47rem)").matches) bar.open = opened;
}

let last = null; // the field of the sheet that was typed in last, for the sign button

document.addEventListener("DOMContentLoaded", () => {
  prepare();
  comeBack();
  const fresh = document.getElementById(location.hash.slice(1));
  if (fresh && fresh.matches("input, select")) fresh.focus();
});
document.addEventListener("input", (event) => {
  if (event.target.matches("[data-walk-order]")) localStorage.setItem("fitsolver:walk", event.target.value);
  else typed(event.target);
});
document.addEventListener("change", (event) => done(event.target));
document.addEventListener("focusin", (event) => { if (event.target.matches("#grid input")) last = event.target; });
document.addEventListener("keydown", walk);
document.addEventListener("paste", paste);
document.addEventListener("click", (event) => {
  const bar = event.target.closest?.(".strip .bar > summary")?.parentElement;
  if (bar) opened = !bar.open;
  if (event.target.matches("[data-sign]") && last) {
    last.value = last.value.startsWith("-") ? last.value.slice(1) : `-${last.value.replace(/^\+/, "")}`;
    last.focus();
    typed(last);
  }
  const to = event.target.closest?.("[data-focus]");
  const field = to && document.getElementById(to.dataset.focus);
  if (field) { event.preventDefault(); field.focus(); if (field.select) field.select(); }
});
document.addEventListener("htmx:afterRequest", sent);
document.addEventListener("htmx:afterRequest", (event) => {
  if (!handed || !event.detail.elt.matches?.("button[name=action]")) return;
  const fields = handed;
  handed = null;
  if (event.detail.successful) { forget(fields, false); return; } // the rows may be others now
  unsent = new Map([...fields, ...unsent]); // the button did nothing: they go by themselves
  failed(event.detail.xhr);
});
document.addEventListener("htmx:afterSettle", settled);
document.addEventListener("htmx:afterRequest", (event) => {
  const path = event.detail.pathInfo?.requestPath || "";
  if (!event.detail.successful) return;
  if (path.endsWith("/keep") || path.endsWith("/strip")) setTimeout(() => settled(event), 0);
});
document.addEventListener("htmx:configRequest", (event) => {
  if (event.detail.elt.matches?.("button[name=action]")) { // all of the form goes with a button
    clearTimeout(timer);
    handed = new Map([...(handed || []), ...unsent]);
    unsent = new Map();
    tell("working", true);
  }
});
document.addEventListener("htmx:load", (event) => {
  const put = event.detail.elt;
  if (put.id === "answer") fitBar();
  if (put.id === "step" || put.querySelector?.("#step")) { prepare(); comeBack(); }
});
window.addEventListener("pagehide", leave);
window.addEventListener("online", send);
