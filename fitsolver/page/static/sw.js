// What is shown where the page cannot be reached: the last copy that this browser has of it, with
// the program that keeps what is typed until it can be sent. Whatever can be reached is asked for.
"use strict";

const SHELL = "fitsolver-shell";
const COPIES = "fitsolver-copies"; // written by away.js, as each page was last seen
const PARTS = [
  "/offline", "/static/page.css", "/static/shelf.css", "/static/htmx.min.js", "/static/page.js",
  "/static/away.js", "/static/shelf.js", "/static/icon-192.png", "/static/manifest.webmanifest",
];

self.addEventListener("install", (event) => {
  const kept = caches.open(SHELL).then((shell) => shell.addAll(PARTS));
  event.waitUntil(kept.then(() => self.skipWaiting()));
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function part(request) {
  try {
    const answer = await fetch(request);
    if (answer.ok) (await caches.open(SHELL)).put(request, answer.clone());
    return answer;
  } catch (error) {
    const known = await caches.match(request);
    if (known) return known;
    throw error;
  }
}

async function page(request) {
  try {
    return await fetch(request);
  } catch {
    const known = request.method === "GET" && await (await caches.open(COPIES)).match(request.url);
    return known || caches.match("/offline");
  }
}

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (url.origin !== location.origin) return;
  const moved = request.headers.get("HX-Boosted") === "true" && request.method === "GET";
  if (request.mode === "navigate" || moved) event.respondWith(page(request));
  else if (PARTS.includes(url.pathname)) event.respondWith(part(request));
});
