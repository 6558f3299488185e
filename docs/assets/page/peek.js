// While somebody works in a form, the answer's first line stays in sight at the foot of the window.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const WORDS = { demo: "Demo: ", old: "Old: ", last: "Last: " };

  T.peek = function (answer, form) {
    const link = T.make("a", { class: "ta-peek", href: `#${answer.id}`, hidden: true });
    form.after(link);

    const seen = new Map([[answer, true], [form, false]]);
    const watcher = new IntersectionObserver((changes) => {
      for (const change of changes) seen.set(change.target, change.isIntersecting);
      link.hidden = seen.get(answer) || !seen.get(form);
    });
    watcher.observe(answer);
    watcher.observe(form);

    // Whose form somebody is in, its link to the answer is the one that the key is for.
    const way = form.querySelector(".ta-to-answer");
    form.addEventListener("focusin", () => {
      document.querySelector("[accesskey]")?.removeAttribute("accesskey");
      way.accessKey = "a";
    });

    const copy = () => {
      const big = answer.querySelector(".ta-big, .ta-needs");
      const line = big ? [...big.childNodes].map((part) => part.cloneNode(true)) : ["no answer yet"];
      // What stops is said before the number that it stops.
      const stopped = answer.querySelector('.ta-finding[data-severity="stop"]') ? "stop: " : "";
      const aside = T.make("span", { class: "ta-aside" }, "Answer: ");
      link.replaceChildren(T.make("span", {}, aside, WORDS[answer.dataset.state] || "", stopped, ...line));
    };
    new MutationObserver(copy).observe(answer, { childList: true, subtree: true, attributeFilter: ["data-state"] });
    copy();
  };
})(window.Turnabout);
