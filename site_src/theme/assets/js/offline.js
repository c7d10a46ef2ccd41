// Keeps the site on the device and offers a new version when there is one. Needs https or localhost: a page
// from a folder or from plain http in the kitchen has no service worker, and this does nothing there.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.offline = (() => {
  const root = /** @type {URL} */ (/** @type {any} */ (window).__md_scope);
  const built = document.documentElement.querySelector("meta[name=slowfolio-offline]") !== null;
  if (!built || location.protocol === "file:" || !("serviceWorker" in navigator)) return {};

  const manifest = document.createElement("link");
  manifest.rel = "manifest";
  manifest.href = new URL("manifest.webmanifest", root).href;
  document.head.append(manifest);

  /** Say that a new version is here; the page changes only when the reader asks for it. */
  function offer(/** @type {ServiceWorker} */ waiting) {
    const note = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=new-version]"));
    const button = note?.querySelector("button");
    if (!note || !button) return;
    note.hidden = false;
    button.addEventListener("click", () => waiting.postMessage("use the new version"), { once: true });
  }

  /** @param {ServiceWorkerRegistration} registration */
  function watch(registration) {
    if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
    registration.addEventListener("updatefound", () => {
      const coming = registration.installing;
      coming?.addEventListener("statechange", () => {
        if (coming.state === "installed" && navigator.serviceWorker.controller) offer(coming);
      });
    });
  }

  const hadOne = navigator.serviceWorker.controller !== null;
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (hadOne) location.reload();
  });
  const ready = navigator.serviceWorker
    .register(new URL("sw.js", root).href, { scope: root.href, updateViaCache: "none" })
    .then((registration) => {
      watch(registration);
      return navigator.storage?.persist?.();
    })
    .catch(() => undefined); // Refused by the browser or the reader: the site goes on over the network.
  return { ready };
})();
