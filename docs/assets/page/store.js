// The page's side of the store: one build, kept by the hidden frame of store.html (see store-frame.js).
// The page works at once from what it has; the frame's replies bring what was kept and what other tabs changed.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const PATIENCE = 2000; // ms without a reply before the page goes on without a store
  const OUTBOX = "turnabout.outbox"; // what the frame had not acknowledged when a page was left
  const listeners = [];
  const waiting = [];
  const unheard = new Map(); // number of a message -> what was set by it
  let known = { entries: {}, saved: null, document: null, aside: [], refused: false };
  let answers = {};
  let awake = false;
  let toldRefused = false;
  let number = 0;
  let ready;

  // The frame stands at the head of the page, so that it loads while the page does.
  const frame = document.querySelector(".ta-store");

  T.store = {
    /** Resolves once, when the store has spoken or has been given up. */
    ready: new Promise((resolve) => { ready = resolve; }),
    /** All entries that hold anything, as {key: entry}. */
    all: () => Object.fromEntries(Object.entries(known.entries).filter(([, e]) => e.value || e.spread || e.basis)),
    isEmpty: () => !Object.values(known.entries).some(T.entries.isFilled),
    get: (key) => known.entries[key],
    set(key, entry) {
      const before = known.entries[key];
      // Later than what it replaces even if a clock was once wrong: what somebody types now counts.
      const stamped = { ...entry, time: Math.max(Date.now(), before ? before.time + 1 : 0) };
      known.entries[key] = stamped;
      tell({ op: "set", key, entry: stamped });
      changed("page");
    },
    remove: (key) => T.store.set(key, T.entries.make("", "", "")),
    /** Put other entries in place of all. document: the file's text they came from, or null. */
    replace(entries, text) {
      const now = Date.now();
      known.entries = Object.fromEntries(Object.entries(entries).map(([key, e]) => [key, { ...e, time: now }]));
      known.document = text ?? null;
      known.saved = null;
      answers = {};
      tell({ op: "replace", entries: known.entries, document: known.document });
      changed("replaced");
    },
    onChange: (listener) => listeners.push(listener),
    get document() { return known.document; },
    get lastSaved() { return known.saved; },
    get isRefused() { return known.refused; },
    markSaved(text) {
      known.saved = Date.now();
      known.document = text;
      tell({ op: "saved", time: known.saved, document: text });
      changed("saved");
    },
    /** The last own answer of a calculator, {html, time} or undefined. The HTML must pass T.safe before it is shown. */
    answer: (name) => answers[name],
    keepAnswer: (name, html) => tell({ op: "answer", name, html, time: Date.now() }),
  };

  function tell(message) {
    if (awake) post(message);
    else waiting.push(message);
  }

  function post(message) {
    number += 1;
    if (message.op === "set") unheard.set(number, message);
    frame.contentWindow.postMessage({ ...message, turnabout: 1, id: number }, "*");
  }

  const askAll = () => post({ op: "all" });

  function changed(source) {
    for (const listener of listeners) listener(source);
  }

  /**
   * Take over what the frame says. Entries typed here and not yet kept there are newer and stay. Two tabs that write at
   * the same moment each write over what the other has just kept: an entry that was kept and is gone is told again.
   */
  function learn(state) {
    const merged = { ...state.entries };
    const onTheWay = new Set([...unheard.values()].map(({ key }) => key));
    for (const [key, entry] of Object.entries(known.entries)) {
      if (merged[key] && entry.time <= merged[key].time) continue;
      merged[key] = entry;
      if (!onTheWay.has(key)) tell({ op: "set", key, entry });
    }
    const differs = JSON.stringify(merged) !== JSON.stringify(known.entries) || state.saved !== known.saved;
    known = { ...state, entries: merged };
    if (state.answers) answers = state.answers;
    speak();
    return differs;
  }

  /** Say what was set aside, and that nothing is kept here, if so. */
  function speak() {
    if (known.refused && !toldRefused) {
      toldRefused = true;
      T.notice({
        id: "refused",
        text: "This browser keeps nothing for this book (a private window, a full store, or storage switched off). " +
          "Your numbers work on this page until you leave it: save them to a file before you do.",
      });
    }
    for (const { name, text } of known.aside) {
      if (document.querySelector(`[data-notice="${name}"]`)) continue;
      T.notice({
        id: name,
        text: "Part of the build kept in this browser could not be read. It was set aside, not thrown away; " +
          "what could be read is in its place.",
        actions: [
          { text: "Download what was set aside", press: () => { T.download("set-aside.json", text); return false; } },
          { text: "Throw it away", press: () => tell({ op: "forget", name }) },
        ],
      });
    }
  }

  window.addEventListener("message", (event) => {
    if (event.source !== frame.contentWindow || event.data?.turnabout !== 1) return;
    const { id, state } = event.data;
    if (!state) {
      askAll();
      return;
    }
    awake = true;
    unheard.delete(id);
    waiting.splice(0).forEach(post);
    // A reply to an older request than the last one is behind what this page already knows.
    if (id && id !== number && !state.answers) return;
    if (learn(state)) changed("store");
    ready();
  });

  setTimeout(() => {
    if (!awake) {
      known.refused = true;
      speak();
    }
    ready();
  }, PATIENCE);

  /** A page left within a moment of the last key takes what the frame has not heard of to the next page. */
  window.addEventListener("pagehide", () => {
    const left = [...unheard.values(), ...waiting.filter(({ op }) => op === "set")];
    if (left.length) attempt(() => localStorage.setItem(OUTBOX, JSON.stringify(left)));
  });

  // Back to a page that the browser kept as it was: other pages may have changed the build since.
  window.addEventListener("pageshow", (event) => { if (event.persisted) askAll(); });

  function collect() {
    const left = attempt(() => JSON.parse(localStorage.getItem(OUTBOX)));
    attempt(() => localStorage.removeItem(OUTBOX));
    for (const { key, entry } of Array.isArray(left) ? left.filter(Boolean) : []) {
      if (!T.entries.isKey(key) || !T.entries.isEntry(entry)) continue;
      known.entries[key] = entry;
      tell({ op: "set", key, entry });
    }
  }

  function attempt(work) {
    try {
      return work();
    } catch {
      return null;
    }
  }

  collect();
  askAll(); // heard if the frame woke before this script ran; if not, it will say that it is awake
})(window.Turnabout);
