// Small things every other script of a page with a calculator uses: making elements from text, asking, telling.
// Text from people, files and links goes into the page as text only, never as HTML.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  T.root = new URL(document.documentElement.dataset.root, document.baseURI).href;
  T.sheetPage = new URL(document.documentElement.dataset.sheet, document.baseURI).href;

  /** An element: attributes by name (a function listens to that event), children as text or nodes. */
  T.make = function (tag, attributes, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (typeof value === "function") element.addEventListener(name, value);
      else if (value === true) element.setAttribute(name, "");
      else if (value !== false && value != null) element.setAttribute(name, value);
    }
    element.append(...children);
    return element;
  };

  T.button = (text, press, attributes) => T.make("button", { type: "button", click: press, ...attributes }, text);

  /** A clock time a reader knows: "12:31" today, "25 Nov 2026, 12:31" on another day. */
  T.clock = function (time) {
    const when = new Date(time);
    const clock = when.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    if (when.toDateString() === new Date().toDateString()) return clock;
    return `${when.toLocaleDateString([], { day: "numeric", month: "short", year: "numeric" })}, ${clock}`;
  };

  T.plural = (count, word, words) => `${count} ${count === 1 ? word : words || word + "s"}`;

  T.download = function (name, text, type) {
    const address = URL.createObjectURL(new Blob([text], { type: type || "text/plain" }));
    const link = T.make("a", { href: address, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 60000);
  };

  /** Change the page above or below without moving what somebody is working in: not every browser sees to that. */
  T.steady = function (change) {
    const active = document.activeElement;
    const before = active?.getBoundingClientRect();
    const isSeen = active && active !== document.body && before.bottom > 0 && before.top < window.innerHeight;
    change();
    const moved = isSeen && active.isConnected ? active.getBoundingClientRect().top - before.top : 0;
    if (Math.abs(moved) >= 1) window.scrollBy(0, moved);
  };

  /** A place for messages: a line for those who listen, which is there before anything is said, and the boxes below it. */
  T.shelf = () => T.make("div", { class: "ta-notices" }, T.make("p", { class: "ta-aside", role: "status" }));

  // For what nobody asked for; anything else is said beside the button that was pressed.
  const top = T.shelf();
  document.querySelector("main").prepend(top);

  /** Say something to those who listen, where nothing needs to be seen. */
  T.say = (text) => { top.firstChild.textContent = text; };

  /**
   * A message that stays until it is put away. message: {id, text, lines?, actions?: [{text, press}], at?, failed?};
   * at: the shelf beside the button that asked for it; failed: what was asked for did not happen, so the message is gone
   * to. One with the same id is replaced. press may return false to keep the message.
   */
  T.notice = function (message) {
    const shelf = message.at || top;
    const before = document.querySelector(`[data-notice="${message.id}"]`);
    const active = document.activeElement;
    // Whoever puts a message away goes on where they were when it came.
    const from = before?.contains(active) ? before.from : active;
    before?.remove();
    const close = () => {
      box.remove();
      (message.at && from?.isConnected ? from : document.querySelector("main")).focus({ preventScroll: true });
    };
    const bar = T.make("p", { class: "ta-buttons" });
    for (const action of message.actions || []) bar.append(T.button(action.text, () => { if (action.press() !== false) close(); }));
    bar.append(T.button("Put away", close));
    const box = T.make("div", { class: "ta-notice", "data-notice": message.id, role: "group", tabindex: "-1", "aria-label": message.text },
      T.make("p", {}, message.text),
      ...(message.lines?.length ? [T.make("ul", {}, ...message.lines.map((line) => T.make("li", {}, line)))] : []), bar);
    box.from = from;
    shelf.append(box);
    if (message.failed) box.focus();
    else shelf.firstChild.textContent = [message.text, ...(message.lines || [])].join(" ");
    if (message.at) box.scrollIntoView({ block: "nearest" });
    return box;
  };

  /**
   * A question that must be answered before going on. question: {title, text, lines?, choices: [{text, value}],
   * cancel?: words for the button that changes nothing}; resolves with the value chosen, or null for that and Escape.
   */
  T.ask = function (question) {
    return new Promise((resolve) => {
      let answer = null;
      const choose = (value) => () => { answer = value; box.close(); };
      const box = T.make("dialog", { class: "ta-dialog", "aria-labelledby": "ta-dialog-title", "aria-describedby": "ta-dialog-text ta-dialog-lines" },
        T.make("h2", { id: "ta-dialog-title" }, question.title),
        T.make("p", { id: "ta-dialog-text" }, question.text),
        T.make("ul", { id: "ta-dialog-lines", hidden: !question.lines?.length }, ...(question.lines || []).map((l) => T.make("li", {}, l))),
        T.make("p", { class: "ta-buttons" },
          ...question.choices.map((choice) => T.button(choice.text, choose(choice.value))),
          // What changes nothing is what a hasty Enter does.
          T.button(question.cancel || "Cancel", choose(null), { autofocus: true })));
      box.addEventListener("close", () => { box.remove(); resolve(answer); });
      document.body.append(box);
      box.showModal();
    });
  };
})(window.Turnabout);
