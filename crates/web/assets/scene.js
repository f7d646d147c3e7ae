// The drawing as this page knows it: marks in the order of painting, their shapes and pens.
//
// All numbers are millimetres of paper, y down, the origin in the middle of the plan.

/** @typedef {import("./messages.d.ts").MarkNews} MarkNews */
/** @typedef {import("./messages.d.ts").PenNews} PenNews */
/** @typedef {import("./messages.d.ts").LayerNews} LayerNews */
/** @typedef {{ x0: number, y0: number, x1: number, y1: number }} Box */
/** @typedef {{ path: Path2D, box: Box, id: number }} Shape */
/** @typedef {{ kind: "path", shape: Shape, x: number, y: number, pen: number, fill: number }} PathItem */
/** @typedef {{ kind: "text", x: number, y: number, text: string, height: number, anchor: number, rotation: number, colour: number, face: number, halo: boolean }} TextItem */
/** @typedef {{ key: string, layer: string, order: number, element: string, ordinal: number, place: number, items: (PathItem | TextItem)[], box: Box }} Mark */

const NOWHERE = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity };

/** @param {Box} a @param {Box} b @returns {Box} */
export const union = (a, b) => ({ x0: Math.min(a.x0, b.x0), y0: Math.min(a.y0, b.y0), x1: Math.max(a.x1, b.x1), y1: Math.max(a.y1, b.y1) });
/** @param {Box} a @param {Box} b */
export const meet = (a, b) => a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
/** @param {Box} box */
export const isEmpty = (box) => !(box.x1 >= box.x0 && box.y1 >= box.y0);

export class Scene {
  drawing = "";
  /** The scale's denominator. */
  scale = 100;
  /** @type {Map<string, Mark>} */
  marks = new Map();
  /** @type {Mark[]} In the order of painting. */
  ordered = [];
  /** @type {Map<number, Shape>} */
  shapes = new Map();
  /** @type {PenNews[]} */
  pens = [];
  /** @type {Map<string, LayerNews>} */
  layers = new Map();
  /** @type {Map<string, Set<Mark>>} */
  byElement = new Map();
  /** Counts up when all painted sprites are stale. */
  generation = 0;
  #loose = -1;

  /**
   * Takes what was told; gives the paper that must be painted again, or null for all of it.
   * @param {Extract<import("./messages.d.ts").Tell, { tell: "scene" }>} news
   * @returns {Box | null}
   */
  take(news) {
    if (news.whole) {
      this.drawing = news.drawing;
      this.scale = news.scale;
      this.marks.clear();
      this.byElement.clear();
      this.shapes.clear();
      this.pens = [];
      this.ordered = [];
      this.generation++;
    }
    for (const layer of news.layers) this.layers.set(layer.name, layer);
    this.pens.push(...news.pens);
    for (const [id, text] of news.shapes) this.shapes.set(id, shape(id, text));
    /** @type {Box} */
    let dirty = { ...NOWHERE };
    /** @type {Mark[]} */
    const added = [];
    let reordered = false;
    for (const key of news.gone) {
      const mark = this.marks.get(key);
      if (!mark) continue;
      dirty = union(dirty, mark.box);
      this.marks.delete(key);
      this.byElement.get(mark.element)?.delete(mark);
      reordered = true;
    }
    for (const told of news.marks) {
      const known = this.marks.get(told.key);
      const mark = this.#mark(told);
      dirty = union(dirty, mark.box);
      if (known) {
        dirty = union(dirty, known.box);
        reordered ||= known.place !== mark.place;
        Object.assign(known, mark);
        continue;
      }
      this.marks.set(mark.key, mark);
      let siblings = this.byElement.get(mark.element);
      if (!siblings) this.byElement.set(mark.element, (siblings = new Set()));
      siblings.add(mark);
      added.push(mark);
    }
    if (added.length || reordered) {
      this.ordered = [...this.marks.values()].sort((a, b) => a.order - b.order || (a.layer < b.layer ? -1 : a.layer > b.layer ? 1 : a.place - b.place));
    }
    return news.whole ? null : dirty;
  }

  /** @param {MarkNews} told @returns {Mark} */
  #mark(told) {
    /** @type {Box} */
    let box = { ...NOWHERE };
    /** @type {(PathItem | TextItem)[]} */
    const items = [];
    for (const item of told.items) {
      if (item[0] === "p") {
        const [, reference, x, y, pen, fill] = /** @type {[string, number | string, number, number, number, number]} */ (item);
        const of = typeof reference === "string" ? shape(this.#loose--, reference) : this.shapes.get(reference);
        if (!of) continue;
        items.push({ kind: "path", shape: of, x, y, pen, fill });
        const wide = pen >= 0 ? (this.pens[pen]?.width ?? 0) : 0;
        box = union(box, { x0: of.box.x0 + x - wide, y0: of.box.y0 + y - wide, x1: of.box.x1 + x + wide, y1: of.box.y1 + y + wide });
      } else {
        const [, x, y, text, height, anchor, rotation, colour, face, halo] = /** @type {[string, number, number, string, number, number, number, number, number, number]} */ (item);
        items.push({ kind: "text", x, y, text, height, anchor, rotation, colour, face, halo: halo === 1 });
        // Wider than any ordinary letters: the box may be too large, never too small.
        const width = text.length * height * 1.1 + height;
        box = union(box, { x0: x - width, y0: y - width, x1: x + width, y1: y + width });
      }
    }
    const order = this.layers.get(told.layer)?.order ?? 0;
    return { key: told.key, layer: told.layer, order, element: told.element, ordinal: told.ordinal, place: told.place, items, box };
  }
}

/** @param {number} id @param {string} text @returns {Shape} */
function shape(id, text) {
  const numbers = text.match(/-?\d+(?:\.\d+)?(?:e-?\d+)?/g)?.map(Number) ?? [];
  const box = { ...NOWHERE };
  for (let i = 0; i + 1 < numbers.length; i += 2) {
    box.x0 = Math.min(box.x0, numbers[i]);
    box.x1 = Math.max(box.x1, numbers[i]);
    box.y0 = Math.min(box.y0, numbers[i + 1]);
    box.y1 = Math.max(box.y1, numbers[i + 1]);
  }
  return { path: new Path2D(text), box, id };
}
