// The search page: looks the words up in the index that the build wrote, in this page, with nothing sent anywhere.
"use strict";

(function () {
  const lunr = window.lunr;
  const pages = window.__index.docs;
  const field = document.getElementById("ta-query");
  const said = document.getElementById("ta-found");
  const list = document.getElementById("ta-results");
  const MOST = 30;
  const CALM = 500; // ms after the last key before the count is said: it is read out
  let calm = null;

  const parsed = (html) => new DOMParser().parseFromString(html, "text/html").body.textContent;
  const plain = (html) => parsed(html.replace(/<[^>]*>/g, " ")).replace(/\s+/g, " ").trim();
  const titles = new Map(pages.map(({ location, title }) => [location, plain(title)]));
  const byAddress = new Map(pages.map(({ location, text }) => {
    const page = location.split("#")[0];
    const title = [...new Set([titles.get(page), titles.get(location)])].join(": ");
    return [location, { title, text: plain(text) }];
  }));

  const index = lunr(function () {
    this.ref("address");
    this.field("title", { boost: 8 });
    this.field("text");
    for (const [address, { title, text }] of byAddress) this.add({ address, title, text });
  });

  /** Every word must be met, whole or as the beginning of one; whole words and titles first. */
  function found(words) {
    return index.query((query) => {
      for (const word of words) {
        query.term(word, { boost: 10, presence: lunr.Query.presence.OPTIONAL });
        query.term(lunr.stemmer(new lunr.Token(word)).toString(), {
          wildcard: lunr.Query.wildcard.TRAILING, presence: lunr.Query.presence.REQUIRED, usePipeline: false,
        });
      }
    });
  }

  function passage(text, words) {
    const at = words.map((word) => text.toLowerCase().indexOf(word)).filter((place) => place >= 0);
    const start = Math.max(0, Math.min(...(at.length ? at : [0])) - 60);
    return (start ? "… " : "") + text.slice(start, start + 220) + (text.length > start + 220 ? " …" : "");
  }

  function show() {
    const words = field.value.toLowerCase().split(/[^\p{L}\p{N}]+/u).filter(Boolean);
    const hits = words.length ? found(words) : [];
    list.replaceChildren(...hits.slice(0, MOST).map(({ ref }) => {
      const { title, text } = byAddress.get(ref);
      const link = Object.assign(document.createElement("a"), { href: ref, textContent: title });
      const part = Object.assign(document.createElement("p"), { textContent: passage(text, words) });
      const item = document.createElement("li");
      item.append(link, part);
      return item;
    }));
    clearTimeout(calm);
    calm = setTimeout(() => {
      if (!words.length) said.textContent = "";
      else if (!hits.length) said.textContent = "Nothing found. Try a shorter word, or look in the contents.";
      else said.textContent = hits.length === 1 ? "1 place" : `${hits.length} places${hits.length > MOST ? `, the first ${MOST} shown` : ""}`;
    }, CALM);
  }

  field.value = new URLSearchParams(location.search).get("q") || "";
  field.addEventListener("input", () => {
    // Whoever comes back from a result finds the words again.
    history.replaceState(null, "", `?q=${encodeURIComponent(field.value)}`);
    show();
  });
  field.form.addEventListener("submit", (event) => {
    event.preventDefault();
    list.querySelector("a")?.focus();
  });
  show();
  if (!field.value) field.focus();
})();
