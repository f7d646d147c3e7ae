// Estimate, first form: what does it take? The takeoff and the basis of every number.

import { fill, h } from "./dom.js";

/** @type {import("./views.js").View} */
export const estimate = {
  id: "estimate",
  title: "Estimate",
  question: "What does it take?",

  open(root, app) {
    const { model } = app;
    const ears = new AbortController();
    const body = h("div", { class: "reading wide" });
    fill(root, body);
    let shown = "";

    function build() {
      if (model.trial !== null) return;
      const now = JSON.stringify(model.tables);
      if (now === shown) return;
      shown = now;
      fill(body, h("h1", {}, "What it takes"), h("p", { class: "quiet" }, "Quantities only: prices are not computed yet."), ...model.tables.map(table));
    }

    /** @param {import("./messages.d.ts").TableNews} told */
    function table(told) {
      return h("section", {}, h("h2", { id: `table-${told.key}` }, told.title),
        h("div", { class: "scroll", tabIndex: 0, role: "region", "aria-labelledby": `table-${told.key}` },
          h("table", {},
            h("thead", {}, h("tr", {}, ...told.columns.map((column) => h("th", { scope: "col", class: column.number ? "number" : "" }, column.title)))),
            h("tbody", {}, ...told.rows.map((row) => h("tr", {}, ...row.map((cell, i) => h("td", { class: told.columns[i]?.number ? "number" : "" }, cell))))))),
        ...told.notes.map((note) => h("p", { class: "quiet" }, note)));
    }

    model.addEventListener("news", build, { signal: ears.signal });
    build();
    return { close: () => ears.abort() };
  },
};
