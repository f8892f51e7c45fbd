// Opens the bench without a line: asks the site first, and shows what it had last where no answer comes.
"use strict";
const KEPT = "onceapart-bench-1", PATIENCE = 5000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => Promise.all(names.filter((name) => name.startsWith("onceapart-bench-") && name !== KEPT).map((name) => caches.delete(name))));
  event.waitUntil(old.then(() => self.clients.claim()));
});

// A page is kept once, whatever step of it was asked for.
const placeOf = (address) => { const url = new URL(address); return url.origin + url.pathname; };

async function keep(address, response) {
  if (!response.ok || response.redirected || response.type !== "basic") return;
  const kept = await caches.open(KEPT);
  await kept.put(placeOf(address), response);
}

self.addEventListener("message", (event) => {
  const wanted = [...new Set((event.data && event.data.keep) || [])];
  const each = (path) => fetch(path, { credentials: "same-origin" }).then((response) => keep(new URL(path, self.location).href, response)).catch(() => {});
  event.waitUntil(Promise.all(wanted.map(each)));
});

async function answer(request, event) {
  const asked = fetch(request);
  const kept = asked.then((response) => { const copy = response.clone(); event.waitUntil(keep(request.url, copy)); return response; });
  const late = new Promise((_, give) => setTimeout(give, PATIENCE, new Error("late")));
  try {
    return await Promise.race([kept, late]);
  } catch {
    const had = await caches.open(KEPT);
    const found = await had.match(placeOf(request.url)) || (request.mode === "navigate" ? await had.match(new URL("/bench/", self.location).href) : undefined);
    return found || kept;
  }
}

self.addEventListener("fetch", (event) => {
  const request = event.request, url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  const isPage = request.mode === "navigate" && url.pathname.startsWith("/bench/") && !url.pathname.startsWith("/bench/snags/");
  if (isPage || url.pathname.startsWith("/static/")) event.respondWith(answer(request, event));
});
