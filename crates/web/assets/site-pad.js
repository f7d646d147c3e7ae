// The pad of the first visit: a picture from above or squared paper, on which places are tapped.
//
// Metres of the yard, x east and y north. The picture's lower left corner is laid at the yard's origin;
// its scale is a guess until a length is taped.

import { image, lay } from "./pictures.js";

/** @typedef {[number, number]} Spot */

/** Metres that a picture shows across before a length is taped. */
export const GUESSED = 40;
/** Pixels that a finger may stray and still tap. */
const STRAY = 8;

/** Colours by the kind of what is shown: names of the page's own. @type {Record<string, string>} */
const INKS = { building: "--ink", bed: "--accent", tree: "--doubt", shrub: "--doubt", taped: "--danger", level: "--note", photo: "--fault", boundary: "--soft" };

export class Pad extends EventTarget {
  canvas = document.createElement("canvas");
  /** Pixels of a metre. */
  zoom = 12;
  /** The yard's place in the middle. @type {Spot} */
  middle = [15, 12];
  /** Places tapped so far. @type {Spot[]} */
  points = [];
  /** @type {import("./messages.d.ts").ShapeNews[]} */
  shapes = [];
  /** Whether a finger draws a line; else it taps and shifts. */
  draws = false;
  /** Whether the places make an area. */
  closes = false;
  /** Pictures to trace from. @type {import("./messages.d.ts").PictureNews[]} */
  pictures = [];
  /** @type {Map<number, Spot>} */
  #fingers = new Map();
  /** @type {Spot | null} */
  #down = null;
  #strayed = false;
  #due = false;

  constructor() {
    super();
    const { canvas } = this;
    canvas.tabIndex = 0;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", "Picture of the yard; places can also be typed below");
    canvas.addEventListener("pointerdown", (event) => this.#press(event));
    canvas.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, (event) => this.#lift(/** @type {PointerEvent} */ (event)));
    canvas.addEventListener("wheel", (event) => {
      event.preventDefault();
      this.#near(Math.exp(-event.deltaY / 400), this.#at(event));
    }, { passive: false });
    canvas.addEventListener("keydown", (event) => this.#key(event));
    this.watch = new ResizeObserver(() => this.soon());
    this.watch.observe(canvas);
  }

  /** All lengths of the yard change by a factor; what is seen stays. @param {number} factor */
  stretch(factor) {
    this.middle = [this.middle[0] * factor, this.middle[1] * factor];
    this.zoom /= factor;
    this.soon();
  }

  /** Shows all that is known, or the picture. */
  fit() {
    const points = [...this.shapes.flatMap((shape) => shape.points), ...this.pictures.flatMap((picture) => this.#corners(picture))];
    if (!points.length) return;
    const [xs, ys] = [points.map((point) => point[0]), points.map((point) => point[1])];
    const [west, east, south, north] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    this.middle = [(west + east) / 2, (south + north) / 2];
    const room = Math.min(this.canvas.clientWidth / (east - west + 2), this.canvas.clientHeight / (north - south + 2));
    this.zoom = Math.min(400, Math.max(1, room));
    this.soon();
  }

  /** Corners of a picture, as far as its height is known. @param {import("./messages.d.ts").PictureNews} picture @returns {Spot[]} */
  #corners({ file, from, to }) {
    const seen = image(file, () => this.fit());
    const tall = seen ? seen.naturalHeight / seen.naturalWidth : 0;
    const [x, y] = [(to[0] - from[0]) * tall, (to[1] - from[1]) * tall];
    return [from, to, [from[0] - y, from[1] + x], [to[0] - y, to[1] + x]];
  }

  /** @param {Spot} point */
  add(point) {
    this.points.push(point);
    this.soon();
    this.dispatchEvent(new Event("points"));
  }

  clear() {
    this.points = [];
    this.soon();
    this.dispatchEvent(new Event("points"));
  }

  /** @param {MouseEvent} event @returns {Spot} */
  #at(event) {
    const box = this.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** @param {Spot} pixel @returns {Spot} */
  #yard([x, y]) {
    return [this.middle[0] + (x - this.canvas.clientWidth / 2) / this.zoom, this.middle[1] - (y - this.canvas.clientHeight / 2) / this.zoom];
  }

  /** @param {Spot} place @returns {Spot} */
  #pixel([x, y]) {
    return [this.canvas.clientWidth / 2 + (x - this.middle[0]) * this.zoom, this.canvas.clientHeight / 2 - (y - this.middle[1]) * this.zoom];
  }

  /** @param {number} factor @param {Spot} about */
  #near(factor, about) {
    const place = this.#yard(about);
    this.zoom = Math.min(400, Math.max(1, this.zoom * factor));
    const now = this.#yard(about);
    this.middle = [this.middle[0] + place[0] - now[0], this.middle[1] + place[1] - now[1]];
    this.soon();
  }

