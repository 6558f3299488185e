// Keeps the whole book for use without a network, when it is served over http(s). From disk none is needed.
// The network comes first, so a page is never older than it has to be; what is kept answers when the network
// fails or dawdles.
"use strict";

const FILES = {};
const STORE = "turnabout";
const PATIENCE = 4000; // ms before a kept copy is preferred to a slow network

const base = new URL("./", self.location.href).href;
const keyOf = (path) => `${base}${path}?kept=${FILES[path]}`;

self.addEventListener("install", (event) => event.waitUntil(keep().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(prune().then(() => self.clients.claim())));

async function keep() {
  const store = await caches.open(STORE);
  for (const path of Object.keys(FILES)) {
    if (await store.match(keyOf(path))) continue;
    const answer = await fetch(base + path, { cache: "no-cache" });
    if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
    await store.put(keyOf(path), answer);
  }
}

async function prune() {
  const store = await caches.open(STORE);
  const wanted = new Set(Object.keys(FILES).map(keyOf));
  for (const request of await store.keys()) if (!wanted.has(request.url)) await store.delete(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || !url.href.startsWith(base)) return;
  const path = decodeURIComponent(url.href.slice(base.length).split(/[?#]/)[0]) || "index.html";
  if (path in FILES) event.respondWith(answer(event.request, path));
});

async function answer(request, path) {
  const kept = await (await caches.open(STORE)).match(keyOf(path));
  if (!kept) return fetch(request);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    return await fetch(request, { signal: stop.signal });
  } catch {
    return kept;
  } finally {
    clearTimeout(timer);
  }
}
