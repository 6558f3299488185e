// A calculator, a verdict or a build record on the page: its form, its answer, and what is said about both.
// The answer is of one state at a time (data-state): demo (worked example), waiting (own build, no answer yet),
// last (own answer of an earlier visit), live (own answer), old (own answer of entries since changed for the worse).
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const CALM = 600; // ms without a new answer before it is kept, read out, and levers are looked for; or refused
  const ROUNDS = 40; // after which a key takes no less (measured)
  const WARMTH = 400; // ms spent so on one answer: longer, a slow one would keep the keys waiting, and the battery
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
    const whose = find(".ta-whose");
    const inner = find(".ta-inner");
    const example = [...inner.childNodes];
    const local = {}; // entries of fields that belong to this calculator only and are never stored
    let asking = null;
    let calm = null;
    let busy = false;
    let cold = ROUNDS; // answers that are still slower than later ones
    let warmth = 0; // ms spent on unseen ones
    let again = false;
    let isTyping = false;
    let isTouched = false; // somebody has entered something here since the page came
    let other = ""; // the second of two builds, a file's text: never stored
    let drawn = null; // the HTML that stands in the answer, where it came as text
    let uncalled = null; // a reply whose problems are shown and not called out yet
    let held = null; // a refusal of what may be half a number, until it is clear that it is whole

    const form = T.form(find("form") || T.make("form"), (key, entry, settled) => {
      isTyping = !settled;
      isTouched = true;
      if (form.isLocal(key)) local[key] = entry;
      else T.store.set(key, entry);
      ask();
    });

    const typed = form.typed(); // before this script ran
    const entries = () => ({ ...T.store.all(), ...local });
    const texts = () => T.entries.texts(entries());
    const isOwn = () => Object.keys(texts()).length > 0;
    const tell = T.tell(element, { form, isOwn, texts, retry, state: () => answer.dataset.state });

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
      uncalled = null;
      command();
      asking = setTimeout(work);
    }

    async function work() {
      asking = null;
      again = busy;
      if (busy) return;
      if (!isOwn() && !other) {
        if (isTyping && answer.dataset.state !== "demo") tell.aloud({ first: "Nothing is entered: the worked example is back." });
        settle("demo", example);
        tell.complain([]);
        return;
      }
      busy = true;
      let reply = null;
      try {
        await T.engine.start();
        again = false;
        reply = await T.engine.call(request(kind, texts()));
      } catch {
        // The engine's state says why.
        if (["waiting", "demo"].includes(answer.dataset.state) && isOwn()) settle("waiting", none("the calculator could not start"));
      }
      busy = false;
      if (again) work();
      else if (reply) take(reply);
      warm();
    }

    /** The same answer a few times more, unseen: the browser makes code that runs often quicker, and the first key is then answered as soon as the tenth. */
    async function warm() {
      while (cold > 0 && warmth < WARMTH && !busy && T.engine.state === "ready") {
        cold--;
        warmed = warmed.then(unseen);
        warmth += await warmed;
      }
    }

    /** How many ms an answer takes that nobody sees. */
    async function unseen() {
      const start = performance.now();
      await T.engine.call(request(kind, texts())).catch(() => {});
      return performance.now() - start;
    }

    function take(reply) {
      if (!isOwn() && !other) return work();
      clearTimeout(calm); // that of an answer which came while this one was asked for
      if (reply.kind !== "result") {
        held = reply;
        calm = setTimeout(refuse, isTyping ? CALM : 0);
        return;
      }
      if (!reply.problems) tell.complain([]);
      T.steady(() => draw(reply.html));
      answer.dataset.state = "live";
      say();
      calm = setTimeout(() => {
        if (reply.problems) complain(reply, true);
        settleDown(reply.html);
      }, CALM);
    }

    /** Put an answer in, if it isn't the one that stands there; folds stay open, and who was in it stays in it. */
    function draw(html) {
      if (html === drawn) return;
      drawn = html;
      const all = (tag) => [...inner.querySelectorAll(tag)];
      const open = all("details").map((fold) => fold.open);
      const was = inner.contains(document.activeElement) ? document.activeElement : null;
      const number = was ? all(was.localName).indexOf(was) : 0;
      inner.innerHTML = html; // from our renderer, which escapes every text
      T.point(inner, form);
      all("details").forEach((fold, at) => { fold.open = open[at] ?? fold.open; });
      if (!was) return;
      const same = was.dataset.field
        ? inner.querySelector(`a[data-field="${was.dataset.field}"]`)
        : was.localName !== "button" && all(was.localName)[number]; // a button has done what it was for
      (same || answer).focus({ preventScroll: true });
    }

    /** Problems of a reply, told; those of a row that is being written are called out when its line or its box is left. */
    function complain(reply, answered) {
      const isWriting = form.isWritingRow();
      const unheard = isWriting ? { ...reply, answered } : null;
      const missing = tell.complain(reply.problems || [], { answered, isTouched, isWriting });
      uncalled = unheard;
      return missing;
    }

    /** Say what is wrong, once nobody types; the first digits of a number are no fault. */
    function refuse() {
      clearTimeout(calm);
      const reply = held;
      held = null;
      const missing = complain(reply, false);
      const isCrash = reply.kind === "crash";
      const { state } = answer.dataset;
      const isAllMissing = !isCrash && missing.length > 0 && missing.length === reply.problems.length;
      if (isTouched && isAllMissing) tell.wanting(missing, ["live", "last", "old"].includes(state));
      if (state === "live" || (state === "last" && !isCrash)) answer.dataset.state = "old";
      else if (["demo", "waiting"].includes(state) && isOwn()) settle("waiting", isCrash ? none("the book failed on your entries") : wanted(missing));
      if (isCrash) tell.crashed(reply.details || reply.text);
    }

    /** In the answer's place while there is none, though entries are there. */
    const none = (why) => [T.make("p", { class: "ta-big" }, "No answer ", T.make("small", {}, why))];

    function wanted(missing) {
      if (!missing.length) return [note("Your answer appears here when the entries named below are mended.")];
      const names = missing.map(({ label, field }) => label || field);
      const more = names.length > 2 ? ` and ${names.length - 2} more` : "";
      const line = note(`Yours needs ${names.length} more: ${names.slice(0, 2).join(", ")}${more}.`);
      line.classList.add("ta-needs"); // shown at the foot of the window too
      return [line];
    }

    /** What has time until nobody types: keep the answer for the next visit, read it out, look for levers. */
    async function settleDown(html) {
      T.store.keepAnswer(name, html);
      tell.aloud(T.spoken(inner, kind, html));
      const slots = [...inner.querySelectorAll("[data-lever]")];
      if (kind !== "verdict" || !slots.length) return;
      const asked = calm;
      const reply = await T.engine.call(request("levers", texts())).catch(() => null);
      if (asked !== calm || !reply?.levers) return;
      for (const slot of slots) {
        if (Object.hasOwn(reply.levers, slot.dataset.lever)) slot.innerHTML = reply.levers[slot.dataset.lever];
      }
      T.store.keepAnswer(name, inner.innerHTML);
    }

    function settle(state, nodes) {
      answer.dataset.state = state;
      T.steady(() => inner.replaceChildren(...nodes));
      drawn = null;
      T.point(inner, form);
      say();
    }

    function say() {
      whose.dataset.time = answer.dataset.state === "last" ? T.clock(T.store.answer(name).time) : "";
      tell.status();
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
      form.unfold();
      command();
      if (isOwn()) {
        const last = T.store.answer(name);
        settle(last ? "last" : "waiting", last ? [T.safe(last.html)] : [note(WAIT)]);
        if (last) drawn = last.html;
        ask();
      }
    }

    T.store.onChange((source) => {
      form.show(entries(), source !== "replaced");
      if (source === "replaced") form.unfold();
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
      else if (uncalled) complain(uncalled, uncalled.answered);
    });
    element.addEventListener("focusin", () => T.engine.start().catch(() => {}), { once: true });
    element.addEventListener("click", (event) => {
      const named = event.target.closest("a[data-field]");
      if (named && form.control(named.dataset.field)) {
        event.preventDefault();
        form.visit(named.dataset.field);
      }
      const clear = event.target.closest("[data-clear]");
      if (clear) isTouched = true;
      if (clear) T.forget(clear.dataset.clear.split(" "), near);
    });

    /** A second build beside the page's own: the text of its file, which can be read. */
    function beside(toml) {
      other = toml;
      ask();
    }

    const near = T.shelf(); // for what is said of something pressed in the answer
    find(".ta-status").after(near);

    const own = { element, kind, view, beside: element.dataset.compare === "builds" && beside, entries, open, visit: form.visit, control: form.control,
      /** Whether an answer, or a refusal, is still on its way. */
      isComing: () => busy || again || Boolean(held) || asking !== null,
      isFresh: () => ["demo", "live"].includes(answer.dataset.state) };
    if (find("form")) T.peek(answer, find("form"));
    T.toolbar(own);
    blocks.push(own);
  }

  /** Wait while an answer is on its way, `patience` ms at most; whether every answer on the page is up to date. */
  T.settled = async function (patience) {
    const end = Date.now() + patience;
    await Promise.all([ready, T.store.ready]);
    while (blocks.some((one) => one.isComing()) && Date.now() < end && T.engine.state !== "failed") {
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
    return blocks.every((one) => !one.isComing() && one.isFresh());
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
