// What is said beside an answer: how the calculator is coming along, what is wrong with the entries, and the answer's
// first line for those who listen.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  /**
   * The voice of a block. own: {form, state: () => the answer's state, isOwn: () => whether anything is entered,
   * texts: () => the entries, retry: start once more, said: the name of what it shows}.
   */
  T.tell = function (element, own) {
    const find = (selector) => element.querySelector(selector);
    const [line, heard] = find(".ta-status").children;
    const summary = find(".ta-problems");
    let told = { first: "" }; // what was last said to those who listen
    let saidAt = 0;
    let later = null; // what waits until that may have been heard
    line.tabIndex = -1; // for whoever was on its button when that went

    /** Put parts into the line that everybody sees; who was in it stays in it. */
    function show(...parts) {
      const wasIn = line.contains(document.activeElement);
      line.replaceChildren(...parts);
      if (wasIn) (line.querySelector("button") || line).focus();
    }

    function sayNow(text, spoken) {
      clearTimeout(later);
      heard.textContent = text;
      told = spoken;
      saidAt = Date.now();
    }

    return {
      /** One line on where things stand. */
      status() {
        const { state, detail } = T.engine;
        if (state === "failed") {
          const left = { demo: "The worked example stays", waiting: "Your entries are kept", last: "Your last answer stays" }[own.state()] || "The answer stays";
          show(`The calculator could not start. ${left}; the command below gives the answer for your numbers. `,
            T.button("Try again", own.retry), happened(detail));
          const fold = find(".ta-command");
          if (fold) fold.open = true;
          return;
        }
        const words = {
          starting: `Starting the calculator. What you enter counts at once.${detail ? ` ${detail}.` : ""}`,
          ready: own.isOwn() ? "" : own.form.keys.length ? "Ready. Change a number and the answer becomes yours." : "Ready. What is on your build sheet comes here.",
        };
        show(own.state() === "live" ? "" : words[state] || "");
      },

      /**
       * The answer's first line for those who listen. What they heard last time is not said again, and what they may be
       * hearing still is not talked over by the word that nothing changed. spoken: {first, whole, checks?} of T.spoken.
       */
      aloud(spoken) {
        const isSame = spoken.first === told.first;
        if (isSame && spoken.whole === told.whole) {
          clearTimeout(later);
          const wait = Math.max(0, saidAt + unheardFor(heard.textContent) - Date.now());
          later = setTimeout(() => { heard.textContent = spoken.isVerdict ? "Verdict unchanged." : "No change."; }, wait);
          return;
        }
        sayNow(isSame ? changedBelow(spoken, told) : spoken.first, spoken);
      },

      /** Why there is no answer, or only an old one, for those who listen: once, however long it lasts. */
      wanting(missing, isOld) {
        const names = missing.map(({ label, field }) => inside(label || field));
        const first = isOld
          ? `This answer is old: ${names.length > 1 ? `${listed(names)} are` : `${names[0]} is`} missing.`
          : `${T.plural(names.length, "more entry", "more entries")} needed: ${listed(names)}.`;
        if (first !== told.first) sayNow(first, { first });
      },

      crashed(text) {
        show("This is a fault of the book, not of your numbers. They are kept; change one to try again. ", happened(text));
      },

      /**
       * Problems beside their fields, and all of them together, each a link to its field. What is missing is no fault,
       * and only what somebody enters here is called out, but not while they are writing it. Gives back what is missing.
       */
      complain(found, { answered, isTouched, isWriting } = {}) {
        const filled = own.texts();
        const problems = found.map((problem) => ({ ...problem, missing: Boolean(problem.field) && !Object.hasOwn(filled, problem.field) }));
        own.form.mark(problems);
        const lines = problems.map(({ field, label, text }) =>
          T.make("li", {}, field ? T.make("a", { "data-field": field, href: "#" }, label || field) : label, `: ${text}`));
        const missing = problems.filter((problem) => problem.missing);
        const bad = problems.length - missing.length;
        const text = bad
          ? `${T.plural(bad, "entry", "entries")} can't be used. ${answered ? "The answer does without." : "The answer waits until all named here are mended."}`
          : `For your own answer ${T.plural(lines.length, "more entry is", "more entries are")} needed:`;
        summary.dataset.problem = bad ? "bad" : "missing";
        const isLoud = Boolean(bad && isTouched && !isWriting);
        const isNew = isLoud && !summary.hasAttribute("role"); // shown already perhaps, and not called out
        if (isLoud) summary.setAttribute("role", "alert");
        else summary.removeAttribute("role");
        const box = [T.make("p", {}, text), T.make("ul", {}, ...lines)];
        T.steady(() => {
          if (isNew || summary.textContent !== box.map((part) => part.textContent).join("")) summary.replaceChildren(...(lines.length ? box : []));
          summary.hidden = !lines.length;
        });
        T.point(summary, own.form);
        return missing;
      },
    };
  };

  /** Links to fields, and to groups of them: to the place on this page, or on the build sheet. */
  T.point = function (parent, form) {
    for (const link of parent.querySelectorAll("a[data-group]")) {
      const place = `#sheet-group-${encodeURIComponent(link.dataset.group)}`;
      link.setAttribute("href", document.querySelector(place) ? place : T.sheetPage + place);
    }
    for (const link of parent.querySelectorAll("a[data-field]")) {
      const { field } = link.dataset;
      const control = form.control(field);
      link.setAttribute("href", control ? `#${control.id}` : `${T.sheetPage}#sheet-${encodeURIComponent(field)}`);
    }
  };

  /**
   * An answer as it is heard: {first: its first line; whole: all of it, to tell whether it changed; checks: of a verdict,
   * each by its title}.
   */
  T.spoken = function (answer, kind, html) {
    const checks = new Map([...answer.querySelectorAll(".ta-check")].map((check) => [
      check.querySelector(".ta-line strong").textContent,
      [...check.querySelectorAll("p:not(.ta-lever)")].map((part) => part.textContent).join(" "),
    ]));
    return { first: firstLine(answer, kind), whole: html, checks, isVerdict: kind === "verdict" };
  };

  /** The first line of an answer, to be heard: a verdict that stops names what stops it. */
  function firstLine(answer, kind) {
    if (kind === "record") return "Filled in with your build.";
    const big = answer.querySelector(".ta-big");
    const [head, ...rest] = [...(big?.childNodes || [])].map((part) => part.textContent.trim()).filter(Boolean);
    const stops = [...answer.querySelectorAll('.ta-check[data-severity="stop"] .ta-line strong')].map((title) => title.textContent);
    if (!stops.length) return [head, ...rest].filter(Boolean).join(". ");
    const more = stops.length > 2 ? ` and ${stops.length - 2} more` : "";
    return `${head}. ${stops.length} to mend first: ${stops.slice(0, 2).join(", ")}${more}.`;
  }

  /** What is said of an answer that changed below its first line. */
  function changedBelow(now, before) {
    const changed = [...now.checks].filter(([title, text]) => before.checks?.get(title) !== text).map(([title]) => inside(title));
    return changed.length ? `${now.first} Changed: ${listed(changed)}.` : `${now.first} What stands below it has changed.`;
  }

  /** How many ms somebody may take to hear a text. */
  const unheardFor = (text) => 1000 + 60 * text.length;

  /** A label inside a sentence. */
  const inside = (label) => (/^[A-Z][a-z]/.test(label) ? label[0].toLowerCase() + label.slice(1) : label);

  /** Two names, and how many more there are. */
  const listed = (names) => (names.length > 2 ? `${names.slice(0, 2).join(", ")} and ${names.length - 2} more` : names.join(" and "));

  /** What went wrong, folded away, to copy into a report. */
  function happened(text) {
    const copy = T.button("Copy", () => navigator.clipboard?.writeText(text));
    return T.make("details", {}, T.make("summary", {}, "What happened"), T.make("pre", {}, text), copy);
  }

  // However many calculators a page has, those who listen hear once how it starts.
  let heard = "";
  T.engine.onState((state) => {
    const words = { starting: "Starting the calculator.", ready: "Ready.", failed: "The calculator could not start." };
    if (state !== heard) T.say(words[state] || "");
    heard = state;
  });
})(window.Turnabout);
