// Paints the drawing on a canvas that is larger than what is seen, so that panning only moves it.
//
// - A change repaints the paper that it touches and nothing else.
// - Small shapes that come often (pots, crowns, signs) are painted once and stamped.
// - Positions: *plan metres* are the yard turned as the sheet shows it, x right, y down, with the
//   middle of the plan at the origin; the scene's millimetres are these times 1000 / scale.

import { LAYER, image, lay } from "./pictures.js";
import { isEmpty, meet } from "./scene.js";

/** @typedef {import("./scene.js").Box} Box */
/** @typedef {import("./scene.js").Mark} Mark */
/** @typedef {import("./scene.js").PathItem} PathItem */
/** @typedef {import("./scene.js").TextItem} TextItem */

/** What is painted beyond the window on every side, in CSS pixels. */
const MARGIN = 160;
/** Shapes larger than this are painted in place, in device pixels. */
const STAMP = 120;
/** Paint takes longer than this: wait for the wheel to rest, in milliseconds. */
const SLOW = 24;
/** Capitals of the page's letters in parts of their em. */
const CAPITALS = 0.72;
const FACES = ["", "bold ", "italic "];
const ANCHORS = /** @type {CanvasTextAlign[]} */ (["left", "center", "right"]);

export class Painter {
  /** Middle of the window in plan metres, and CSS pixels of a metre. */
  view = { x: 0, y: 0, zoom: 20 };
  /** @type {Set<string>} Names of layers that are switched off. */
  hidden = new Set();
  dark = false;
  #canvas;
  #context;
  #model;
  /** What the canvas shows: view, size, ratio. */
  #painted = { x: 0, y: 0, zoom: 0, width: 0, height: 0, ratio: 1 };
  /** @type {Map<string, { image: HTMLCanvasElement, x: number, y: number }>} */
  #stamps = new Map();
  #stampsOf = "";
  #timer = 0;
  #cost = 0;

  /** @param {HTMLCanvasElement} canvas @param {import("./model.js").Model} model */
  constructor(canvas, model) {
    this.#canvas = canvas;
    this.#context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    this.#model = model;
  }

