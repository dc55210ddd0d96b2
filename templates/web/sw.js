"use strict";
// Works offline after the first visit: everything is kept under the digest of this version, and an
// update takes over when every page of the old one is closed.
const VERSION = "{digest}";
const FILES = {files};

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(VERSION).then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "no-cache" })))));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter((n) => n !== VERSION).map((n) => caches.delete(n)))));
});
self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith(caches.open(VERSION).then((cache) => cache.match(event.request, { ignoreSearch: true })).then((found) => found || fetch(event.request)));
});
