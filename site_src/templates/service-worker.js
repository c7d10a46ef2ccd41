// Keeps the whole site for use without a network. Written by `slowfolio build`, which fills in the list below.
// A new version is fetched whole before it is used, and used only when the reader asks for it.
"use strict";

const VERSION = "@VERSION@";
const FILES = @FILES@;
const PREFIX = "slowfolio " + new URL(self.registration.scope).pathname + " ";
const CACHE = PREFIX + VERSION;
const HASH = "x-slowfolio-hash";
const AT_ONCE = 6;

const address = (path) => new URL(path, self.registration.scope).href;

/** A copy of a response that carries its hash, so that the next version can tell whether it still holds. */
async function stamped(response, hash) {
  const headers = new Headers({ [HASH]: hash });
  const type = response.headers.get("content-type");
  if (type) headers.set("content-type", type);
  return new Response(await response.blob(), { status: 200, headers });
}

/** The same file in a cache of an earlier version, if it has not changed. */
async function kept(path, hash, earlier) {
  for (const cache of earlier) {
    const found = await cache.match(address(path));
    if (found && found.headers.get(HASH) === hash) return found;
  }
  return null;
}

async function take(path, hash, cache, earlier) {
  const known = await kept(path, hash, earlier);
  if (known) return cache.put(address(path), known);
  const response = await fetch(address(path), { cache: "no-cache" });
  if (response.status !== 200) throw new Error(path + " answered " + response.status);
  return cache.put(address(path), await stamped(response, hash));
}

async function install() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  const earlier = await Promise.all(names.map((name) => caches.open(name)));
  const cache = await caches.open(CACHE);
  const waiting = Object.entries(FILES);
  const worker = async () => {
    for (let next = waiting.pop(); next; next = waiting.pop()) await take(next[0], next[1], cache, earlier);
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, worker));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function activate() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(names.map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function answer(request) {
  const url = new URL(request.url);
  url.search = "";
  url.hash = "";
  if (url.pathname.endsWith("/")) url.pathname += "index.html";
  const cache = await caches.open(CACHE);
  const found = await cache.match(url.href);
  return found || fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("message", (event) => {
  if (event.data === "use the new version") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const inside = event.request.url.startsWith(self.registration.scope);
  if (event.request.method === "GET" && inside) event.respondWith(answer(event.request));
});
