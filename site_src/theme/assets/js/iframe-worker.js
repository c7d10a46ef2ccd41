// Search in a page that was opened from a folder: browsers refuse to start a worker from file://, so this
// runs the same worker script in a hidden frame and passes messages by hand. Does nothing over http.
// @ts-check
"use strict";

(() => {
  if (location.protocol !== "file:") return;

  /** Stands in for Worker: the script runs in a frame of this page's own origin. */
  class FolderWorker extends EventTarget {
    /** @param {string | URL} address */
    constructor(address) {
      super();
      /** @type {((event: MessageEvent) => void) | null} */
      this.onmessage = null;
      this.frame = document.createElement("iframe");
      this.frame.hidden = true;
      this.frame.title = "Search worker";
      document.body.append(this.frame);
      const inside = /** @type {any} */ (this.frame.contentWindow);
      inside.postMessage = (/** @type {unknown} */ data) => this.receive(data);
      inside.importScripts = (/** @type {string[]} */ ...scripts) =>
        scripts.reduce((done, script) => done.then(() => FolderWorker.load(inside, script)), Promise.resolve());
      this.inside = inside;
      this.ready = FolderWorker.load(inside, String(address));
    }

    /**
     * @param {any} inside
     * @param {string} address
     * @returns {Promise<void>}
     */
    static load(inside, address) {
      return new Promise((resolve, reject) => {
        const script = inside.document.createElement("script");
        script.src = new URL(address, location.href).href;
        script.onload = () => resolve();
        script.onerror = () => reject(new Error("cannot load " + address));
        inside.document.body.append(script);
      });
    }

    /** @param {unknown} data */
    receive(data) {
      const event = new MessageEvent("message", { data: structuredClone(data) });
      this.dispatchEvent(event);
      if (this.onmessage) this.onmessage(event);
    }

    /** @param {unknown} data */
    postMessage(data) {
      this.ready.then(() =>
        this.inside.dispatchEvent(new this.inside.MessageEvent("message", { data: structuredClone(data) })),
      );
    }

    terminate() {
      this.frame.remove();
    }
  }

  /** @type {any} */ (window).Worker = FolderWorker;
})();
