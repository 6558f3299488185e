// On every page, when it is served: keep the book for use without a network, and let it be put on a home screen.
// From disk neither is possible nor needed.
"use strict";

(function () {
  if (!location.protocol.startsWith("http")) return;
  const root = new URL(document.documentElement.dataset.root, document.baseURI).href;
  const manifest = document.createElement("link");
  Object.assign(manifest, { rel: "manifest", href: `${root}assets/manifest.webmanifest` });
  document.head.append(manifest);
  if (!navigator.serviceWorker) return;

  const line = document.querySelector(".ta-network");
  const tell = (text) => {
    line.querySelector("b").textContent = text;
    line.hidden = false;
  };
  // After the page has what it needs, so that keeping the book does not slow the first answer down.
  const wait = window.Turnabout?.engine ? 8000 : 2000;
  window.addEventListener("load", () => setTimeout(async () => {
    try {
      const registration = await navigator.serviceWorker.register(`${root}sw.js`);
      if (!registration.active) tell("being kept for use without it");
      await navigator.serviceWorker.ready;
      tell("not needed: the book is kept here");
    } catch {
      tell("needed: this browser did not keep the book");
    }
  }, wait));
})();
