// One form of fields, and the entries it shows: reading, writing, marking problems.
// Field kinds: number (with basis and spread), count, choice and flag (select), list, text, table (a row a line).
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  /**
   * The fields of a form element. onEdit(key, entry, settled) is told of each change; settled is false while
   * somebody is still typing.
   */
  T.form = function (element, onEdit) {
    const fields = new Map();
    for (const box of element.querySelectorAll(".ta-field")) fields.set(box.dataset.field, parts(box));
    for (const box of element.querySelectorAll("[data-cells]")) T.cells(box);

    const edited = (key, settled) => {
      const entry = read(fields.get(key));
      assume(fields.get(key), entry);
      onEdit(key, entry, settled);
    };
    const keyOf = (target) => target.closest(".ta-field")?.dataset.field;

    element.addEventListener("submit", (event) => event.preventDefault());
    element.addEventListener("input", ({ target }) => {
      if (keyOf(target)) edited(keyOf(target), target.matches("select"));
    });
    element.addEventListener("click", ({ target }) => {
      const button = target.closest("button[data-basis]");
      if (!button) return;
      press(fields.get(keyOf(button)), button.getAttribute("aria-checked") === "true" ? "" : button.dataset.basis);
      edited(keyOf(button), true);
    });
    element.addEventListener("keydown", (event) => {
      if (event.target.matches("button[data-basis]")) step(event);
      if (event.key === "Enter" && keyOf(event.target) && event.target.matches("input")) edited(keyOf(event.target), true);
    });

    /** The three buttons are one stop: arrows go from one to the next and choose it, Delete takes the choice away. */
    function step(event) {
      const field = fields.get(keyOf(event.target));
      const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, Delete: 0, Backspace: 0 }[event.key];
      if (way === undefined) return;
      event.preventDefault();
      const next = field.buttons.at((field.buttons.indexOf(event.target) + way) % field.buttons.length);
      press(field, way ? next.dataset.basis : "");
      edited(keyOf(next), true); // before the focus goes: leaving a control shows what is kept
      next.focus();
    }

    return {
      keys: [...fields.keys()],
      /** Whether a field is of this calculator only: never stored. */
      isLocal: (key) => fields.get(key)?.box.dataset.stored === "no",
      /** Entries that were typed before this script ran. */
      typed: () => [...fields].filter(([, f]) => f.control.value !== initial(f.control)).map(([key, f]) => [key, read(f)]),
      /** Show these entries; `gently`, a field that somebody is typing in is left alone. */
      show(entries, gently) {
        const busy = gently ? document.activeElement : null;
        for (const [key, field] of fields) write(field, entries[key] || T.entries.make(), busy);
      },
      /** Bring into sight what is folded away, is another way to give what the form asks for, and holds something: it may be what counts. */
      unfold() {
        for (const { box, control } of fields.values()) {
          const fold = box.closest(".ta-optional");
          if (fold && "other" in box.dataset && control.value && !fold.contains(document.activeElement)) fold.before(box);
        }
      },
      /** Mark the problems beside their fields and clear all others; gives back those of fields not on this form. */
      mark(problems) {
        for (const field of fields.values()) mend(field);
        return problems.filter((problem) => {
          const field = fields.get(problem.field);
          if (field) accuse(field, problem);
          return !field;
        });
      },
      /** Whether somebody is writing a row of a table: Enter behind it, or leaving the box, ends that. */
      isWritingRow() {
        const { activeElement } = document;
        const field = fields.get(activeElement?.name);
        return Boolean(field?.isTable) && field.control === activeElement && !/\n\s*$/.test(activeElement.value);
      },
      /** The control of a field, or undefined. */
      control: (key) => fields.get(key)?.control,
      /** Bring a field into view and put the cursor into it. */
      visit(key) {
        const { control } = fields.get(key);
        for (let fold = control.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
        control.focus();
        control.scrollIntoView({ block: "center" });
      },
    };
  };

  const parts = (box) => ({
    box,
    control: box.querySelector(`[name="${box.dataset.field}"]`),
    spread: box.querySelector(".ta-spread"),
    buttons: [...box.querySelectorAll("button[data-basis]")],
    problem: box.querySelector(".ta-problem"),
    assumed: box.querySelector(".ta-assumed"),
    isTable: box.dataset.kind === "table",
  });

  const initial = (control) => (control.matches("select")
    ? [...control.options].find((option) => option.defaultSelected)?.value ?? control.options[0]?.value
    : control.defaultValue);

  const DECIMAL = /^[+\-−]?\d*,\d+(?!.*,)/; // one comma, in a number
  const THOUSANDS = /^[+\-−]?[1-9]\d{0,2},\d{3}(?!\d)/; // might be either: left for Python to refuse

  /** A cell with its decimal comma as a point, where it can be nothing else. */
  T.decimal = (cell) => (THOUSANDS.test(cell.trim()) ? cell : cell.replace(/(\d*),(\d)/, "$1.$2")).trim();

  /**
   * Lines as rows of the text grammar: cells parted by commas. In lines pasted from a spreadsheet cells are parted by
   * tabs, or by semicolons where commas are decimals; there a decimal comma becomes a point. Names on top that are parted
   * by semicolons say so for every line.
   */
  function rowsOf(text, { columns, least }) {
    const point = T.decimal;
    const lines = text.split("\n").map((line) => line.trim().replace(/;+$/, "")).filter(Boolean);
    const isHeaded = lines.length > 1 && lines[0].includes(";") && !/\d/.test(lines[0]);
    return lines.map((line) => {
      if (line.includes("\t")) return line.split("\t").map(point).join(", ");
      const cells = line.split(";").map((cell) => cell.trim());
      if (isHeaded) return cells.map(point).join(", ");
      const isSheet = least > 1 && cells.length > 1 && cells.length <= columns &&
        cells.every((cell) => !cell.includes(",") || DECIMAL.test(cell));
      if (!isSheet) return line;
      // Where two cells make a row, those with a comma each may be rows: together they are too many, and Python says so.
      const unclear = Number(least) === 2 && cells.every((cell) => cell.includes(","));
      return cells.map(unclear ? (cell) => cell : point).join(", ");
    });
  }

  function read({ box, control, spread, buttons, isTable }) {
    // What was copied from a page has no-break spaces between numbers and units.
    const text = box.dataset.kind === "text" ? control.value : control.value.replace(/[\u00a0\u202f]/g, " ");
    const rows = isTable ? rowsOf(text, box.dataset) : [];
    const basis = buttons.find((button) => button.getAttribute("aria-checked") === "true")?.dataset.basis;
    return T.entries.make(isTable ? rows.join("; ") : text, spread?.value, basis);
  }

  /** Say when a number counts as a guess because nobody said how it is known. */
  function assume({ box, assumed }, entry) {
    if (!assumed) return;
    assumed.hidden = !T.entries.isFilled(entry) || T.entries.isSaid(entry);
    box.toggleAttribute("data-assumed", !assumed.hidden);
    if (assumed.hidden) assumed.parentElement.removeAttribute("aria-describedby");
    else assumed.parentElement.setAttribute("aria-describedby", assumed.id);
  }

  function write(field, entry, busy) {
    const { control, spread, isTable } = field;
    assume(field, entry);
    const value = isTable ? entry.value.split(/\s*;\s*/).join("\n") : entry.value;
    if (control.value !== value && busy !== control) {
      control.value = value;
      if (control.matches("select") && control.selectedIndex < 0) keepUnknown(control, value);
    }
    if (spread && spread.value !== entry.spread && busy !== spread) spread.value = entry.spread;
    if (spread && entry.spread) spread.closest("details").open = true;
    press(field, entry.basis);
  }

  /** A choice that isn't in the list, from an older book or a hand-written file: shown as it is, not lost. */
  function keepUnknown(select, value) {
    select.append(T.make("option", { value }, value));
    select.value = value;
  }

  function press({ buttons }, basis) {
    const chosen = buttons.find((button) => button.dataset.basis === basis);
    for (const button of buttons) {
      button.setAttribute("aria-checked", String(button === chosen));
      button.tabIndex = button === (chosen || buttons[0]) ? 0 : -1;
    }
  }

  function accuse({ box, control, problem }, { text, missing }) {
    box.dataset.problem = missing ? "missing" : "bad";
    if (!missing) control.setAttribute("aria-invalid", "true");
    const described = new Set((control.getAttribute("aria-describedby") || "").split(" ").filter(Boolean));
    control.setAttribute("aria-describedby", [...described.add(problem.id)].join(" "));
    if (problem.textContent !== text) problem.textContent = text;
    problem.hidden = false;
  }

  function mend({ box, control, problem }) {
    delete box.dataset.problem;
    control.removeAttribute("aria-invalid");
    const described = (control.getAttribute("aria-describedby") || "").split(" ").filter((id) => id && id !== problem.id);
    if (described.length) control.setAttribute("aria-describedby", described.join(" "));
    else control.removeAttribute("aria-describedby");
    problem.hidden = true;
  }
})(window.Turnabout);
