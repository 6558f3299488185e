// Entries as data: {value, spread, basis, time}, all text but the time. What is sent to Python, what a link holds,
// and the command line that gives the same answer. Pure functions: no page, no store.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  const KEY = /^[a-z][a-z0-9_]{0,59}$/;
  const BASES = ["measured", "rated", "guess", ""];
  const LONGEST = 20000; // characters of one value: a long table still fits
  const MARK = "#build:";

  const isText = (text, longest) => typeof text === "string" && text.length <= longest;

  T.entries = {
    isKey: (key) => KEY.test(key),

    /** Whether something read from a store, a file or a link has the shape of an entry. */
    isEntry: (entry) => Boolean(entry) && typeof entry === "object" && isText(entry.value, LONGEST) &&
      isText(entry.spread, 200) && BASES.includes(entry.basis) && Number.isFinite(entry.time),

    make: (value, spread, basis, time) => ({
      value: value || "", spread: spread || "", basis: basis || "", time: time || Date.now(),
    }),

    /** The entry in the text grammar: "95 kg ± 5 kg, measured". */
    text: (entry) => entry.value.trim() + (entry.spread.trim() ? ` ± ${entry.spread.trim()}` : "") +
      (entry.basis ? `, ${entry.basis}` : ""),

    /** Whether it is said how well a value is known: by its buttons, or as the last word in the box. */
    isSaid: (entry) => Boolean(entry.basis) || /,\s*[a-z]/i.test(entry.value),

    isFilled: (entry) => entry.value.trim() !== "",

    /** {key: text} of all entries that hold a value: what a request carries. */
    texts: (entries) => Object.fromEntries(Object.entries(entries)
      .filter(([, entry]) => T.entries.isFilled(entry)).map(([key, entry]) => [key, T.entries.text(entry)])),

    same: (one, other) => JSON.stringify(sorted(T.entries.texts(one))) === JSON.stringify(sorted(T.entries.texts(other))),

    /** The part of an address after the page that carries a build. */
    toLink: (entries) => MARK + Object.entries(entries).filter(([, entry]) => T.entries.isFilled(entry))
      .map(([key, e]) => [key, [e.value, e.spread, e.basis].map(encodeURIComponent).join(";")].join("="))
      .join("&"),

    isLink: (hash) => hash.startsWith(MARK),

    /** The entries in a link. Raises Error with a sentence when it can't be read. */
    fromLink(hash) {
      const found = {};
      for (const part of hash.slice(MARK.length).split("&").filter(Boolean)) {
        const [key, rest, ...more] = part.split("=");
        const pieces = (rest || "").split(";").map(decode);
        const entry = T.entries.make(...pieces.slice(0, 3));
        if (more.length || pieces.length > 3 || !KEY.test(key) || !T.entries.isEntry(entry) || !entry.value) {
          throw new Error(`“${part.slice(0, 60)}” is not an entry.`);
        }
        found[key] = entry;
      }
      if (!Object.keys(found).length) throw new Error("It holds no entries.");
      return found;
    },

    /**
     * The command that gives the same answer. kind: calc, verdict, record or compare; name: of the calculator or sheet; keys: the fields on this page,
     * written out; the rest of the build comes from a saved file.
     */
    command(kind, name, entries, keys) {
      if (kind === "verdict") return "python -m calc check build.toml";
      if (kind === "record") return `python -m calc print ${name} --sheet build.toml --out ${name}.html`;
      if (kind === "compare") return `python -m calc compare build.toml${name === "builds" ? " other.toml" : ""}`;
      const filled = Object.entries(T.entries.texts(entries));
      const here = filled.filter(([key]) => keys.includes(key));
      const sheet = filled.length > here.length ? ["--sheet build.toml"] : [];
      return ["python -m calc run", name, ...sheet, ...here.map(([key, text]) => `${key}=${quoted(text)}`)].join(" ");
    },
  };

  const sorted = (texts) => Object.entries(texts).sort(([a], [b]) => (a < b ? -1 : 1));

  function decode(piece) {
    try {
      return decodeURIComponent(piece);
    } catch {
      throw new Error(`“${piece.slice(0, 60)}” is damaged.`);
    }
  }

  /** A word for the shell. Double quotes serve Windows too; single ones only where a shell would read a sign. */
  function quoted(text) {
    if (/^[\w.,+-]+$/.test(text)) return text;
    if (!/["$`\\!\r\n]/.test(text)) return `"${text}"`;
    return `'${text.replaceAll("'", "'\\''")}'`;
  }
})(window.Turnabout);
