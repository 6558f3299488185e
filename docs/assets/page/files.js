// Taking a build out of the browser and into it: files, links, examples, clearing. What is entered is never
// overwritten without asking, and never cleared without a way back.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  /** The buttons of a block: above the build sheet's form, below any other. */
  T.toolbar = function (block) {
    const saved = T.make("p", { class: "ta-saved" });
    const at = T.shelf();
    const pick = T.make("input", { type: "file", accept: ".toml,text/plain", hidden: true, "aria-hidden": "true", tabindex: "-1" });
    pick.addEventListener("change", () => {
      if (pick.files.length) readFile(pick.files[0], at);
      pick.value = "";
    });
    const second = T.make("input", { type: "file", accept: ".toml,text/plain", hidden: true, "aria-hidden": "true", tabindex: "-1" });
    second.addEventListener("change", () => {
      if (second.files.length) readOther(second.files[0], block, at);
      second.value = "";
    });
    const bar = T.make("div", { class: "ta-tools" },
      T.make("p", { class: "ta-buttons" },
        ...(block.beside ? [T.button("Open the other build", () => second.click()), second] : []),
        T.button("Save to a file", () => save(at)),
        T.button("Open a file", () => pick.click()),
        T.button("Copy a link", () => copyLink(at)),
        T.button("Print", () => print(at)),
        T.button("Start over", () => clear(at))),
      saved, at, pick);
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

  /** at: the shelf for what is said about it. Gives back whether the file is written. */
  async function save(at) {
    const reply = await asked({ op: "save", entries: T.entries.texts(T.store.all()), document: T.store.document });
    if (reply.toml === undefined) {
      T.notice({
        id: "save", at, failed: true, text: `The file could not be written. ${reply.failed}`, lines: reply.lines,
        actions: [{ text: "Download the entries as a link", press: () => { T.download("build-link.txt", link()); return false; } }],
      });
      return false;
    }
    T.download("build.toml", reply.toml, "application/toml");
    T.store.markSaved(reply.toml);
    const written = reply.notes.length ? "build.toml is written, but for this:" : `build.toml is written: ${count(T.store.all())}.`;
    T.notice({ id: "save", at, text: written, lines: reply.notes });
    return true;
  }

  async function readFile(file, at) {
    if (isSheetSized(file, at)) openToml(await file.text(), `“${file.name}”`, at);
  }

  function isSheetSized(file, at, id) {
    if (file.size <= 1e6) return true;
    refused(`“${file.name}” is ${Math.round(file.size / 1e5) / 10} MB; nothing was changed. A build sheet is a few kB of TOML.`, at, [], null, id);
    return false;
  }

  /** A second build, to stand beside the one here; nothing of it is kept. */
  async function readOther(file, block, at) {
    if (!isSheetSized(file, at, "other")) return;
    const toml = await file.text();
    if (!(await read(toml, `“${file.name}”`, at, "other"))) return;
    document.querySelector('[data-notice="other"]')?.remove(); // an earlier file could not be read
    block.beside(toml);
  }

  /** What was to be opened can't be. The message takes the place of an older one, whose way back it keeps. */
  function refused(text, at, lines, download, id = "build") {
    T.notice({ id, at, failed: true, text, lines, actions: [...(download ? [download] : []), ...(id === "build" ? wayBack(at) : [])] });
  }

  /** What a file holds, {entries, notes, document}; null, and said why, where it can't be read. */
  async function read(toml, name, at, id) {
    const reply = await asked({ op: "open", toml });
    if (reply.entries) return reply;
    refused(`${name} could not be read; nothing was changed. ${reply.failed}`, at, reply.lines,
      { text: "Download it as it is", press: () => { T.download("unread.toml", toml); return false; } }, id);
    return null;
  }

  async function openToml(toml, name, at, isExample) {
    const reply = await read(toml, name, at);
    if (!reply) return;
    const entries = {};
    for (const [key, entry] of Object.entries(reply.entries)) {
      if (T.entries.isKey(key)) entries[key] = T.entries.make(entry.value, entry.spread, entry.basis);
    }
    await takeIn(entries, reply.document, name, reply.notes, at, isExample);
  }

  /** Put entries from outside in, after asking what becomes of those already here. */
  async function takeIn(entries, text, name, notes, at, isExample) {
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
      if (!choice || (choice === "save" && !(await save(at)))) return;
      if (choice === "fill") {
        const filled = Object.fromEntries(Object.entries(mine).filter(([, entry]) => T.entries.isFilled(entry)));
        const both = { ...entries, ...filled };
        return replace(both, T.store.document ?? text, `${name} has filled the gaps of your build: ${count(both)}.`, notes, at);
      }
    }
    replace(entries, text, `${name} is open: ${count(entries)}.`, notes, at);
  }

  /** A field as the forms name it, on whatever page it stands; what an older book called otherwise, by its key. */
  const label = (key) => (Object.hasOwn(T.labels, key) ? T.labels[key] : key.replaceAll("_", " "));

  /** Up to six fields in which the two builds differ, in words. */
  function differences(mine, theirs) {
    const [a, b] = [T.entries.texts(mine), T.entries.texts(theirs)];
    const keys = Object.keys(b).filter((key) => key in a && a[key] !== b[key]);
    const short = (text) => (text.length > 40 ? `${text.slice(0, 39)}…` : text);
    const lines = keys.slice(0, 6).map((key) => `${label(key)}: yours ${short(a[key])}, new ${short(b[key])}`);
    return keys.length > 6 ? [...lines, `and ${keys.length - 6} more`] : lines;
  }

  /** The builds that others took the place of, newest last: each way back leads on to the one before it. */
  const past = [];

  const present = () => ({ entries: T.store.all(), document: T.store.document });

  /** Put another build in place of the one that is here, and say so with a way back. */
  function replace(entries, text, said, lines, at) {
    if (!T.store.isEmpty() && !T.entries.same(T.store.all(), entries)) past.push(present());
    T.store.replace(entries, text);
    T.notice({ id: "build", at, text: said, lines, actions: wayBack(at) });
  }

  function bringBack(at) {
    const left = present();
    const { entries, document: text } = past.pop();
    T.store.replace(entries, text);
    const again = { text: `Take the other one again (${count(left.entries)})`, press: () => replace(left.entries, left.document, "The other build is here again.", [], at) };
    const actions = Object.keys(left.entries).length ? [again, ...wayBack(at, " that")] : wayBack(at);
    T.notice({ id: "build", at, text: `What was here before is back: ${count(entries)}.`, actions });
  }

  /** The button that brings the build before this one back, where there is one. */
  const wayBack = (at, that = "") => (past.length
    ? [{ text: `Bring back what was here before${that} (${count(past.at(-1).entries)})`, press: () => bringBack(at) }] : []);

  const count = (entries) => T.plural(Object.values(entries).filter(T.entries.isFilled).length, "entry", "entries");

  const link = () => location.href.split("#")[0] + T.entries.toLink(T.store.all());

  async function copyLink(at) {
    const text = link();
    try {
      await navigator.clipboard.writeText(text);
      T.notice({ id: "link", at, text: "The link is copied. Whoever opens it gets this page with your entries." });
    } catch {
      const box = T.notice({ id: "link", at, text: "Copy this link. Whoever opens it gets this page with your entries." });
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
      await takeIn(T.entries.fromLink(hash), null, "The link", []); // nobody pressed a button: said on top
    } catch (error) {
      refused(`The link could not be read; nothing was changed. ${error.message}`, undefined, [],
        { text: "Download the link as it is", press: () => { T.download("unread-link.txt", hash); return false; } });
    }
  };

  async function print(at) {
    const soon = setTimeout(() => T.notice({ id: "print", at, text: "Printing when the answer is ready …" }), 300);
    const fresh = await T.settled(30000);
    clearTimeout(soon);
    at.querySelector('[data-notice="print"]')?.remove();
    if (fresh) return window.print();
    T.notice({
      id: "print", at, failed: true,
      text: "Not every answer on this page is up to date: entries are missing or can't be used, or the calculator has not started. The print will say NOT UP TO DATE across each sheet.",
      actions: [{ text: "Print all the same", press: () => window.print() }],
    });
  }

  /** Take some entries away, with a way back. */
  T.forget = function (keys, at) {
    const before = keys.map((key) => [key, T.store.get(key)]).filter(([, entry]) => entry);
    for (const key of keys) T.store.remove(key);
    T.notice({
      id: "forget", at, text: `Cleared: ${before.map(([key, entry]) => `${label(key)} ${T.entries.text(entry)}`).join("; ")}.`,
      actions: [{ text: "Put it back", press: () => { for (const [key, entry] of before) T.store.set(key, entry); } }],
    });
  };

  async function clear(at) {
    const mine = T.store.all();
    if (T.store.isEmpty()) {
      T.notice({ id: "clear", at, text: "There is nothing to clear: the page shows the worked example." });
      return;
    }
    const choice = await T.ask({
      title: "Start over?",
      text: `This clears ${count(mine).startsWith("1 ") ? `your ${count(mine)}` : `all ${count(mine)} of your build`}, on every page of the book.`,
      choices: [{ text: "Save to a file, then clear", value: "save" }, { text: "Clear", value: "clear" }],
    });
    if (!choice || (choice === "save" && !(await save(at)))) return;
    replace({}, null, "Your entries are cleared. The page shows the worked example again.", [], at);
  }

  /** Buttons that open an example: data-example names the script element that holds its file. */
  for (const button of document.querySelectorAll("button[data-example]")) {
    const at = T.shelf();
    button.closest("p").after(at);
    button.addEventListener("click", () => {
      const source = document.getElementById(`example-${button.dataset.example}`);
      openToml(source.textContent, `The example “${button.dataset.example.replaceAll("-", " ")}”`, at, true);
    });
  }
  window.addEventListener("hashchange", () => T.openLink());
})(window.Turnabout);
