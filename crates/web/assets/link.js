// The connection to the server: asks go out, what is told comes in as events.
//
// Commits are kept here until the server has kept them: after a gap they are sent again under the
// same id, and kept once. Trials are never more than one under way; of those that wait only the
// newest is sent.

/** @typedef {import("./messages.d.ts").Ask} Ask */
/** @typedef {import("./messages.d.ts").Edit} Edit */
/** @typedef {import("./messages.d.ts").Tell} Tell */

/** Waits before connecting again, in milliseconds. */
const PATIENCE = [200, 500, 1000, 2000, 4000];

export class Link extends EventTarget {
  /** @type {WebSocket | null} */
  #socket = null;
  #attempts = 0;
  /** @type {Map<string, Ask>} Commits that the server has not answered. */
  #unanswered = new Map();
  /** @type {Map<string, Ask>} What the page wants to be told, sent again on every connection. */
  #standing = new Map();
  #seq = 0;
  /** @type {number | null} */
  #underway = null;
  /** @type {Edit[] | null} */
  #next = null;
  /** Whether the server answers. */
  open = false;

  connect() {
    const scheme = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(`${scheme}//${location.host}/live`);
    this.#socket = socket;
    socket.addEventListener("open", () => {
      this.#attempts = 0;
      this.open = true;
      this.#underway = null;
      for (const ask of this.#standing.values()) this.#send(ask);
      for (const ask of this.#unanswered.values()) this.#send(ask);
      this.dispatchEvent(new Event("connection"));
    });
    socket.addEventListener("message", (event) => this.#hear(/** @type {Tell} */ (JSON.parse(event.data))));
    socket.addEventListener("close", () => {
      this.open = false;
      this.#underway = null;
      this.#next = null;
      this.dispatchEvent(new Event("connection"));
      const wait = PATIENCE[Math.min(this.#attempts++, PATIENCE.length - 1)];
      setTimeout(() => this.connect(), wait);
    });
  }

  /** Ends the connection as a broken network would; it is made again. */
  cut() {
    this.#socket?.close();
  }

  /** How many commits wait for an answer. */
  get waiting() {
    return this.#unanswered.size;
  }

  /** @param {Tell} tell */
  #hear(tell) {
    if (tell.tell === "kept" || (tell.tell === "refused" && tell.id)) {
      this.#unanswered.delete(tell.id);
      this.dispatchEvent(new Event("connection"));
    }
    this.dispatchEvent(new CustomEvent("tell", { detail: tell }));
    const answered = (tell.tell === "news" || tell.tell === "refused") && tell.trial !== null ? tell.trial : null;
    if (answered !== null && answered === this.#underway) {
      this.#underway = null;
      if (this.#next) this.trial(this.#next);
    }
  }

  /** @param {Ask} ask */
  #send(ask) {
    if (this.#socket?.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(ask));
  }

  /**
   * Asks something whose answer may be lost.
   * @param {Ask} ask
   */
  ask(ask) {
    this.#send(ask);
  }

  /**
   * Asks something that holds until it is asked anew, also after a gap.
   * @param {Ask} ask
   */
  stand(ask) {
    this.#standing.set(ask.ask, ask);
    this.#send(ask);
  }

  /** A number for an answer. */
  number() {
    return ++this.#seq;
  }

  /**
   * Tries edits; of several in a hurry only the last is computed.
   * @param {Edit[]} edits
   */
  trial(edits) {
    if (this.#underway !== null || !this.open) {
      this.#next = edits;
      return;
    }
    this.#next = null;
    this.#underway = this.number();
    performance.mark(`trial ${this.#underway}`);
    this.#send({ ask: "trial", seq: this.#underway, edits });
  }

  /** Forgets the trial. */
  drop() {
    this.#next = null;
    this.#underway = null;
    this.#send({ ask: "drop" });
  }

  /**
   * Keeps edits.
   * @param {Edit[]} edits
   * @param {number} base
   * @returns {string} the commit's id
   */
  commit(edits, base) {
    this.#next = null;
    this.#underway = null;
    const id = crypto.randomUUID();
    return this.#keep({ ask: "commit", id, base, edits });
  }

  undo() {
    return this.#keep({ ask: "undo", id: crypto.randomUUID() });
  }

  redo() {
    return this.#keep({ ask: "redo", id: crypto.randomUUID() });
  }

  /** @param {Ask & { id: string }} ask */
  #keep(ask) {
    this.#unanswered.set(ask.id, ask);
    this.#send(ask);
    this.dispatchEvent(new Event("connection"));
    return ask.id;
  }
}
