// What lies over the drawing while people work: the selection, its points, the stroke, the measuring.

const POINT = 5;

export class Overlay {
  #canvas;
  #context;
  #painter;
  #model;
  #hands;
  #due = false;
  /** @type {[number, number] | null} A place that is shown, metres of the yard. */
  mark = null;

  /**
   * @param {HTMLCanvasElement} canvas
   * @param {import("./painter.js").Painter} painter
   * @param {import("./model.js").Model} model
   * @param {import("./hands.js").Hands} hands
   */
  constructor(canvas, painter, model, hands) {
    this.#canvas = canvas;
    this.#context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
    this.#painter = painter;
    this.#model = model;
    this.#hands = hands;
  }

  /** Paints at the next frame. */
  soon() {
    if (this.#due) return;
    this.#due = true;
    requestAnimationFrame(() => {
      this.#due = false;
      this.#paint();
    });
  }

  #paint() {
    const { width, height } = this.#painter.window;
    const ratio = devicePixelRatio;
    const canvas = this.#canvas;
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio);
      canvas.height = Math.round(height * ratio);
      canvas.style.width = `${width}px`;
      canvas.style.height = `${height}px`;
    }
    const context = this.#context;
    context.setTransform(1, 0, 0, 1, 0, 0);
    context.clearRect(0, 0, canvas.width, canvas.height);
    const colours = getComputedStyle(canvas);
    const accent = colours.getPropertyValue("--accent") || "#a33";
    const paper = colours.getPropertyValue("--paper") || "#fff";
    this.#selection(accent, ratio);
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    this.#points(accent, paper);
    this.#trace(accent);
    const frame = this.#hands.frame;
    if (frame) {
      context.strokeStyle = accent;
      context.lineWidth = 1.5;
      context.setLineDash([6, 4]);
      context.strokeRect(frame.x0, frame.y0, frame.x1 - frame.x0, frame.y1 - frame.y0);
      context.setLineDash([]);
    }
    if (this.mark) {
      const [x, y] = this.#place(this.mark);
      context.strokeStyle = accent;
      context.lineWidth = 3;
      context.beginPath();
      context.arc(x, y, 22, 0, 2 * Math.PI);
      context.moveTo(x - 32, y);
      context.lineTo(x - 14, y);
      context.moveTo(x + 14, y);
      context.lineTo(x + 32, y);
      context.stroke();
    }
  }

  /** @param {[number, number]} spot metres of the yard @returns {[number, number]} */
  #place(spot) {
    return this.#painter.toWindow(...this.#painter.fromYard(...spot));
  }

  /** A wide pale line along all that is selected. @param {string} accent @param {number} ratio */
  #selection(accent, ratio) {
    const scene = this.#model.scene;
    const { zoom } = this.#painter.view;
    const scale = (zoom / this.#painter.millimetres) * ratio;
    const [left, top] = this.#painter.toWindow(0, 0).map((at) => at * ratio);
    const context = this.#context;
    context.strokeStyle = accent;
    context.globalAlpha = 0.55;
    context.setLineDash([]);
    for (const name of this.#model.selection) {
      for (const mark of scene.byElement.get(name) ?? []) {
        if (this.#painter.hidden.has(mark.layer) || mark.layer.startsWith("PLANT-CROWN")) continue;
        for (const item of mark.items) {
          if (item.kind !== "path") continue;
          context.setTransform(scale, 0, 0, scale, item.x * scale + left, item.y * scale + top);
          context.lineWidth = (4 * ratio) / scale;
          context.stroke(item.shape.path);
        }
      }
    }
    context.globalAlpha = 1;
  }

  /** @param {string} accent @param {string} paper */
  #points(accent, paper) {
    if (this.#hands.task !== "pick") return;
    const context = this.#context;
    for (const sheet of this.#model.sheets) {
      for (const handle of sheet.handles) {
        const [x, y] = this.#place(handle.at);
        const current = this.#hands.point === `${sheet.element}\n${handle.path}`;
        context.fillStyle = current ? accent : paper;
        context.strokeStyle = accent;
        context.lineWidth = 2;
        context.beginPath();
        context.rect(x - POINT, y - POINT, 2 * POINT, 2 * POINT);
        context.fill();
        context.stroke();
      }
    }
  }

  /** @param {string} accent */
  #trace(accent) {
    const trace = this.#hands.trace;
    if (trace.length === 0) return;
    const context = this.#context;
    context.strokeStyle = accent;
    context.fillStyle = accent;
    context.lineWidth = 2.5;
    context.beginPath();
    trace.forEach((spot, i) => {
      const [x, y] = this.#place(spot);
      if (i) context.lineTo(x, y);
      else context.moveTo(x, y);
    });
    context.stroke();
    if (this.#hands.task !== "measure") return;
    for (const spot of trace) {
      const [x, y] = this.#place(spot);
      context.beginPath();
      context.arc(x, y, 4, 0, 2 * Math.PI);
      context.fill();
    }
  }
}
