// What this page knows of the project. Views read it and are told when it changes.
//
// Events: `welcome`, `faults`, `scene` (detail: the paper to paint again, null for all), `news`,
// `sheets`, `selection`, `kept`, `refused`, `notice`, `measured`, `plants`.

import { Scene } from "./scene.js";

/** @typedef {import("./messages.d.ts").Tell} Tell */
/**
 * @template {string} T
 * @typedef {Extract<Tell, { tell: T }>} Told
 */

export class Model extends EventTarget {
  /** @type {Told<"welcome"> | null} */
  welcome = null;
  /** @type {import("./messages.d.ts").FaultNews[]} */
  faults = [];
  scene = new Scene();
  revision = 0;
  /** @type {number | null} */
  trial = null;
  /** Whether levels, water and sun are being studied anew. */
  stale = false;
  canUndo = false;
  canRedo = false;
  /** @type {import("./messages.d.ts").FigureNews[]} */
  figures = [];
  /** @type {Map<string, import("./messages.d.ts").ElementNews>} */
  elements = new Map();
  /** @type {import("./messages.d.ts").CauseNews[]} */
  causes = [];
  /** @type {import("./messages.d.ts").TableNews[]} */
  tables = [];
  /** Pictures under the drawing. @type {import("./messages.d.ts").PictureNews[]} */
  pictures = [];
  /** @type {import("./messages.d.ts").SheetNews[]} */
  sheets = [];
  /** What drew the moved point. */
  drawn = "";
  /** @type {string[]} */
  selection = [];
  /** @type {import("./link.js").Link} */
  link;

  /** @param {import("./link.js").Link} link */
  constructor(link) {
    super();
    this.link = link;
    link.addEventListener("tell", (event) => this.#hear(/** @type {CustomEvent<Tell>} */ (event).detail));
  }

  /** @param {Tell} tell */
  #hear(tell) {
    switch (tell.tell) {
      case "welcome":
        this.welcome = tell;
        this.faults = [];
        this.elements.clear();
        return this.#say("welcome");
      case "faults":
        this.faults = tell.faults;
        return this.#say("faults");
      case "scene":
        return this.#say("scene", this.scene.take(tell));
      case "news":
        this.revision = tell.revision;
        this.trial = tell.trial;
        this.stale = tell.stale;
        [this.canUndo, this.canRedo] = tell.undo;
        if (tell.figures) this.figures = tell.figures;
        if (tell.causes) this.causes = tell.causes;
        if (tell.tables) this.tables = tell.tables;
        if (tell.pictures) {
          this.pictures = tell.pictures;
          this.#say("pictures");
        }
        for (const [name, words] of Object.entries(tell.elements)) {
          if (words) this.elements.set(name, words);
          else this.elements.delete(name);
        }
        if (this.trial === null && this.selection.some((name) => !this.elements.has(name))) {
          this.select(this.selection.filter((name) => this.elements.has(name)));
        }
        return this.#say("news", tell);
      case "sheets":
        this.sheets = tell.sheets;
        this.drawn = tell.drawn;
        return this.#say("sheets");
      case "kept":
        if (tell.added.length) this.select(tell.added);
        return this.#say("kept", tell);
      default:
        return this.#say(tell.tell, tell);
    }
  }

  /** @param {string} name @param {any} [detail] */
  #say(name, detail) {
    this.dispatchEvent(new CustomEvent(name, { detail }));
  }

  /** @param {string[]} elements */
  select(elements) {
    this.selection = [...new Set(elements)];
    this.link.stand({ ask: "select", elements: this.selection });
    this.#say("selection");
  }

  /**
   * Keeps edits made on the revision that is shown.
   * @param {import("./messages.d.ts").Edit[]} edits
   */
  commit(edits) {
    return this.link.commit(edits, this.revision);
  }

  /** @param {string} name An element's name. */
  titleOf(name) {
    return this.elements.get(name)?.title ?? name;
  }
}
