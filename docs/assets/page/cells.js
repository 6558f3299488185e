// Readings on a phone: a box for each cell of a row, with its name and unit, so that nobody types commas between them.
"use strict";
window.Turnabout = window.Turnabout || {};

(function (T) {
  /** A fold below the text box of a table's field that adds a row to it cell by cell; style sheets show it on a phone. */
  T.cells = function (field) {
    const rows = field.querySelector("textarea");
    const columns = JSON.parse(field.dataset.cells);
    const boxes = columns.map(({ mode, choices }, number) => {
      const id = `${rows.id}-cell-${number}`;
      if (!choices) return T.make("input", { id, inputmode: mode, autocomplete: "off", "aria-describedby": `${id}-unit` });
      const options = choices.map(([value, label]) => T.make("option", { value }, label));
      return T.make("select", { id }, T.make("option", { value: "" }, "not entered"), ...options);
    });

    function add() {
      const cells = boxes.map((box) => (box.matches("select") ? box.value : T.decimal(box.value)));
      while (cells.length && !cells.at(-1)) cells.pop();
      if (cells.length) {
        rows.value = [rows.value.trimEnd(), cells.join(", ")].filter(Boolean).join("\n");
        for (const box of boxes) box.value = "";
        rows.dispatchEvent(new Event("input", { bubbles: true }));
      }
      boxes[0].focus();
    }

    const fold = T.make("details", { class: "ta-cells" }, T.make("summary", {}, "Enter a row box by box"),
      ...columns.map(({ label, unit }, number) => T.make("p", {},
        T.make("label", { for: boxes[number].id }, label), boxes[number],
        T.make("span", { class: "ta-unit", id: `${boxes[number].id}-unit` }, unit))),
      T.button("Add the row", add));
    // A cell is no entry: what is entered is the row.
    fold.addEventListener("input", (event) => event.stopPropagation());
    fold.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Enter" && event.target.matches("input")) add();
    });
    field.querySelector(".ta-problem").after(fold);
  };
})(window.Turnabout);
