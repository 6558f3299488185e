// Runs inside store.html, a hidden frame of every page with a calculator: the only place that touches storage.
// With strict file origins a browser gives each page from disk a store of its own; one frame shares one store.
// Messages in: {turnabout, id, op, ...}; out: {turnabout, id, state} for each, {turnabout, state} when another
// page changed something. Every write reads the store first and keeps the newer of two entries, so tabs merge.
"use strict";

(function () {
  const BUILD = "turnabout.build";
  const ANSWERS = "turnabout.answers";
  const ASIDE = "turnabout.aside.";
  const T = window.Turnabout;
  const origins = location.protocol === "file:" ? ["null", "file://"] : [location.origin];
  const fresh = () => ({ format: 1, entries: {}, saved: null, document: null });

  /** Storage that always answers: the browser's, or this frame's memory for what the browser refuses to keep. */
  const memory = new Map();
  const storage = {
    get: (key) => memory.get(key) ?? tried(() => localStorage.getItem(key)) ?? null,
    set(key, text) {
      const kept = tried(() => { localStorage.setItem(key, text); return true; });
      if (kept) memory.delete(key);
      else memory.set(key, text);
    },
    drop(key) {
      memory.delete(key);
      tried(() => localStorage.removeItem(key));
    },
    keys: () => [...memory.keys(), ...(tried(() => Object.keys(localStorage)) || [])],
    refuses: () => memory.size > 0 || tried(() => localStorage.length) === undefined,
  };

  function tried(work) {
    try {
      return work();
    } catch {
      return undefined;
    }
  }

  /** The build as stored. What can't be read is set aside under a name of its own, never thrown away. */
  function build() {
    const text = storage.get(BUILD);
    if (text === null) return fresh();
    const found = parsed(text);
    const sound = found !== null && found.format === 1 && typeof found.entries === "object" && found.entries !== null;
    const kept = fresh();
    const bad = {};
    if (sound) {
      for (const [key, entry] of Object.entries(found.entries)) {
        if (T.entries.isKey(key) && T.entries.isEntry(entry)) kept.entries[key] = entry;
        else bad[key] = entry;
      }
      kept.saved = Number.isFinite(found.saved) ? found.saved : null;
      kept.document = typeof found.document === "string" ? found.document : null;
    }
    if (!sound || Object.keys(bad).length) {
      storage.set(ASIDE + Date.now(), sound ? JSON.stringify(bad) : text);
      write(kept);
    }
    return kept;
  }

  function parsed(text) {
    const found = tried(() => JSON.parse(text));
    return found && typeof found === "object" ? found : null;
  }

  const write = (state) => storage.set(BUILD, JSON.stringify(state));

  function put(state, key, entry) {
    const there = state.entries[key];
    if (!there || there.time <= entry.time) state.entries[key] = entry;
  }

  const work = {
    all() {},
    set({ key, entry }) {
      if (!T.entries.isKey(key) || !T.entries.isEntry(entry)) return;
      const state = build();
      put(state, key, entry);
      write(state);
    },
    replace({ entries, document: text }) {
      const state = build();
      const now = Date.now();
      for (const key of Object.keys(state.entries)) state.entries[key] = T.entries.make("", "", "", now);
      for (const [key, entry] of Object.entries(entries)) {
        if (T.entries.isKey(key) && T.entries.isEntry(entry)) state.entries[key] = { ...entry, time: now };
      }
      state.document = typeof text === "string" ? text : null;
      state.saved = null;
      write(state);
      storage.drop(ANSWERS);
    },
    saved({ time, document: text }) {
      write({ ...build(), saved: time, document: text });
    },
    answer({ name, html, time }) {
      const text = JSON.stringify({ ...answers(), [name]: { html, time } });
      tried(() => { localStorage.removeItem(ANSWERS); localStorage.setItem(ANSWERS, text); });
    },
    forget({ name }) {
      if (name.startsWith(ASIDE)) storage.drop(name);
    },
  };

  /** The last answers shown, as HTML with their times. They can be worked out again: what is unreadable is dropped. */
  function answers() {
    const found = parsed(storage.get(ANSWERS) || "{}") || {};
    return Object.fromEntries(Object.entries(found).filter(([, a]) => a && typeof a.html === "string" && Number.isFinite(a.time)));
  }

  function state(withAnswers) {
    const found = build();
    const aside = storage.keys().filter((key) => key.startsWith(ASIDE)).map((name) => ({ name, text: storage.get(name) }));
    return { ...found, aside, refused: storage.refuses(), answers: withAnswers ? answers() : null };
  }

  const send = (message) => window.parent.postMessage({ turnabout: 1, ...message }, "*");

  window.addEventListener("message", (event) => {
    const asked = event.data;
    const ours = event.source === window.parent && origins.includes(event.origin);
    if (!ours || !asked || asked.turnabout !== 1 || !Object.hasOwn(work, asked.op)) return;
    work[asked.op](asked);
    send({ id: asked.id, state: state(asked.op === "all") });
  });
  window.addEventListener("storage", (event) => {
    if (event.key === BUILD || event.key === null) send({ state: state(false) });
  });
  if (window.parent !== window) send({ state: null }); // awake
})();