  get window() {
    const parent = /** @type {HTMLElement} */ (this.#canvas.parentElement);
    return { width: parent.clientWidth, height: parent.clientHeight };
  }

  /** Millimetres of the scene's paper for a plan metre. */
  get millimetres() {
    return 1000 / this.#model.scene.scale;
  }

  /** @param {number} x @param {number} y CSS pixels of the window @returns {[number, number]} plan metres */
  toPlan(x, y) {
    const { width, height } = this.window;
    return [this.view.x + (x - width / 2) / this.view.zoom, this.view.y + (y - height / 2) / this.view.zoom];
  }

  /** @param {number} x @param {number} y plan metres @returns {[number, number]} CSS pixels */
  toWindow(x, y) {
    const { width, height } = this.window;
    return [width / 2 + (x - this.view.x) * this.view.zoom, height / 2 + (y - this.view.y) * this.view.zoom];
  }

  /** @param {number} x @param {number} y plan metres @returns {[number, number]} metres of the yard */
  toYard(x, y) {
    const lie = this.#model.welcome?.lie;
    if (!lie) return [0, 0];
    const [cos, sin] = [Math.cos(-lie.rotation), Math.sin(-lie.rotation)];
    return [lie.centre[0] + x * cos + y * sin, lie.centre[1] + x * sin - y * cos];
  }

  /** @param {number} east @param {number} north @returns {[number, number]} plan metres */
  fromYard(east, north) {
    const lie = this.#model.welcome?.lie;
    if (!lie) return [0, 0];
    const [cos, sin] = [Math.cos(lie.rotation), Math.sin(lie.rotation)];
    const [x, y] = [east - lie.centre[0], north - lie.centre[1]];
    return [x * cos - y * sin, -(x * sin + y * cos)];
  }

  /** Moves what is seen by CSS pixels. @param {number} dx @param {number} dy */
  pan(dx, dy) {
    this.view.x -= dx / this.view.zoom;
    this.view.y -= dy / this.view.zoom;
    this.show();
  }

  /** Zooms about a point of the window. @param {number} factor @param {number} x @param {number} y */
  zoom(factor, x, y) {
    const before = this.toPlan(x, y);
    this.view.zoom = Math.min(4000, Math.max(1, this.view.zoom * factor));
    const after = this.toPlan(x, y);
    this.view.x += before[0] - after[0];
    this.view.y += before[1] - after[1];
    this.show();
  }

  /** Shows all of the plan. */
  fit() {
    const lie = this.#model.welcome?.lie;
    if (!lie) return;
    const { width, height } = this.window;
    this.view = { x: 0, y: 0, zoom: Math.max(1, 0.96 * Math.min(width / lie.width, height / lie.height)) };
    this.show();
  }

  /** Brings the canvas to where it is seen: by moving it, or by painting it anew. */
  show() {
    const p = this.#painted;
    const { width, height } = this.window;
    const shrink = this.view.zoom / p.zoom;
    const dx = (p.x - this.view.x) * this.view.zoom;
    const dy = (p.y - this.view.y) * this.view.zoom;
    const fits = Math.abs(shrink - 1) < 1e-9 && Math.abs(dx) <= MARGIN && Math.abs(dy) <= MARGIN && p.width === width && p.height === height && p.ratio === devicePixelRatio;
    if (!fits && (this.#cost < SLOW || !(shrink > 0.5 && shrink < 2))) return this.paint();
    if (!fits) {
      clearTimeout(this.#timer);
      this.#timer = setTimeout(() => this.paint(), 120);
    }
    const left = width / 2 - (p.width / 2 + MARGIN) * shrink + dx;
    const top = height / 2 - (p.height / 2 + MARGIN) * shrink + dy;
    this.#canvas.style.transform = `translate(${left}px, ${top}px) scale(${shrink})`;
  }

  /**
   * Paints the drawing, or the part of it that changed.
   * @param {Box | null} [dirty] paper that changed, in millimetres
   */
  paint(dirty = null) {
    clearTimeout(this.#timer);
    const begin = performance.now();
    const p = this.#painted;
    const { width, height } = this.window;
    if (width === 0 || height === 0) return;
    const stale = p.zoom !== this.view.zoom || p.width !== width || p.height !== height || p.ratio !== devicePixelRatio || p.x !== this.view.x || p.y !== this.view.y;
    if (!dirty || (stale && p.zoom === 0)) {
      this.#painted = { ...this.view, width, height, ratio: devicePixelRatio };
      const [w, h] = [Math.round((width + 2 * MARGIN) * devicePixelRatio), Math.round((height + 2 * MARGIN) * devicePixelRatio)];
      if (this.#canvas.width !== w || this.#canvas.height !== h) {
        this.#canvas.width = w;
        this.#canvas.height = h;
        this.#canvas.style.width = `${w / devicePixelRatio}px`;
        this.#canvas.style.height = `${h / devicePixelRatio}px`;
      }
      dirty = null;
    }
    const at = this.#painted;
    const scale = (at.zoom / this.millimetres) * at.ratio;
    const [left, top] = [(at.width / 2 + MARGIN) * at.ratio - at.x * at.zoom * at.ratio, (at.height / 2 + MARGIN) * at.ratio - at.y * at.zoom * at.ratio];
    this.#renewStamps(scale);
    const context = this.#context;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.save();
    /** @type {Box} */
    let seen = { x0: -left / scale, y0: -top / scale, x1: (this.#canvas.width - left) / scale, y1: (this.#canvas.height - top) / scale };
    if (dirty) {
      if (isEmpty(dirty) || !meet(dirty, seen)) return context.restore();
      const edge = 3 / scale;
      const [x0, y0] = [Math.max(0, Math.floor((dirty.x0 - edge) * scale + left)), Math.max(0, Math.floor((dirty.y0 - edge) * scale + top))];
      const [x1, y1] = [Math.min(this.#canvas.width, Math.ceil((dirty.x1 + edge) * scale + left)), Math.min(this.#canvas.height, Math.ceil((dirty.y1 + edge) * scale + top))];
      context.beginPath();
      context.rect(x0, y0, x1 - x0, y1 - y0);
      context.clip();
      context.clearRect(x0, y0, x1 - x0, y1 - y0);
      seen = { x0: (x0 - left) / scale, y0: (y0 - top) / scale, x1: (x1 - left) / scale, y1: (y1 - top) / scale };
    } else {
      context.clearRect(0, 0, this.#canvas.width, this.#canvas.height);
    }
    this.#pictures(scale, left, top);
    context.lineJoin = "round";
    for (const mark of this.#model.scene.ordered) {
      if (this.hidden.has(mark.layer) || !meet(mark.box, seen)) continue;
      for (const item of mark.items) {
        if (item.kind === "path") this.#path(item, scale, left, top);
        else this.#text(item, scale, left, top);
      }
    }
    context.restore();
    if (!dirty) {
      this.#cost = performance.now() - begin;
      this.show();
    }
  }

  /** Pictures lie under all marks, pale enough to read them. @param {number} scale @param {number} left @param {number} top */
  #pictures(scale, left, top) {
    if (this.hidden.has(LAYER)) return;
    const context = this.#context;
    const k = this.millimetres;
    for (const picture of this.#model.pictures) {
      const seen = image(picture.file, () => this.paint());
      if (!seen) continue;
      /** @param {[number, number]} at @returns {[number, number]} */
      const paper = (at) => {
        const [x, y] = this.fromYard(...at);
        return [x * k * scale + left, y * k * scale + top];
      };
      context.globalAlpha = 0.5;
      lay(context, seen, paper(picture.from), paper(picture.to));
      context.globalAlpha = 1;
    }
  }

  /** @param {number} number */
  #colour(number) {
    const colour = this.#model.welcome?.colours[number];
    return (this.dark ? colour?.dark : colour?.light) ?? "#000000";
  }

  /** @param {number} scale device pixels of a millimetre */
  #renewStamps(scale) {
    const of = `${scale} ${this.dark} ${this.#model.scene.generation}`;
    if (of !== this.#stampsOf) {
      this.#stamps.clear();
      this.#stampsOf = of;
    }
  }

  /** @param {PathItem} item @param {number} scale @param {number} left @param {number} top */
  #path(item, scale, left, top) {
    const context = this.#context;
    const box = item.shape.box;
    const size = Math.max(box.x1 - box.x0, box.y1 - box.y0) * scale;
    if (item.shape.id >= 0 && size < STAMP) {
      const stamp = this.#stamp(item, scale);
      context.setTransform(1, 0, 0, 1, 0, 0);
      context.drawImage(stamp.image, Math.round(item.x * scale + left) + stamp.x, Math.round(item.y * scale + top) + stamp.y);
      return;
    }
    context.setTransform(scale, 0, 0, scale, item.x * scale + left, item.y * scale + top);
    this.#draw(context, item, scale);
  }

  /** @param {CanvasRenderingContext2D} context @param {PathItem} item @param {number} scale */
  #draw(context, item, scale) {
    if (item.fill >= 0) {
      context.fillStyle = this.#colour(item.fill);
      context.fill(item.shape.path);
    }
    const pen = item.pen >= 0 ? this.#model.scene.pens[item.pen] : undefined;
    if (pen) {
      context.strokeStyle = this.#colour(pen.colour);
      // Thinner than two thirds of a pixel a line fades away.
      context.lineWidth = Math.max(pen.width, 0.67 / scale);
      context.setLineDash(pen.dash);
      context.stroke(item.shape.path);
    }
  }

  /** @param {PathItem} item @param {number} scale */
  #stamp(item, scale) {
    const key = `${item.shape.id} ${item.pen} ${item.fill}`;
    const known = this.#stamps.get(key);
    if (known) return known;
    const box = item.shape.box;
    const wide = (item.pen >= 0 ? (this.#model.scene.pens[item.pen]?.width ?? 0) : 0) / 2 + 1.5 / scale;
    const [x, y] = [Math.floor((box.x0 - wide) * scale), Math.floor((box.y0 - wide) * scale)];
    const image = document.createElement("canvas");
    image.width = Math.max(1, Math.ceil((box.x1 + wide) * scale) - x);
    image.height = Math.max(1, Math.ceil((box.y1 + wide) * scale) - y);
    const context = /** @type {CanvasRenderingContext2D} */ (image.getContext("2d"));
    context.lineJoin = "round";
    context.setTransform(scale, 0, 0, scale, -x, -y);
    this.#draw(context, item, scale);
    const stamp = { image, x, y };
    this.#stamps.set(key, stamp);
    return stamp;
  }

  /** @param {TextItem} item @param {number} scale @param {number} left @param {number} top */
  #text(item, scale, left, top) {
    const height = (item.height / CAPITALS) * scale;
    if (height < 4 * devicePixelRatio) return;
    const context = this.#context;
    const [cos, sin] = [Math.cos(item.rotation), Math.sin(item.rotation)];
    context.setTransform(cos, sin, -sin, cos, item.x * scale + left, item.y * scale + top);
    context.font = `${FACES[item.face] ?? ""}${height}px system-ui, sans-serif`;
    context.textAlign = ANCHORS[item.anchor] ?? "left";
    context.textBaseline = "alphabetic";
    if (item.halo) {
      context.strokeStyle = this.#colour((this.#model.welcome?.colours.length ?? 1) - 1);
      context.lineWidth = height * 0.18;
      context.setLineDash([]);
      context.strokeText(item.text, 0, 0);
    }
    context.fillStyle = this.#colour(item.colour);
    context.fillText(item.text, 0, 0);
  }

  /**
   * Marks under a place, what is meant first: signs and lines before areas, small before large.
   * @param {number} x @param {number} y plan metres
   * @param {number} reach CSS pixels
   * @returns {Mark[]}
   */
  under(x, y, reach) {
    const k = this.millimetres;
    const [px, py] = [x * k, y * k];
    const slack = (reach / this.view.zoom) * k;
    const around = { x0: px - slack, y0: py - slack, x1: px + slack, y1: py + slack };
    const context = this.#context;
    context.save();
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.setLineDash([]);
    /** @type {{ mark: Mark, rank: number, size: number }[]} */
    const found = [];
    for (const mark of this.#model.scene.ordered) {
      if (this.hidden.has(mark.layer) || !meet(mark.box, around)) continue;
      let rank = Infinity;
      for (const item of mark.items) {
        if (item.kind === "text") {
          const width = item.text.length * item.height * 0.45;
          if (Math.abs(px - item.x) < width + slack && Math.abs(py - item.y) < item.height + slack) rank = Math.min(rank, 1);
          continue;
        }
        const [ix, iy] = [px - item.x, py - item.y];
        context.lineWidth = 2 * slack;
        if (item.pen >= 0 && context.isPointInStroke(item.shape.path, ix, iy)) rank = Math.min(rank, 0);
        else if (context.isPointInPath(item.shape.path, ix, iy)) rank = Math.min(rank, item.fill >= 0 ? 1 : 2);
      }
      if (rank < Infinity) found.push({ mark, rank, size: (mark.box.x1 - mark.box.x0) * (mark.box.y1 - mark.box.y0) });
    }
    context.restore();
    // A line is meant where the cursor is on it; otherwise the smallest thing round the cursor.
    found.sort((a, b) => Math.min(a.rank, 1) - Math.min(b.rank, 1) || a.size - b.size);
    return found.map((hit) => hit.mark);
  }
}
