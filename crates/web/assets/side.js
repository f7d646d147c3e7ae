// Beside the drawing: the selection with its fields and points, plants to choose, what is on the plan.

import { fill, h, say } from "./dom.js";
import { LAYER } from "./pictures.js";

/** @typedef {import("./model.js").Model} Model */
/** @typedef {import("./messages.d.ts").Edit} Edit */

/** Elements listed at once. */
const LISTED = 150;
let numbers = 0;

/**
 * A field that is kept when it is left or Enter is pressed; what is wrong stands beside it.
 *
 * @param {Model} model
 * @param {{ label: string, text: string, hint?: string, choices?: string[], edit: (text: string) => Edit[] }} field
 */
function field(model, { label, text, hint, choices, edit }) {
  const id = `field-${++numbers}`;
  const trouble = h("p", { class: "trouble", id: `${id}-trouble`, role: "alert" });
  const list = choices?.length ? h("datalist", { id: `${id}-choices` }, choices.map((choice) => h("option", { value: choice }))) : null;
  let kept = text;
  let asked = "";
  const input = h("input", {
    id,
    value: text,
    placeholder: hint ?? "",
    autocomplete: "off",
    spellcheck: false,
    "aria-describedby": `${id}-trouble`,
    onchange: () => {
      if (input.value.trim() === kept.trim()) return refused("");
      asked = model.commit(edit(input.value));
    },
    onkeydown: (/** @type {KeyboardEvent} */ event) => {
      if (event.key === "Escape") {
        input.value = kept;
        refused("");
        event.stopPropagation();
      }
    },
  });
  if (list) input.setAttribute("list", list.id);
  /** @param {string} why */
  function refused(why) {
    say(trouble, why);
    input.setAttribute("aria-invalid", String(why !== ""));
  }
  const element = h("div", { class: "field" }, h("label", { for: id }, label), input, list, trouble);
  return {
    element,
    input,
    /** @param {string} now */
    update(now) {
      if (now !== kept) refused("");
      if (document.activeElement !== input || input.value === kept) input.value = now;
      kept = now;
    },
    /** @param {{ id: string, why?: string }} answer */
    answer(answer) {
      if (answer.id !== asked) return;
      asked = "";
      refused(answer.why ?? "");
      // What was typed is kept; it may now be shown as the reader's units write it.
      if (!answer.why) kept = input.value;
    },
  };
}

/**
 * The selection: words, fields, points, and what can be done with it.
 * @param {Model} model
 * @param {import("./hands.js").Hands} hands
 */