  /** @param {PointerEvent} event */
  #press(event) {
    this.canvas.setPointerCapture(event.pointerId);
    this.#fingers.set(event.pointerId, this.#at(event));
    this.#down = this.#at(event);
    this.#strayed = this.#fingers.size > 1;
    if (this.draws && !this.#strayed) this.points = [this.#yard(this.#down)];
    if (this.draws && this.#strayed) this.points = [];
  }

  /** @param {PointerEvent} event */
  #move(event) {
    const before = this.#fingers.get(event.pointerId);
    if (!before) return;
    const now = this.#at(event);
    const others = [...this.#fingers].filter(([id]) => id !== event.pointerId).map(([, at]) => at);
    this.#fingers.set(event.pointerId, now);
    if (others.length) {
      const reach = (/** @type {Spot} */ a) => Math.max(1, Math.hypot(a[0] - others[0][0], a[1] - others[0][1]));
      this.#near(reach(now) / reach(before), others[0]);
      return;
    }
    if (this.draws) {
      this.points.push(this.#yard(now));
      this.soon();
      return;
    }
    if (this.#down && Math.hypot(now[0] - this.#down[0], now[1] - this.#down[1]) > STRAY) this.#strayed = true;
    if (this.#strayed) {
      this.middle = [this.middle[0] - (now[0] - before[0]) / this.zoom, this.middle[1] + (now[1] - before[1]) / this.zoom];
      this.soon();
    }
  }

  /** @param {PointerEvent} event */
  #lift(event) {
    const known = this.#fingers.delete(event.pointerId);
    if (!known || this.#fingers.size) return;
    if (this.draws) {
      if (this.points.length > 2) this.dispatchEvent(new Event("stroke"));
    } else if (!this.#strayed && this.#down && event.type === "pointerup") {
      this.add(this.#yard(this.#down));
    }
    this.#down = null;
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const step = 40 / this.zoom;
    /** @type {Record<string, Spot>} */
    const ways = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    const way = ways[event.key];
    if (way) this.middle = [this.middle[0] + way[0], this.middle[1] + way[1]];
    else if (event.key === "+" || event.key === "-") this.zoom = Math.min(400, Math.max(1, this.zoom * (event.key === "+" ? 1.25 : 0.8)));
    else return;
    event.preventDefault();
    this.soon();
  }

  /** Paints before the next frame. */
  soon() {
    if (this.#due) return;
    this.#due = true;
    requestAnimationFrame(() => {
      this.#due = false;
      this.#paint();
    });
  }

  #paint() {
    const { canvas } = this;
    const ratio = devicePixelRatio || 1;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    canvas.width = Math.round(width * ratio);
    canvas.height = Math.round(height * ratio);
    const ink = canvas.getContext("2d");
    if (!ink || !width) return;
    const style = getComputedStyle(canvas);
    const colour = (/** @type {string} */ name) => style.getPropertyValue(name).trim();
    ink.scale(ratio, ratio);
    if (!this.pictures.length) this.#squares(ink, colour("--line"));
    for (const picture of this.pictures) {
      const seen = image(picture.file, () => this.soon());
      const [from, to] = [picture.from, picture.to].map((at) => this.#pixel(at));
      if (seen) lay(ink, seen, [from[0] * ratio, from[1] * ratio], [to[0] * ratio, to[1] * ratio]);
    }
    ink.setTransform(ratio, 0, 0, ratio, 0, 0);
    for (const shape of this.shapes) {
      const tone = colour(INKS[shape.element.split(" ")[0]] ?? "--soft");
      ink.setLineDash(shape.element === "shadow noon" ? [3, 4] : []);
      this.#line(ink, shape.points, shape.closed, tone, shape.element === "shadow noon" ? 1.5 : 2);
      ink.setLineDash([]);
    }
    this.#line(ink, this.points, this.closes && this.points.length > 2, colour("--accent"), 3);
    if (!this.draws) for (const point of this.points) this.#dot(ink, point, colour("--accent"), 6);
  }

  /** Squares of one metre, or of five or more where those would be too fine. @param {CanvasRenderingContext2D} ink @param {string} tone */
  #squares(ink, tone) {
    const step = [1, 5, 10, 50].find((step) => step * this.zoom > 14) ?? 100;
    const [width, height] = [this.canvas.clientWidth, this.canvas.clientHeight];
    const [west, north] = this.#yard([0, 0]);
    const [east, south] = this.#yard([width, height]);
    ink.strokeStyle = tone;
    ink.lineWidth = 1;
    ink.beginPath();
    for (let x = Math.ceil(west / step) * step; x < east; x += step) {
      const [at] = this.#pixel([x, 0]);
      ink.moveTo(at, 0);
      ink.lineTo(at, height);
    }
    for (let y = Math.ceil(south / step) * step; y < north; y += step) {
      const [, at] = this.#pixel([0, y]);
      ink.moveTo(0, at);
      ink.lineTo(width, at);
    }
    ink.stroke();
  }

  /** @param {CanvasRenderingContext2D} ink @param {Spot[]} points @param {boolean} closed @param {string} tone @param {number} width */
  #line(ink, points, closed, tone, width) {
    if (points.length === 1) return this.#dot(ink, points[0], tone, 5);
    ink.strokeStyle = tone;
    ink.lineWidth = width;
    ink.beginPath();
    points.forEach((point, i) => {
      const [x, y] = this.#pixel(point);
      if (i) ink.lineTo(x, y);
      else ink.moveTo(x, y);
    });
    if (closed) ink.closePath();
    ink.stroke();
  }

  /** @param {CanvasRenderingContext2D} ink @param {Spot} point @param {string} tone @param {number} radius */
  #dot(ink, point, tone, radius) {
    const [x, y] = this.#pixel(point);
    ink.fillStyle = tone;
    ink.beginPath();
    ink.arc(x, y, radius, 0, 2 * Math.PI);
    ink.fill();
  }
}
