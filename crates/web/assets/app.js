// The shell: which view is shown, what stands above it, units, day and night, and the connection.

import { fill, h, say } from "./dom.js";
import { Link } from "./link.js";
import { Model } from "./model.js";
import { views } from "./views.js";

/** @typedef {"day" | "night" | "system"} Theme */

export class App extends EventTarget {
  link = new Link();
  model = new Model(this.link);
  #root = h("main", { id: "view", tabIndex: -1 });
  /** @type {import("./views.js").Open | null} */
  #open = null;
  #shown = "";
  /** @type {Theme} */
  #theme = /** @type {Theme} */ (localStorage.getItem("theme") ?? "system");
  #night = matchMedia("(prefers-color-scheme: dark)");

  start() {
    const name = h("span", { class: "job" });
    const state = h("p", { class: "connection", role: "status" });
    const notice = h("div", { class: "notice", role: "alert" });
    const undo = h("button", { type: "button", disabled: true, onclick: () => this.link.undo() }, "Undo");
    const redo = h("button", { type: "button", disabled: true, onclick: () => this.link.redo() }, "Redo");
    const units = h("select", { id: "units", onchange: () => {
      localStorage.setItem("units", units.value);
      this.link.stand({ ask: "units", system: units.value });
    } }, h("option", { value: "us" }, "Feet and inches"), h("option", { value: "metric" }, "Metres"));
    const theme = h("select", { id: "theme", value: this.#theme, onchange: () => {
      this.#theme = /** @type {Theme} */ (theme.value);
      localStorage.setItem("theme", theme.value);
      this.#paint();
    } }, h("option", { value: "system" }, "As the system"), h("option", { value: "day" }, "Day"), h("option", { value: "night" }, "Night"));
    theme.value = this.#theme;
    const nav = h("nav", { "aria-label": "Views" }, ...views.map((view) => h("a", { href: `#${view.id}`, title: view.question }, view.title)));
    const skip = h("a", { class: "skip", href: "#view", onclick: (/** @type {Event} */ event) => {
      event.preventDefault();
      this.#root.focus();
    } }, "Skip to the view");
    document.body.append(
      skip,
      h("header", {}, name, nav, h("div", { class: "row" }, undo, redo), h("div", { class: "row settings" }, h("label", { for: "units" }, "Units"), units, h("label", { for: "theme" }, "Light"), theme), state, notice),
      this.#root,
    );
    this.model.addEventListener("welcome", () => {
      const told = this.model.welcome;
      if (!told) return;
      document.title = `${told.name} · groundwright`;
      say(name, told.name);
      units.value = told.system;
    });
    this.model.addEventListener("faults", () => this.#faults());
    this.model.addEventListener("welcome", () => this.#show());
    this.model.addEventListener("news", () => {
      undo.disabled = !this.model.canUndo;
      redo.disabled = !this.model.canRedo;
    });
    this.model.addEventListener("notice", (event) => {
      const told = /** @type {CustomEvent<import("./model.js").Told<"notice">>} */ (event).detail;
      const decide = (/** @type {string} */ keep, /** @type {string} */ words) => h("button", { type: "button", onclick: () => this.link.ask({ ask: "settle", keep }) }, words);
      fill(notice, told.text, told.settle && h("span", { class: "row" }, decide("app", "Keep what the app says"), decide("files", "Keep what the files say")));
    });
    this.link.addEventListener("connection", () => {
      const waiting = this.link.waiting;
      const changes = waiting === 1 ? "1 change waits" : `${waiting} changes wait`;
      say(state, this.link.open ? "" : waiting ? `The app does not answer. ${changes} here and will be sent.` : "The app does not answer. Looking for it…");
      document.body.classList.toggle("cut", !this.link.open);
    });
    addEventListener("hashchange", () => this.#show());
    addEventListener("keydown", (event) => {
      const key = event.key.toLowerCase();
      const inText = event.target instanceof HTMLInputElement && event.target.type !== "checkbox";
      if (!(event.ctrlKey || event.metaKey) || inText) return;
      if (key === "z" && !event.shiftKey) this.link.undo();
      else if (key === "y" || (key === "z" && event.shiftKey)) this.link.redo();
      else return;
      event.preventDefault();
    });
    this.#night.addEventListener("change", () => this.#paint());
    this.#paint();
    const spoken = localStorage.getItem("units");
    if (spoken) this.link.stand({ ask: "units", system: spoken });
    this.link.connect();
  }

  isDark() {
    return this.#theme === "night" || (this.#theme === "system" && this.#night.matches);
  }

  #paint() {
    document.documentElement.dataset.theme = this.isDark() ? "night" : "day";
    this.dispatchEvent(new Event("theme"));
  }

  /**
   * Shows a view, and a finding's place in it.
   * @param {string} id
   * @param {import("./messages.d.ts").FindingNews} [finding]
   */
  go(id, finding) {
    location.hash = id;
    this.#show(id);
    if (finding) this.#open?.jump?.(finding);
  }

  /** @param {string} [id] */
  #show(id = location.hash.slice(1)) {
    if (!this.model.welcome || this.model.faults.length) return;
    const view = views.find((one) => one.id === id) ?? views.find((one) => one.id === "plan") ?? views[0];
    if (this.#shown === view.id) return;
    this.#open?.close();
    this.#shown = view.id;
    for (const link of document.querySelectorAll("nav a")) {
      if (link.getAttribute("href") === `#${view.id}`) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
    fill(this.#root);
    this.#root.dataset.view = view.id;
    this.#open = view.open(this.#root, this);
  }

  /** The project's files do not read: says where, what and how to mend it. */
  #faults() {
    this.#open?.close();
    this.#open = null;
    this.#shown = "";
    fill(this.#root, h("div", { class: "reading" }, h("h1", {}, "The project's files do not read"),
      h("p", {}, "Mend them in an editor, then look again."),
      h("ul", {}, ...this.model.faults.map((fault) => h("li", {}, fault.text))),
      h("button", { type: "button", onclick: () => this.link.ask({ ask: "drop" }) }, "Look again")));
  }
}

const app = new App();
app.start();