export function selectionPanel(model, hands) {
  const root = h("section", { class: "panel", "aria-label": "Selection" });
  /** @type {Map<string, ReturnType<typeof field>>} */
  let fields = new Map();
  let shown = "";
  /** @type {Map<string, HTMLElement>} */
  let details = new Map();

  const east = field(model, { label: "East", text: "", hint: "3 ft", edit: (text) => [{ edit: "move-text", elements: model.selection, east: text, north: "" }] });
  const north = field(model, { label: "North", text: "", hint: "-6 in", edit: (text) => [{ edit: "move-text", elements: model.selection, east: "", north: text }] });

  function build() {
    const chosen = model.selection;
    fields = new Map();
    details = new Map();
    if (chosen.length === 0) {
      fill(root, h("h2", {}, "Nothing selected"), h("p", { class: "quiet" }, "Press something on the plan, or choose it from the list below. With Shift, several."));
      return;
    }
    /** @type {HTMLElement[]} */
    const parts = [];
    for (const name of chosen.slice(0, 12)) {
      const detail = h("p", { class: "quiet" });
      details.set(name, detail);
      const sheet = model.sheets.find((sheet) => sheet.element === name);
      parts.push(h("h2", { class: "named" }, model.titleOf(name)), detail);
      if (chosen.length > 1 || !sheet) continue;
      for (const one of sheet.fields) {
        const made = field(model, { label: one.label, text: one.text, hint: one.hint, choices: one.choices, edit: (text) => [{ edit: "write", element: name, field: one.path, text }] });
        fields.set(`field ${one.path}`, made);
        parts.push(made.element);
      }
      if (sheet.handles.length) {
        const rows = sheet.handles.map((handle, i) => {
          // The other coordinate is kept as it is, not as it is shown rounded.
          const x = field(model, { label: `Point ${i + 1} east`, text: handle.east, edit: (text) => [{ edit: "point-text", element: name, path: handle.path, east: text, north: "" }] });
          const y = field(model, { label: `Point ${i + 1} north`, text: handle.north, edit: (text) => [{ edit: "point-text", element: name, path: handle.path, east: "", north: text }] });
          fields.set(`east ${handle.path}`, x);
          fields.set(`north ${handle.path}`, y);
          return h("div", { class: "pair" }, x.element, y.element);
        });
        parts.push(h("details", {}, h("summary", {}, `Points (${sheet.handles.length})`), ...rows));
      }
    }
    if (chosen.length > 12) parts.push(h("p", { class: "quiet" }, `and ${chosen.length - 12} more`));
    parts.push(
      h("details", {}, h("summary", {}, "Move by"), h("div", { class: "pair" }, east.element, north.element)),
      h("div", { class: "row" },
        h("button", { type: "button", onclick: () => {
          const aside = model.welcome?.system === "us" ? 0.9144 : 1;
          model.commit([{ edit: "copy", elements: model.selection, east: aside, north: -aside }]);
        } }, "Copy"),
        h("button", { type: "button", onclick: () => hands.remove() }, "Remove"),
      ),
    );
    fill(root, ...parts);
  }

  /** @param {string} name */
  const sheetOf = (name) => model.sheets.find((sheet) => sheet.element === name);

  function update() {
    // The panel is built anew only when other fields are shown, so that nobody loses the focus.
    const now = JSON.stringify([model.selection, model.sheets.map((sheet) => [sheet.element, sheet.fields.map((f) => f.path), sheet.handles.map((p) => p.path)])]);
    if (now !== shown) {
      shown = now;
      build();
    }
    for (const [name, detail] of details) say(detail, model.elements.get(name)?.detail ?? "");
    root.querySelectorAll(".named").forEach((heading, i) => say(heading, model.titleOf(model.selection[i] ?? "")));
    const sheet = model.selection.length === 1 ? sheetOf(model.selection[0]) : undefined;
    for (const one of sheet?.fields ?? []) fields.get(`field ${one.path}`)?.update(one.text);
    for (const handle of sheet?.handles ?? []) {
      fields.get(`east ${handle.path}`)?.update(handle.east);
      fields.get(`north ${handle.path}`)?.update(handle.north);
    }
  }

  /** @param {Event} event */
  function answer(event) {
    const told = /** @type {CustomEvent} */ (event).detail;
    for (const one of [...fields.values(), east, north]) one.answer(told);
    if (event.type === "kept") {
      for (const one of [east, north]) one.input.value = "";
    }
  }
  for (const event of ["selection", "sheets", "news"]) model.addEventListener(event, update);
  for (const event of ["kept", "refused"]) model.addEventListener(event, answer);
  update();
  return root;
}

/**
 * Plants for rows, masses and single plants, and for the bed that is selected.
 * @param {Model} model
 * @param {import("./hands.js").Hands} hands
 */
export function plantPanel(model, hands) {
  const list = h("ul", { class: "plants", "aria-label": "Plants" });
  const count = h("p", { class: "quiet", role: "status" });
  const chosen = h("p", {}, "No plant chosen.");
  const search = h("input", { type: "search", id: "plant-search", placeholder: "fern, oak, lavender…", oninput: ask });
  const fillBed = h("button", { type: "button", onclick: () => {
    const bed = bedOf();
    if (bed && hands.plant) model.commit([{ edit: "plant", bed, plant: hands.plant, at: [] }]);
  } }, "Fill the selected bed");
  let asked = 0;

  const bedOf = () => model.selection.find((name) => name.startsWith("bed ") || name.startsWith("box "));

  function ask() {
    asked = model.link.number();
    const bed = bedOf() ?? [...model.elements.keys()].find((name) => name.startsWith("bed ")) ?? "bed none";
    model.link.ask({ ask: "plants", seq: asked, bed, words: search.value });
  }

  /** @param {Event} event */
  function answer(event) {
    const told = /** @type {CustomEvent<import("./model.js").Told<"plants">>} */ (event).detail;
    if (told.seq !== asked) return;
    say(count, told.total > told.plants.length ? `${told.total} plants bear the winters here; the first ${told.plants.length}:` : `${told.total} plants bear the winters here.`);
    fill(list, ...told.plants.map((plant) =>
      h("li", {}, h("button", { type: "button", class: "plant", "aria-pressed": String(hands.plant === plant.id), onclick: () => {
        hands.plant = plant.id;
        say(chosen, `Chosen: ${plant.common || plant.botanical}`);
        for (const button of list.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button.dataset.plant === plant.id));
        update();
      }, "data-plant": plant.id },
        h("strong", {}, plant.common || plant.botanical), " ", h("em", {}, plant.botanical),
        h("span", { class: "quiet" }, plant.detail),
        plant.caution ? h("span", { class: "caution" }, plant.caution) : null,
      ))));
  }

  function update() {
    fillBed.disabled = !(bedOf() && hands.plant);
  }
  model.addEventListener("plants", answer);
  model.addEventListener("selection", update);
  update();
  const root = h("details", { class: "panel", ontoggle: () => root.open && ask() },
    h("summary", {}, "Plants for this bed"),
    h("label", { for: "plant-search" }, "Search by name or kind"), search, chosen, fillBed, count, list);
  return root;
}

