// What hands do on the drawing: pan, zoom, pick, drag, draw, measure; by mouse, finger and keys.
//
// - While a hand moves, edits are only tried; when it lets go they are kept.
// - One pointer works, two pointers pan and zoom.

/** @typedef {import("./messages.d.ts").Edit} Edit */
/** @typedef {import("./messages.d.ts").Spot} Spot */
/** @typedef {"pick" | "bed" | "row" | "mass" | "plant" | "measure"} Task */

/** A pointer that moved less than this only pressed, in CSS pixels. */
const STILL = 4;
/** Reach of edges, corners and handles, in CSS pixels. */
const REACH = 9;
/** A touch hits more. */
const FINGER = 18;

export class Hands extends EventTarget {
  /** @type {Task} */
  task = "pick";
  /** @type {string | null} Taxon that rows, masses and single plants are made of. */
  plant = null;
  /** Whether edges, right angles and whole steps draw. */
  draws = true;
  /** @type {Spot[]} Points of the stroke or of the measuring, metres of the yard. */
  trace = [];
  /** @type {string} Path of the point that is worked on, or empty. */
  point = "";
  /** @type {{ x0: number, y0: number, x1: number, y1: number } | null} A box that picks what is inside, window. */
  frame = null;
  /** @type {[number, number] | null} Where the cursor is, in the window. */
  cursor = null;
  #painter;
  #model;
  #area;
  /** @type {Map<number, { x: number, y: number }>} */
  #pointers = new Map();
  /** @type {{ x: number, y: number, kind: "press" | "pan" | "move" | "point" | "draw" | "frame" | "pinch", spot: Spot, add: boolean, finger: boolean } | null} */
  #grip = null;
  /** @type {Edit[]} */
  #edits = [];

