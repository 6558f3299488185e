// Tables: one that goes on beyond its edge can be scrolled by keys and has a name among the page's parts; one that
// doesn't is no stop and no part of its own.
"use strict";

(function () {
  const watched = new WeakSet();

  function fit(box) {
    if (!box.clientWidth) return; // folded away: not known yet
    box.dataset.name ||= box.getAttribute("aria-label");
    const attributes = { role: "region", tabindex: "0", "aria-label": box.dataset.name };
    const scrolls = box.scrollWidth > box.clientWidth + 1;
    for (const [name, value] of Object.entries(attributes)) {
      if (scrolls) box.setAttribute(name, value);
      else box.removeAttribute(name);
    }
  }

  const watcher = new ResizeObserver((changes) => { for (const { target } of changes) fit(target); });

  function watch() {
    for (const box of document.querySelectorAll(".ta-table")) {
      if (watched.has(box)) continue;
      watched.add(box);
      watcher.observe(box);
    }
  }

  new MutationObserver(watch).observe(document.querySelector("main"), { childList: true, subtree: true });
  watch();
})();
