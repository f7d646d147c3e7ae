// The Plan: where does everything go?

import { fill, h, say } from "./dom.js";
import { Hands } from "./hands.js";
import { Overlay } from "./overlay.js";
import { Painter } from "./painter.js";
import { contentsPanel, layerPanel, plantPanel, selectionPanel } from "./side.js";

/** Scales at which the server paints; between them the paper is seen larger or smaller. */
const SCALES = [25, 50, 100, 200, 400, 800, 1600];
/** CSS pixels of a millimetre on paper seen in its own size. */
const PAPER = 96 / 25.4;

/** @type {[import("./hands.js").Task, string, string][]} */
const TASKS = [
  ["pick", "Pick", "Press to select, drag to move. Drag a square point to reshape a line."],
  ["bed", "Bed line", "Draw round a new bed; the line is smoothed."],
  ["row", "Row", "Draw the line of a row. Choose a plant first."],
  ["mass", "Mass", "Draw round the area of a mass. Choose a plant first."],
  ["plant", "Single plant", "Press where a plant stands. Choose a plant first."],
  ["measure", "Measure", "Press from point to point; a double press begins anew."],
];

/** @type {import("./views.js").View} */
export const plan = {
  id: "plan",
  title: "Plan",
  question: "Where does everything go?",

  open(root, app) {
    const { model } = app;
    const canvas = h("canvas", { class: "paper" });
    const over = h("canvas", { class: "over" });
    // It lies over the drawing: a line below it would shift the drawing under the hand.
    const studying = h("p", { class: "studying", role: "status" });
    const sheet = h("div", { class: "sheet", tabIndex: 0, role: "application", "aria-label": "Drawing", "aria-describedby": "explain" }, canvas, over, studying);
    const explain = h("p", { class: "explain", id: "explain" });
    const live = h("p", { class: "live", role: "status" });
    const figures = h("dl", { class: "figures", "aria-label": "Figures" });
    const painter = new Painter(canvas, model);
    const hands = new Hands(sheet, painter, model);
    const overlay = new Overlay(over, painter, model, hands);
    const ears = new AbortController();
    let fitted = false;
    let first = true;

    const tasks = h("div", { class: "tasks", role: "toolbar", "aria-label": "What the hand does" },
      ...TASKS.map(([task, title, words]) => h("button", { type: "button", title: words, "data-task": task, "aria-pressed": String(task === "pick"), onclick: () => hands.take(task) }, title)),
      h("label", { class: "check" }, h("input", { type: "checkbox", checked: true, onchange: (/** @type {Event} */ event) => (hands.draws = /** @type {HTMLInputElement} */ (event.target).checked) }), " Snap"),
    );
    const drawing = h("select", { id: "drawing", onchange: () => look() });
    const views = h("div", { class: "tasks", role: "group", "aria-label": "Window" },
      h("label", { for: "drawing" }, "Drawing"), drawing,
      h("button", { type: "button", onclick: () => painter.zoom(1.25, painter.window.width / 2, painter.window.height / 2), "aria-label": "Nearer" }, "+"),
      h("button", { type: "button", onclick: () => painter.zoom(0.8, painter.window.width / 2, painter.window.height / 2), "aria-label": "Farther" }, "−"),
      h("button", { type: "button", onclick: () => painter.fit() }, "Whole plan"),
    );
    const panels = h("div", { class: "side" }, selectionPanel(model, hands), plantPanel(model, hands), layerPanel(model, painter, () => painter.paint()), contentsPanel(model));
    fill(root, h("div", { class: "plan" }, h("h1", { class: "unseen" }, "Plan"), h("div", { class: "bar" }, tasks, views), sheet, h("div", { class: "foot" }, explain, live, figures), panels));

    /** Asks for the drawing at the scale next to what is seen. */
    function look() {
      const seen = (PAPER * 1000) / painter.view.zoom;
      const scale = SCALES.reduce((best, one) => (Math.abs(Math.log(one / seen)) < Math.abs(Math.log(best / seen)) ? one : best));
      const wanted = drawing.value || "planting";
      if (asked === `${wanted} ${scale}`) return;
      asked = `${wanted} ${scale}`;
      model.link.stand({ ask: "look", drawing: wanted, scale });
    }
    let asked = "";

    const show = painter.show.bind(painter);
    /** The yard's place in the middle of the window. @type {[number, number]} */
    let middle = [0, 0];
    painter.show = () => {
      show();
      middle = painter.toYard(painter.view.x, painter.view.y);
      overlay.soon();
      look();
    };

    /** @param {string} type @param {(detail: any) => void} hear */
    const hear = (type, hear) => model.addEventListener(type, (event) => hear(/** @type {CustomEvent} */ (event).detail), { signal: ears.signal });

    function welcome() {
      if (!model.welcome) return;
      const chosen = drawing.value;
      fill(drawing, ...model.welcome.drawings.map(([name, title]) => h("option", { value: name }, title)));
      if (chosen) drawing.value = chosen;
      if (!fitted && painter.window.width) {
        fitted = true;
        painter.fit();
      } else if (fitted) {
        // The sheet's middle moves when the plan grows; what is seen stays where it is.
        [painter.view.x, painter.view.y] = painter.fromYard(...middle);
      }
      look();
    }
    hear("welcome", welcome);
    hear("scene", (dirty) => {
      painter.paint(dirty);
      overlay.soon();
      if (first) {
        first = false;
        performance.mark("first plan");
      }
    });
    hear("news", (news) => {
      showFigures();
      // Said only of what is kept: while a hand moves everything is on its way.
      if (news.trial === null) say(studying, model.stale ? "Levels, water and sun are being studied anew…" : "");
      if (news.trial !== null) {
        // The frame is on the screen when the next one begins.
        const name = `trial ${news.trial}`;
        requestAnimationFrame(() => setTimeout(() => {
          if (performance.getEntriesByName(name).length) performance.measure("trial to paint", name);
          performance.clearMarks(name);
        }));
      }
      words();
      overlay.soon();
    });
    hear("pictures", () => painter.paint());
    hear("sheets", () => {
      words();
      overlay.soon();
    });
    hear("selection", () => overlay.soon());
    hear("kept", () => say(live, ""));
    hear("refused", (told) => say(live, told.why));
    hear("measured", (told) => {
      if (hands.task !== "measure") return;
      hands.trace = told.points;
      say(live, told.words);
      overlay.soon();
    });
    hands.addEventListener("change", () => {
      for (const button of tasks.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button.dataset.task === hands.task));
      sheet.dataset.task = hands.task;
      words();
      overlay.soon();
    }, { signal: ears.signal });
    hands.addEventListener("refuse", (event) => say(live, /** @type {CustomEvent<string>} */ (event).detail), { signal: ears.signal });

    let due = false;
    /** Says what the cursor is over, or what the hand is doing. */
    function words() {
      if (due) return;
      due = true;
      requestAnimationFrame(() => {
        due = false;
        if (hands.busy) return say(explain, [model.selection.map((name) => [model.titleOf(name), model.elements.get(name)?.detail].filter(Boolean).join(": ")).slice(0, 3).join("; "), model.drawn].filter(Boolean).join(" — "));
        if (hands.cursor && !hands.grip) {
          const mark = painter.under(...painter.toPlan(...hands.cursor), 5).find((mark) => model.elements.has(mark.element));
          if (mark) {
            const news = model.elements.get(mark.element);
            const layer = model.scene.layers.get(mark.layer)?.title;
            return say(explain, [news?.title, news?.detail, layer].filter(Boolean).join(" — "));
          }
        }
        say(explain, TASKS.find(([task]) => task === hands.task)?.[2] ?? "");
      });
    }

    function showFigures() {
      const known = new Map([...figures.children].map((child) => [/** @type {HTMLElement} */ (child).dataset.key, child]));
      if (known.size !== model.figures.length) fill(figures, ...model.figures.map((one) => h("div", { "data-key": one.key }, h("dt", {}, one.name), h("dd", {}, one.value))));
      else for (const one of model.figures) {
        const value = known.get(one.key)?.querySelector("dd");
        if (value) say(value, one.value);
      }
    }

    function theme() {
      painter.dark = app.isDark();
      painter.paint();
      overlay.soon();
    }
    app.addEventListener("theme", theme, { signal: ears.signal });
    const size = new ResizeObserver(() => {
      if (!fitted) welcome();
      painter.paint();
      overlay.soon();
    });
    size.observe(sheet);
    painter.dark = app.isDark();
    welcome();
    showFigures();
    words();
    hands.dispatchEvent(new Event("change"));

    /** @param {import("./messages.d.ts").FindingNews} finding */
    function jump(finding) {
      const chosen = finding.elements.filter((name) => model.elements.has(name));
      model.select(chosen);
      let [x, y] = [0, 0];
      if (finding.place) {
        [x, y] = painter.fromYard(...finding.place);
        overlay.mark = finding.place;
      } else {
        const boxes = chosen.flatMap((name) => [...(model.scene.byElement.get(name) ?? [])]).map((mark) => mark.box).filter((box) => box.x1 >= box.x0);
        if (!boxes.length) return;
        const k = painter.millimetres;
        x = (Math.min(...boxes.map((b) => b.x0)) + Math.max(...boxes.map((b) => b.x1))) / 2 / k;
        y = (Math.min(...boxes.map((b) => b.y0)) + Math.max(...boxes.map((b) => b.y1))) / 2 / k;
        overlay.mark = null;
      }
      painter.view = { x, y, zoom: Math.max(painter.view.zoom, 45) };
      painter.paint();
      say(explain, finding.sentence);
    }

    return {
      close() {
        ears.abort();
        size.disconnect();
      },
      jump,
    };
  },
};