  /**
   * @param {HTMLElement} area
   * @param {import("./painter.js").Painter} painter
   * @param {import("./model.js").Model} model
   */
  constructor(area, painter, model) {
    super();
    this.#area = area;
    this.#painter = painter;
    this.#model = model;
    area.addEventListener("pointerdown", (event) => this.#down(event));
    area.addEventListener("pointermove", (event) => this.#move(event));
    area.addEventListener("pointerup", (event) => this.#up(event));
    area.addEventListener("pointercancel", (event) => this.#cancel(event));
    area.addEventListener("pointerleave", () => {
      this.cursor = null;
      this.#changed();
    });
    area.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
    area.addEventListener("dblclick", (event) => this.#double(event));
    area.addEventListener("keydown", (event) => this.#key(event));
  }

  /** @param {Task} task */
  take(task) {
    this.stop();
    this.task = task;
    this.trace = [];
    this.#changed();
  }

  /** Whether a trial is under the hand. */
  get busy() {
    return this.#edits.length > 0;
  }

  /** Lets go without keeping anything. */
  stop() {
    if (this.#edits.length) this.#model.link.drop();
    this.#edits = [];
    this.#grip = null;
    this.frame = null;
    if (this.task !== "measure") this.trace = [];
    this.#changed();
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
  }

  /** @param {PointerEvent | MouseEvent} event @returns {[number, number]} */
  #at(event) {
    const box = this.#area.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** @param {number} x @param {number} y @returns {Spot} */
  #spot(x, y) {
    return this.#painter.toYard(...this.#painter.toPlan(x, y));
  }

  /** Reach in metres, or null where nothing draws. */
  get reach() {
    return this.draws ? REACH / this.#painter.view.zoom : null;
  }

  /** The handle of the selection near a place of the window. @param {number} x @param {number} y @param {number} reach */
  #handle(x, y, reach) {
    let best = null;
    let least = reach;
    for (const sheet of this.#model.sheets) {
      for (const handle of sheet.handles) {
        const [hx, hy] = this.#painter.toWindow(...this.#painter.fromYard(...handle.at));
        const distance = Math.hypot(hx - x, hy - y);
        if (distance <= least) {
          least = distance;
          best = { element: sheet.element, handle };
        }
      }
    }
    return best;
  }

  /** Elements under a place of the window, what is meant first. @param {number} x @param {number} y @param {number} reach */
  elementsUnder(x, y, reach) {
    const marks = this.#painter.under(...this.#painter.toPlan(x, y), reach);
    return [...new Set(marks.map((mark) => mark.element))].filter((name) => this.#model.elements.has(name));
  }

  /** @param {PointerEvent} event */
  #down(event) {
    if (event.button > 1) return;
    this.#area.focus({ preventScroll: true });
    this.#area.setPointerCapture(event.pointerId);
    const [x, y] = this.#at(event);
    this.#pointers.set(event.pointerId, { x, y });
    const finger = event.pointerType === "touch";
    if (this.#pointers.size === 2) {
      this.stop();
      this.#grip = { x, y, kind: "pinch", spot: this.#spot(x, y), add: false, finger };
      return;
    }
    const spot = this.#spot(x, y);
    const grip = { x, y, kind: /** @type {"press"} */ ("press"), spot, add: event.shiftKey, finger };
    this.#grip = grip;
    if (event.button === 1) {
      this.#grip.kind = /** @type {any} */ ("pan");
    } else if (this.task === "bed" || this.task === "row" || this.task === "mass") {
      /** @type {any} */ (grip).kind = "draw";
      this.trace = [spot];
      this.#changed();
    }
    event.preventDefault();
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const [x, y] = this.#at(event);
    this.cursor = [x, y];
    const grip = this.#grip;
    const before = this.#pointers.get(event.pointerId);
    if (!grip || !before) return this.#changed();
    const [dx, dy] = [x - before.x, y - before.y];
    if (grip.kind === "pinch") {
      const other = [...this.#pointers.entries()].find(([id]) => id !== event.pointerId)?.[1];
      if (other) {
        const far = Math.hypot(x - other.x, y - other.y) / Math.max(1, Math.hypot(before.x - other.x, before.y - other.y));
        this.#painter.pan(dx / 2, dy / 2);
        this.#painter.zoom(far, (x + other.x) / 2, (y + other.y) / 2);
      }
      this.#pointers.set(event.pointerId, { x, y });
      return this.#changed();
    }
    if (grip.kind === "press" && Math.hypot(x - grip.x, y - grip.y) > STILL) this.#begin(grip);
    this.#pointers.set(event.pointerId, { x, y });
    switch (grip.kind) {
      case "pan":
        this.#painter.pan(dx, dy);
        break;
      case "draw": {
        const all = event.getCoalescedEvents?.() ?? [event];
        for (const one of all.length ? all : [event]) this.trace.push(this.#spot(...this.#at(one)));
        break;
      }
      case "frame":
        this.frame = { x0: Math.min(grip.x, x), y0: Math.min(grip.y, y), x1: Math.max(grip.x, x), y1: Math.max(grip.y, y) };
        break;
      case "move": {
        const [east, north] = this.#spot(x, y);
        this.#try([{ edit: "move", elements: this.#model.selection, east: east - grip.spot[0], north: north - grip.spot[1] }]);
        break;
      }
      case "point": {
        const [element, path] = this.point.split("\n");
        this.#try([{ edit: "point", element, path, to: this.#spot(x, y), reach: event.altKey ? null : this.reach }]);
        break;
      }
    }
    this.#changed();
  }

  /** A press becomes a drag. @param {NonNullable<Hands["grip"]>} grip */
  #begin(grip) {
    if (this.task === "measure") {
      grip.kind = "pan";
      return;
    }
    const near = grip.finger ? FINGER : REACH;
    const handle = this.task === "pick" && this.#handle(grip.x, grip.y, near);
    if (handle) {
      this.point = `${handle.element}\n${handle.handle.path}`;
      grip.kind = "point";
      return;
    }
    const under = this.task === "pick" ? this.elementsUnder(grip.x, grip.y, near / 2) : [];
    const chosen = this.#model.selection.some((name) => under.includes(name));
    if (grip.add && !chosen) grip.kind = "frame";
    else if (chosen) grip.kind = "move";
    else grip.kind = "pan";
  }

  get grip() {
    return this.#grip;
  }

  /** @param {PointerEvent} event */
  #up(event) {
    this.#pointers.delete(event.pointerId);
    const grip = this.#grip;
    if (!grip) return;
    const [x, y] = this.#at(event);
    if (grip.kind === "pinch") {
      if (this.#pointers.size === 0) this.#grip = null;
      return;
    }
    this.#grip = null;
    if (grip.kind === "press") this.#press(x, y, grip);
    else if (grip.kind === "draw") this.#drawn();
    else if (grip.kind === "frame") this.#framed();
    else if (this.#edits.length) this.keep();
    this.#changed();
  }

  /** Keeps what is tried. */
  keep() {
    const edits = this.#edits;
    this.#edits = [];
    if (edits.length) this.#model.commit(edits);
  }

  /** @param {Edit[]} edits */
  #try(edits) {
    this.#edits = edits;
    this.#model.link.trial(edits);
  }

  /** @param {PointerEvent} event */
  #cancel(event) {
    this.#pointers.delete(event.pointerId);
    this.stop();
  }

  /** A press without a drag. @param {number} x @param {number} y @param {{ add: boolean, finger: boolean }} how */
  #press(x, y, { add, finger }) {
    const near = finger ? FINGER : REACH;
    if (this.task === "measure") {
      this.trace = [...this.trace, this.#spot(x, y)];
      return this.ask();
    }
    const under = this.elementsUnder(x, y, near / 2);
    if (this.task === "plant") {
      const bed = under.find((name) => name.startsWith("bed ") || name.startsWith("box "));
      if (!this.plant || !bed) return this.#refuse(this.plant ? "Single plants stand in a bed or box: press inside one." : "Choose a plant first.");
      this.#model.commit([{ edit: "plant", bed, plant: this.plant, at: [this.#spot(x, y)] }]);
      return;
    }
    const handle = this.#handle(x, y, near);
    if (handle) {
      this.point = `${handle.element}\n${handle.handle.path}`;
      return;
    }
    this.point = "";
    const selection = this.#model.selection;
    // Pressing again on the same place goes on to what lies below.
    const at = under.findIndex((name) => selection.includes(name));
    const meant = under[selection.length === 1 && !add ? (at + 1) % Math.max(1, under.length) : 0];
    if (!meant) {
      if (!add) this.#model.select([]);
    } else if (!add) this.#model.select([meant]);
    else this.#model.select(selection.includes(meant) ? selection.filter((name) => name !== meant) : [...selection, meant]);
  }

  /** @param {string} why */
  #refuse(why) {
    this.dispatchEvent(new CustomEvent("refuse", { detail: why }));
  }

  /** Asks for the distances of what is measured. */
  ask() {
    this.#model.link.ask({ ask: "measure", seq: this.#model.link.number(), points: this.trace, reach: this.reach });
  }

  #drawn() {
    const points = this.trace;
    this.trace = [];
    const purpose = /** @type {import("./messages.d.ts").Purpose} */ (this.task);
    if (purpose !== "bed" && !this.plant) return this.#refuse("Choose a plant first.");
    const bed = this.#model.selection.find((name) => name.startsWith("bed ") || name.startsWith("box ")) ?? null;
    this.#model.commit([{ edit: "stroke", purpose, points, plant: purpose === "bed" ? null : this.plant, bed: purpose === "bed" ? null : bed }]);
  }

  #framed() {
    const frame = this.frame;
    this.frame = null;
    if (!frame) return;
    const k = this.#painter.millimetres;
    const [x0, y0] = this.#painter.toPlan(frame.x0, frame.y0);
    const [x1, y1] = this.#painter.toPlan(frame.x1, frame.y1);
    const inside = (/** @type {import("./scene.js").Box} */ box) => box.x0 >= x0 * k && box.x1 <= x1 * k && box.y0 >= y0 * k && box.y1 <= y1 * k;
    const scene = this.#model.scene;
    const found = [...scene.byElement].filter(([name, marks]) => this.#model.elements.has(name) && marks.size > 0 && [...marks].every((mark) => mark.items.length === 0 || mark.layer.endsWith("TAG") || inside(mark.box)));
    this.#model.select([...this.#model.selection, ...found.map(([name]) => name)]);
  }

  /** @param {WheelEvent} event */
  #wheel(event) {
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 20 : 1;
    this.#painter.zoom(Math.exp((-event.deltaY * lines) / 500), ...this.#at(event));
    this.#changed();
  }

  /** A double press on the edge of what is selected puts a point there. @param {MouseEvent} event */
  #double(event) {
    if (this.task === "measure") {
      this.trace = [];
      return this.#changed();
    }
    if (this.task !== "pick") return;
    const [x, y] = this.#at(event);
    if (this.#handle(x, y, REACH)) return;
    const spot = this.#spot(x, y);
    let best = null;
    for (const sheet of this.#model.sheets) {
      for (let i = 0; i + 1 < sheet.handles.length; i++) {
        const [a, b] = [sheet.handles[i], sheet.handles[i + 1]];
        const list = a.path.slice(0, a.path.lastIndexOf("/"));
        if (b.path.slice(0, b.path.lastIndexOf("/")) !== list || !/\/\d+$/.test(a.path)) continue;
        const detour = Math.hypot(spot[0] - a.at[0], spot[1] - a.at[1]) + Math.hypot(spot[0] - b.at[0], spot[1] - b.at[1]) - Math.hypot(b.at[0] - a.at[0], b.at[1] - a.at[1]);
        if (!best || detour < best.detour) best = { detour, element: sheet.element, path: a.path };
      }
    }
    if (best) this.#model.commit([{ edit: "add-point", element: best.element, path: best.path, at: spot }]);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const model = this.#model;
    const arrows = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });
    const arrow = arrows[event.key];
    const { width, height } = this.#painter.window;
    if (event.key === "Escape") {
      if (this.busy || this.trace.length) {
        this.trace = [];
        this.stop();
      } else if (this.task !== "pick") this.take("pick");
      else model.select([]);
    } else if (arrow && model.selection.length && !event.ctrlKey) {
      // Half a foot or a tenth of a metre; with Alt a tenth of it.
      const step = (model.welcome?.system === "us" ? 0.1524 : 0.1) * (event.altKey ? 0.1 : 1);
      const [x, y] = this.#painter.toYard(arrow[0] * step, arrow[1] * step);
      const [ox, oy] = this.#painter.toYard(0, 0);
      model.commit([{ edit: "move", elements: model.selection, east: x - ox, north: y - oy }]);
    } else if (arrow) this.#painter.pan(-arrow[0] * 60, -arrow[1] * 60);
    else if (event.key === "+" || event.key === "=") this.#painter.zoom(1.25, width / 2, height / 2);
    else if (event.key === "-") this.#painter.zoom(0.8, width / 2, height / 2);
    else if (event.key === "0") this.#painter.fit();
    else if ((event.key === "Delete" || event.key === "Backspace") && model.selection.length) this.remove();
    else return;
    event.preventDefault();
    this.#changed();
  }

  /** Takes away the point that is worked on, or the selection. */
  remove() {
    const [element, path] = this.point.split("\n");
    if (path && this.#model.selection.includes(element)) {
      this.point = "";
      this.#model.commit([{ edit: "remove-point", element, path }]);
    } else if (this.#model.selection.length) {
      this.#model.commit([{ edit: "remove", elements: this.#model.selection }]);
    }
  }
}
