// A calculator, a verdict or a build record on the page: its form, its answer, and what is said about both.
// The answer is of one state at a time (data-state): demo (worked example), waiting (own build, no answer yet),
// last (own answer of an earlier visit), live (own answer), old (own answer of entries since changed for the worse).
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const CALM = 600; // ms without a new answer before it is kept, read out, and levers are looked for; or refused
  const ROUNDS = 40; // after which a key takes no less (measured)
  const WAIT = "Your build is kept in this browser. Its answer appears here when the calculator has started.";
  const blocks = [];
  let warmed = Promise.resolve(); // one unseen answer at a time, however many blocks there are: a key waits for one at most
  let begun;
  const ready = new Promise((resolve) => { begun = resolve; });
  const note = (text) => T.make("p", { class: "ta-note" }, text);

  function block(element) {
    const find = (selector) => element.querySelector(selector);
    const kind = ["calc", "verdict", "record", "compare"].find((word) => element.classList.contains(`ta-${word}`));
    const view = element.dataset.view;
    const name = [kind, element.dataset.calc || view || element.dataset.record || element.dataset.compare].filter(Boolean).join("-");
    const answer = find(".ta-answer");
    const status = find(".ta-status");
    const summary = find(".ta-problems");
    const example = [...answer.childNodes];
    const local = {}; // entries of fields that belong to this calculator only and are never stored
    let asking = null;
    let calm = null;
    let busy = false;
    let cold = ROUNDS; // answers that are still slower than later ones
    let again = false;
    let isTyping = false;
    let other = ""; // the second of two builds, a file's text: never stored
    let held = null; // a refusal of what may be half a number, until it is clear that it is whole

    const form = T.form(find("form") || T.make("form"), (key, entry, settled) => {
      isTyping = !settled;
      if (form.isLocal(key)) local[key] = entry;
      else T.store.set(key, entry);
      ask();
    });

    const typed = form.typed(); // before this script ran
    const entries = () => ({ ...T.store.all(), ...local });
    const texts = () => T.entries.texts(entries());
    const isOwn = () => Object.keys(texts()).length > 0;

    function request(op, own) {
      if (kind === "calc") return { op: "run", calculator: element.dataset.calc, entries: own };
      if (kind === "compare") return { op: { builds: "compare", ideas: "ideas" }[element.dataset.compare], entries: own, other };
      const today = new Date().toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" });
      return { op, entries: own, view, today, sheet: element.dataset.record };
    }

    /** Work the answer out anew: at once, or when what is under way is done; the newest entries count. */
    function ask() {
      clearTimeout(asking);
      clearTimeout(calm);
      held = null;
      command();
      asking = setTimeout(work);
    }

    async function work() {
      again = busy;
      if (busy) return;
      if (!isOwn() && !other) {
        settle("demo", example);
        complain([]);
        return;
      }
      busy = true;
      let reply = null;
      try {
        await T.engine.start();
        again = false;
        reply = await T.engine.call(request(kind, texts()));
      } catch {
        if (answer.dataset.state === "waiting") settle("demo", example); // the engine's state says why
      }
      busy = false;
      if (again) work();
      else if (reply) take(reply);
      warm();
    }

    /** The same answer a few times more, unseen: the browser makes code that runs often quicker, and the first key is then answered as soon as the tenth. */
    async function warm() {
      while (cold > 0 && !busy && T.engine.state === "ready") {
        cold--;
        warmed = warmed.then(() => T.engine.call(request(kind, texts()))).catch(() => {});
        await warmed;
      }
    }

    function take(reply) {
      if (!isOwn() && !other) return work();
      if (reply.kind !== "result") {
        held = reply;
        calm = setTimeout(refuse, isTyping ? CALM : 0);
        return;
      }
      if (!reply.problems) complain([]);
      const open = [...answer.querySelectorAll("details")].map((fold) => fold.open);
      answer.innerHTML = reply.html; // from our renderer, which escapes every text
      point(answer);
      answer.querySelectorAll("details").forEach((fold, at) => { fold.open = open[at] ?? fold.open; });
      answer.dataset.state = "live";
      say();
      calm = setTimeout(() => {
        if (reply.problems) complain(reply.problems, true);
        settleDown(reply.html);
      }, CALM);
    }

    /** Say what is wrong, once nobody types; the first digits of a number are no fault. */
    function refuse() {
      clearTimeout(calm);
      const reply = held;
      held = null;
      complain(reply.problems || []);
      if (["live", "last"].includes(answer.dataset.state)) answer.dataset.state = "old";
      if (answer.dataset.state === "waiting") settle("waiting", [note("Your answer appears here when the entries named below are made.")]);
      if (reply.kind === "crash") crashed(reply);
    }

    /** What has time until nobody types: keep the answer for the next visit, read it out, look for levers. */
    async function settleDown(html) {
      T.store.keepAnswer(name, html);
      const big = answer.querySelector(".ta-big");
      if (big) say(big.textContent);
      const slots = [...answer.querySelectorAll("[data-lever]")];
      if (kind !== "verdict" || !slots.length) return;
      const asked = calm;
      const reply = await T.engine.call(request("levers", texts())).catch(() => null);
      if (asked !== calm || !reply?.levers) return;
      for (const slot of slots) {
        if (Object.hasOwn(reply.levers, slot.dataset.lever)) slot.innerHTML = reply.levers[slot.dataset.lever];
      }
      T.store.keepAnswer(name, answer.innerHTML);
    }

    function settle(state, nodes) {
      answer.dataset.state = state;
      answer.replaceChildren(...nodes);
      point(answer);
      say();
    }

    /** Problems beside their fields, and all of them together, each a link to its field. What is missing is no fault. */
    function complain(found, answered) {
      const filled = texts();
      const problems = found.map((problem) => ({ ...problem, missing: Boolean(problem.field) && !Object.hasOwn(filled, problem.field) }));
      form.mark(problems);
      const lines = problems.map(({ field, label, text }) =>
        T.make("li", {}, field ? T.make("a", { "data-field": field, href: "#" }, label || field) : label, `: ${text}`));
      const bad = problems.filter((problem) => !problem.missing).length;
      const text = bad
        ? `${T.plural(bad, "entry", "entries")} can't be used. ${answered ? "The answer does without." : "The answer waits until all named here are mended."}`
        : `For your own answer ${T.plural(lines.length, "more entry is", "more entries are")} needed:`;
      summary.dataset.problem = bad ? "bad" : "missing";
      const box = [T.make("p", {}, text), T.make("ul", {}, ...lines)];
      if (summary.textContent !== box.map((part) => part.textContent).join("")) summary.replaceChildren(...(lines.length ? box : []));
      point(summary);
      summary.hidden = !lines.length;
      if (lines.length) say();
    }

    /** Links to fields: to the field on this page, or to its place on the build sheet. */
    function point(parent) {
      for (const link of parent.querySelectorAll("a[data-field]")) {
        const { field } = link.dataset;
        const control = form.control(field);
        link.setAttribute("href", control ? `#${control.id}` : `${T.sheetPage}#sheet-${encodeURIComponent(field)}`);
      }
    }

    function crashed(reply) {
      status.replaceChildren(
        "This is a fault of the book, not of your numbers. They are kept; change one to try again. ",
        happened(reply.details || reply.text));
    }

    /** What went wrong, folded away, to copy into a report. */
    function happened(text) {
      const copy = T.button("Copy", () => navigator.clipboard?.writeText(text));
      return T.make("details", {}, T.make("summary", {}, "What happened"), T.make("pre", {}, text), copy);
    }

    /** One line on where things stand. aloud: the answer's first line, for those who listen. */
    function say(aloud) {
      const { state, detail } = T.engine;
      const shown = answer.dataset.state;
      answer.dataset.time = shown === "last" ? T.clock(T.store.answer(name).time) : "";
      if (state === "failed") {
        const left = { demo: "The worked example stays", last: "Your last answer stays" }[shown] || "The answer stays";
        status.replaceChildren(
          `The calculator could not start. ${left}; the command below gives the answer for your numbers. `,
          T.button("Try again", retry), happened(detail));
        const fold = find(".ta-command");
        if (fold) fold.open = true;
        return;
      }
      const words = {
        starting: `Starting the calculator. What you enter counts at once.${detail ? ` ${detail}.` : ""}`,
        ready: isOwn() ? "" : form.keys.length ? "Ready. Change a number and the answer becomes yours." : "Ready. What is on your build sheet comes here.",
      };
      const line = shown === "live" ? "" : words[state] || "";
      status.replaceChildren(line, ...(aloud ? [T.make("span", { class: "ta-aside" }, aloud)] : []));
    }

    function command() {
      const code = find(".ta-command code");
      if (code && isOwn()) code.textContent = T.entries.command(kind, element.dataset.calc || element.dataset.record || element.dataset.compare, entries(), form.keys);
    }

    /** Start once more after a failure. */
    function retry() {
      T.engine.start().then(work, () => {});
    }

    /** The store has spoken: show what is kept, or the worked example. */
    function open() {
      for (const [key, entry] of typed) if (!form.isLocal(key)) T.store.set(key, entry);
      form.show(entries());
      command();
      if (isOwn()) {
        const last = T.store.answer(name);
        settle(last ? "last" : "waiting", last ? [T.safe(last.html)] : [note(WAIT)]);
        ask();
      }
    }

    T.store.onChange((source) => {
      form.show(entries(), source !== "replaced");
      if (source === "replaced" && isOwn() && T.engine.state !== "ready") settle("waiting", [note(WAIT)]);
      if (source !== "page") isTyping = false;
      if (source !== "saved") ask();
    });
    T.engine.onState((state) => {
      say();
      if (state === "ready") warm();
    });
    element.addEventListener("focusout", () => {
      form.show(entries(), true); // what another tab changed meanwhile
      isTyping = false;
      if (held) refuse();
    });
    element.addEventListener("focusin", () => T.engine.start().catch(() => {}), { once: true });
    element.addEventListener("click", (event) => {
      const named = event.target.closest("a[data-field]");
      if (named && form.control(named.dataset.field)) {
        event.preventDefault();
        form.visit(named.dataset.field);
      }
      const use = event.target.closest("[data-use]");
      if (use) T.store.set(use.dataset.use, T.entries.make(use.dataset.value, "", use.dataset.basis));
    });

    /** A second build beside the page's own. */
    async function beside(file) {
      if (file.size > 1e6) return complain([{ field: "", label: file.name, text: "is too large for a build sheet." }]);
      other = await file.text();
      ask();
    }

    const own = { element, kind, view, beside: element.dataset.compare === "builds" && beside, entries, open, visit: form.visit, control: form.control,
      /** Whether nothing is left to be worked out. */
      isSettled: () => !busy && !again && !held && ["demo", "live"].includes(answer.dataset.state) };
    answer.id ||= `${name}-answer`;
    if (find("form")) T.peek(answer, find("form"));
    T.toolbar(own);
    blocks.push(own);
  }

  /** Wait until every answer is live; false when that takes longer than `patience` ms or Python can't start. */
  T.settled = async function (patience) {
    const end = Date.now() + patience;
    await ready;
    while (!blocks.every((one) => one.isSettled())) {
      if (Date.now() > end || T.engine.state === "failed") return false;
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    return true;
  };

  function arrive() {
    document.documentElement.classList.remove("ta-asking");
    for (const one of blocks) one.open();
    T.openLink();
    const aim = location.hash.slice(1);
    for (const one of blocks) {
      const field = document.getElementById(aim)?.closest(".ta-field")?.dataset.field;
      if (field && one.element.contains(document.getElementById(aim))) one.visit(field);
    }
  }

  /** Python is started when the page has nothing else to do; where the book is kept already, without waiting for that. */
  function startSoon() {
    if (navigator.connection?.saveData) return;
    const start = () => T.engine.start().catch(() => {});
    if (navigator.serviceWorker?.controller) start();
    else T.store.ready.then(() => (window.requestIdleCallback || ((work) => setTimeout(work, 1000)))(start));
  }

  function begin() {
    startSoon(); // first of all: its files come while the forms are made ready
    document.querySelectorAll(".ta-calc, .ta-verdict, .ta-record, .ta-compare").forEach(block);
    T.store.ready.then(arrive);
    begun();
  }

  // Where no build can be kept here, the worked example is painted first.
  const isAsking = document.documentElement.classList.contains("ta-asking");
  if (isAsking || document.hidden) begin();
  else requestAnimationFrame(() => setTimeout(begin));
})(window.Turnabout);
