// Opens the pages of stations and tickets when the shop's computer is away: as they were last, or the page of kept scans.
"use strict";
const KEPT = "filmdocket-pages-3";
const SHELL = "/kept";
const ALWAYS = [SHELL, "/static/docket.css", "/static/icon.svg", "/static/person.js", "/static/queue.js", "/static/kept.js", "/static/early.js", "/static/scan.js", "/static/phone.js", "/static/live.js"];
const PAGES = /^\/(?:at|t)\/[^/]+$|^\/kept$/;
const MOST_PAGES = 80;
const PATIENCE_MS = 8000;

addEventListener("install", (event) => event.waitUntil(keepAlways().then(() => skipWaiting())));
addEventListener("activate", (event) => event.waitUntil(forgetOlder().then(() => clients.claim())));
addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(openPage(event, pathname));
  else if (pathname.startsWith("/static/")) event.respondWith(openFile(event, pathname));
});

async function keepAlways() {
  await (await caches.open(KEPT)).addAll(ALWAYS);
}

async function forgetOlder() {
  for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
}

async function openPage(event, pathname) {
  try {
    const answer = await fetch(event.request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.status >= 502 && answer.status <= 504) throw new Error("a proxy without the shop behind it");
    if (answer.status === 401) event.waitUntil(caches.delete(KEPT)); // revoked: what it saw it sees no more
    else if (answer.ok && PAGES.test(pathname)) event.waitUntil(keep(pathname, answer.clone()));
    return answer;
  } catch {
    return (await recall(pathname)) ?? (await recall(SHELL)) ?? Response.error();
  }
}

async function openFile(event, pathname) {
  try {
    const answer = await fetch(event.request);
    if (answer.ok) event.waitUntil(keep(pathname, answer.clone()));
    return answer;
  } catch {
    return (await recall(pathname)) ?? Response.error();
  }
}

async function keep(pathname, answer) {
  const cache = await caches.open(KEPT);
  await cache.delete(pathname); // so that the newest stands last
  await cache.put(pathname, answer);
  const pages = (await cache.keys()).filter((one) => new URL(one.url).pathname.startsWith("/t/"));
  for (const old of pages.slice(0, Math.max(0, pages.length - MOST_PAGES))) await cache.delete(old);
}

async function recall(pathname) {
  return caches.match(pathname, { cacheName: KEPT, ignoreVary: true });
}
