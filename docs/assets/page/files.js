// Taking a build out of the browser and into it: files, links, examples, clearing. What is entered is never
// overwritten without asking, and never cleared without a way back.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  /** The buttons of a block: above the build sheet's form, below any other. */
  T.toolbar = function (block) {
    const saved = T.make("p", { class: "ta-saved" });
    const pick = T.make("input", { type: "file", accept: ".toml,text/plain", hidden: true, "aria-hidden": "true", tabindex: "-1" });
    pick.addEventListener("change", () => {
      if (pick.files.length) readFile(pick.files[0]);
      pick.value = "";
    });
    const second = T.make("input", { type: "file", accept: ".toml,text/plain", hidden: true, "aria-hidden": "true", tabindex: "-1" });
    second.addEventListener("change", () => {
      if (second.files.length) block.beside(second.files[0]);
      second.value = "";
    });
    const bar = T.make("div", { class: "ta-tools" },
      T.make("p", { class: "ta-buttons" },
        ...(block.beside ? [T.button("Open the other build", () => second.click()), second] : []),
        T.button("Save to a file", save),
        T.button("Open a file", () => pick.click()),
        T.button("Copy a link", copyLink),
        T.button("Print", print),
        T.button("Start over", clear)),
      saved, pick);
    const before = block.view === "sheet" ? "form" : ".ta-command";
    block.element.querySelector(before).before(bar);
    const tell = () => { saved.textContent = savedLine(); };
    T.store.onChange(tell);
    T.store.ready.then(tell);
  };

  function savedLine() {
    const entries = Object.values(T.store.all());
    if (T.store.isEmpty()) return "What you enter is kept in this browser and nowhere else.";
    const count = T.plural(entries.filter(T.entries.isFilled).length, "entry", "entries");
    const saved = T.store.lastSaved;
    if (!saved) {
      const where = T.store.isRefused ? "on this page until you leave it" : "in this browser only";
      return `${count}, kept ${where}. Last saved to a file: never. A browser may drop what it keeps.`;
    }
    const since = entries.filter((entry) => entry.time > saved).length;
    return `${count}. Last saved to a file: ${T.clock(saved)}${since ? `; ${since} changed since` : ""}.`;
  }

  async function asked(request) {
    try {
      const reply = await T.engine.call(request);
      if (reply.kind === "result") return reply;
      const lines = (reply.problems || []).map(({ label, field, text }) => `${label || field}: ${text}`);
      return { failed: reply.text || "", lines };
    } catch (error) {
      return { failed: `The calculator could not start: ${error.message}`, lines: [] };
    }
  }

  async function save() {
    const reply = await asked({ op: "save", entries: T.entries.texts(T.store.all()), document: T.store.document });
    if (reply.toml === undefined) {
      T.notice({
        id: "save", text: `The file could not be written. ${reply.failed}`, lines: reply.lines,
        actions: [{ text: "Download the entries as a link", press: () => { T.download("build-link.txt", link()); return false; } }],
      });
      return false;
    }
    T.download("build.toml", reply.toml, "application/toml");
    T.store.markSaved(reply.toml);
    if (reply.notes.length) T.notice({ id: "save", text: "The file is written, but for this:", lines: reply.notes });
    return true;
  }

  async function readFile(file) {
    if (file.size > 1e6) {
      T.notice({ id: "open", text: `“${file.name}” is ${Math.round(file.size / 1e5) / 10} MB. A build sheet is a few kB of TOML.` });
      return;
    }
    openToml(await file.text(), `“${file.name}”`);
  }

  async function openToml(toml, name, isExample) {
    const reply = await asked({ op: "open", toml });
    if (!reply.entries) {
      T.notice({
        id: "open", text: `${name} could not be read; nothing was changed. ${reply.failed}`, lines: reply.lines,
        actions: [{ text: "Download it as it is", press: () => { T.download("unread.toml", toml); return false; } }],
      });
      return;
    }
    const entries = {};
    for (const [key, entry] of Object.entries(reply.entries)) {
      if (T.entries.isKey(key)) entries[key] = T.entries.make(entry.value, entry.spread, entry.basis);
    }
    await takeIn(entries, reply.document, name, reply.notes, isExample);
  }

  /** Put entries from outside in, after asking what becomes of those already here. */
  async function takeIn(entries, text, name, notes, isExample) {
    const mine = T.store.all();
    if (!T.store.isEmpty() && !T.entries.same(mine, entries)) {
      const choice = await T.ask({
        title: "Which build should stay?",
        text: `${name} holds ${count(entries)}. This browser holds a build of your own with ${count(mine)}.`,
        lines: differences(mine, entries),
        choices: [
          { text: "Take the new one", value: "new" },
          { text: "Save mine to a file, then take the new one", value: "save" },
          // An example's numbers are invented: they never mix with one's own.
          ...(isExample ? [] : [{ text: "Keep mine, fill its gaps", value: "fill" }]),
        ],
        cancel: "Keep mine",
      });
      if (!choice || (choice === "save" && !(await save()))) return;
      if (choice === "fill") {
        const filled = Object.fromEntries(Object.entries(mine).filter(([, entry]) => T.entries.isFilled(entry)));
        const both = { ...entries, ...filled };
        return replace(both, T.store.document ?? text, `${name} has filled the gaps of your build: ${count(both)}.`, notes);
      }
    }
    replace(entries, text, `${name} is open: ${count(entries)}.`, notes);
  }

  /** Up to six fields in which the two builds differ, in words. */
  function differences(mine, theirs) {
    const [a, b] = [T.entries.texts(mine), T.entries.texts(theirs)];
    const keys = Object.keys(b).filter((key) => key in a && a[key] !== b[key]);
    const short = (text) => (text.length > 40 ? `${text.slice(0, 39)}…` : text);
    const lines = keys.slice(0, 6).map((key) => `${key.replaceAll("_", " ")}: yours ${short(a[key])}, new ${short(b[key])}`);
    return keys.length > 6 ? [...lines, `and ${keys.length - 6} more`] : lines;
  }

  /** The builds that others took the place of, newest last: each way back leads on to the one before it. */
  const past = [];

  const present = () => ({ entries: T.store.all(), document: T.store.document });

  /** Put another build in place of the one that is here, and say so with a way back. */
  function replace(entries, text, said, lines) {
    if (!T.store.isEmpty() && !T.entries.same(T.store.all(), entries)) past.push(present());
    T.store.replace(entries, text);
    tellOf(said, lines, []);
  }

  function bringBack() {
    const left = present();
    const { entries, document: text } = past.pop();
    T.store.replace(entries, text);
    const again = { text: `Take the other one again (${count(left.entries)})`, press: () => replace(left.entries, left.document, "The other build is here again.") };
    tellOf(`What was here before is back: ${count(entries)}.`, [], Object.keys(left.entries).length ? [again] : []);
  }

  function tellOf(said, lines, more) {
    const back = { text: `Bring back what was here before${more.length ? " that" : ""} (${count(past.at(-1)?.entries || {})})`, press: bringBack };
    T.notice({ id: "build", text: said, lines, actions: past.length ? [...more, back] : more });
  }

  const count = (entries) => T.plural(Object.values(entries).filter(T.entries.isFilled).length, "entry", "entries");

  const link = () => location.href.split("#")[0] + T.entries.toLink(T.store.all());

  async function copyLink() {
    const text = link();
    try {
      await navigator.clipboard.writeText(text);
      T.notice({ id: "link", text: "The link is copied. Whoever opens it gets this page with your entries." });
    } catch {
      const box = T.notice({ id: "link", text: "Copy this link. Whoever opens it gets this page with your entries." });
      const field = T.make("input", { readonly: true, value: text, "aria-label": "Link with your entries" });
      box.firstChild.after(field);
      field.select();
    }
  }

  /** A build in the page's own address: asked about like a file, then taken out of the address. */
  T.openLink = async function () {
    const hash = location.hash;
    if (!T.entries.isLink(hash)) return;
    history.replaceState(null, "", location.href.split("#")[0]);
    try {
      await takeIn(T.entries.fromLink(hash), null, "The link", []);
    } catch (error) {
      T.notice({
        id: "open", text: `The link could not be read; nothing was changed. ${error.message}`,
        actions: [{ text: "Download the link as it is", press: () => { T.download("unread-link.txt", hash); return false; } }],
      });
    }
  };

  async function print() {
    if (await T.settled(30000)) return window.print();
    T.notice({
      id: "print", text: "The answers on this page are not up to date, and the print will say so across each sheet.",
      actions: [{ text: "Print all the same", press: () => window.print() }],
    });
  }

  async function clear() {
    const mine = T.store.all();
    if (T.store.isEmpty()) {
      T.notice({ id: "clear", text: "There is nothing to clear: the page shows the worked example." });
      return;
    }
    const choice = await T.ask({
      title: "Start over?",
      text: `This clears all ${Object.keys(mine).length} entries of your build, on every page of the book.`,
      choices: [{ text: "Save to a file, then clear", value: "save" }, { text: "Clear", value: "clear" }],
    });
    if (!choice || (choice === "save" && !(await save()))) return;
    replace({}, null, "Your entries are cleared. The page shows the worked example again.");
  }

  /** Buttons that open an example: data-example names the script element that holds its file. */
  document.addEventListener("click", ({ target }) => {
    const button = target.closest?.("[data-example]");
    if (!button || button.localName !== "button") return;
    const source = document.getElementById(`example-${button.dataset.example}`);
    openToml(source.textContent, `The example “${button.dataset.example.replaceAll("-", " ")}”`, true);
  });
  window.addEventListener("hashchange", () => T.openLink());
})(window.Turnabout);