/**
 * All that is on the plan, as a list that shows and changes the selection.
 * @param {Model} model
 */
export function contentsPanel(model) {
  const list = h("ul", { class: "contents", "aria-label": "On the plan" });
  const search = h("input", { type: "search", id: "contents-search", oninput: () => build(true) });
  const count = h("p", { class: "quiet" });
  let shown = "";

  function build(always = false) {
    if (!root.open) return;
    const words = search.value.toLowerCase().split(/\s+/);
    const all = [...model.elements].filter(([name, news]) => words.every((word) => `${name} ${news.title}`.toLowerCase().includes(word)));
    const now = JSON.stringify([model.selection, all.map(([name, news]) => [name, news.title])]);
    if (now === shown && !always) return;
    shown = now;
    say(count, all.length > LISTED ? `The first ${LISTED} of ${all.length}; search for others.` : "");
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.element : undefined;
    fill(list, ...all.slice(0, LISTED).map(([name, news]) =>
      h("li", {}, h("button", { type: "button", "data-element": name, "aria-pressed": String(model.selection.includes(name)), onclick: (/** @type {MouseEvent} */ event) => {
        if (!event.shiftKey) return model.select([name]);
        model.select(model.selection.includes(name) ? model.selection.filter((other) => other !== name) : [...model.selection, name]);
      } }, news.title))));
    if (focused) list.querySelector(`[data-element="${CSS.escape(focused)}"]`)?.dispatchEvent(new Event("refocus"));
    for (const button of list.querySelectorAll("button")) if (focused && button.dataset.element === focused) button.focus();
  }
  for (const event of ["selection", "news"]) model.addEventListener(event, () => model.trial === null && build());
  const root = h("details", { class: "panel", ontoggle: () => build(true) }, h("summary", {}, "On the plan"), h("label", { for: "contents-search" }, "Search"), search, count, list);
  return root;
}

/**
 * Layers that are shown.
 * @param {Model} model
 * @param {import("./painter.js").Painter} painter
 * @param {() => void} changed
 */
export function layerPanel(model, painter, changed) {
  const list = h("ul", { class: "layers" });
  let shown = "";
  function build() {
    const used = new Set(model.scene.ordered.map((mark) => mark.layer));
    const layers = [...model.scene.layers.values()].filter((layer) => used.has(layer.name)).sort((a, b) => b.order - a.order);
    if (model.pictures.length) layers.push({ name: LAYER, title: "Picture under the drawing", order: -1 });
    const now = layers.map((layer) => layer.name).join();
    if (now === shown) return;
    shown = now;
    fill(list, ...layers.map((layer) => {
      const box = h("input", { type: "checkbox", checked: !painter.hidden.has(layer.name), onchange: () => {
        if (box.checked) painter.hidden.delete(layer.name);
        else painter.hidden.add(layer.name);
        changed();
      } });
      return h("li", {}, h("label", {}, box, ` ${layer.title}`));
    }));
  }
  model.addEventListener("scene", () => root.open && build());
  const root = h("details", { class: "panel", ontoggle: build }, h("summary", {}, "Layers"), list);
  return root;
}
