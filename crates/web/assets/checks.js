// Checks: will it live, stand, light and drain?

import { fill, h, say } from "./dom.js";

/** @typedef {import("./messages.d.ts").FindingNews} FindingNews */

const WORDS = /** @type {Record<string, string>} */ ({ danger: "Danger", fault: "Fault", doubt: "Doubt", note: "Note" });

/** @type {import("./views.js").View} */
export const checks = {
  id: "checks",
  title: "Checks",
  question: "Will it live, stand and drain?",

  open(root, app) {
    const { model } = app;
    const ears = new AbortController();
    const summary = h("p", { class: "quiet", role: "status" });
    const trouble = h("p", { class: "trouble", role: "alert" });
    const list = h("div", { class: "causes" });
    fill(root, h("div", { class: "reading" },
      h("h1", {}, "Checks"), summary, trouble,
      h("p", { class: "quiet" }, "Each finding states a computed value against its limit and source. Nothing here declares anything safe or approved: local codes and licensed practice decide."),
      list));
    let shown = "";
    /** @type {Set<string>} Findings whose reason is being written. */
    const writing = new Set();

    function build() {
      if (model.trial !== null) return;
      const open = model.causes.map((cause) => cause.findings.filter((finding) => !finding.accepted).length);
      const total = open.reduce((sum, one) => sum + one, 0);
      const settled = model.causes.reduce((sum, cause) => sum + cause.findings.length, 0) - total;
      say(summary, `${total} to decide under ${open.filter(Boolean).length} headings${settled ? `, ${settled} accepted` : ""}.${model.stale ? " Levels, water and sun are being studied anew." : ""}`);
      const now = JSON.stringify([model.causes, [...writing]]);
      if (now === shown) return;
      shown = now;
      fill(list, ...model.causes.map((cause) => h("section", { class: `cause ${cause.severity}` },
        h("h2", {}, h("span", { class: "weight" }, WORDS[cause.severity] ?? cause.severity), ` ${cause.title}`),
        h("p", { class: "quiet" }, `Source: ${cause.source}`),
        h("ul", {}, ...cause.findings.map(finding)))));
    }

    /** @param {FindingNews} one */
    function finding(one) {
      /** @type {HTMLElement[]} */
      const parts = [h("p", {}, one.sentence)];
      if (one.assumed.length) parts.push(h("p", { class: "quiet" }, `Rests on what is only assumed: ${one.assumed.join("; ")}.`));
      if (one.accepted) {
        const { id, reason } = one.accepted;
        parts.push(h("p", { class: "accepted" }, `Accepted: ${reason}`),
          h("div", { class: "row" }, show(one), h("button", { type: "button", onclick: () => model.commit([{ edit: "withdraw", acceptance: id }]) }, "Let it count again")));
        return h("li", {}, ...parts);
      }
      const remedies = one.remedies.map((remedy, i) => remedy.can
        ? h("button", { type: "button", class: "remedy", onclick: () => model.commit([{ edit: "remedy", finding: one.key, remedy: i }]) }, sentence(remedy.action))
        : h("span", { class: "quiet by-hand" }, `By hand: ${remedy.action}`));
      parts.push(h("div", { class: "row" }, show(one), ...remedies, writing.has(one.key) ? null : h("button", { type: "button", onclick: () => {
        writing.add(one.key);
        build();
        document.getElementById(`reason ${one.key}`)?.focus();
      } }, "Accept as it is…")));
      if (writing.has(one.key)) parts.push(reason(one));
      return h("li", {}, ...parts);
    }

    /** @param {FindingNews} one */
    const show = (one) => h("button", { type: "button", onclick: () => app.go("plan", one) }, "Show on the plan");

    /** @param {FindingNews} one */
    function reason(one) {
      const input = h("input", { id: `reason ${one.key}`, required: true, "aria-label": "Reason for accepting it" });
      return h("form", { class: "row", onsubmit: (/** @type {Event} */ event) => {
        event.preventDefault();
        if (!input.value.trim()) return;
        writing.delete(one.key);
        model.commit([{ edit: "accept", finding: one.key, reason: input.value }]);
      } }, input, h("button", { type: "submit" }, "Accept with this reason"), h("button", { type: "button", onclick: () => {
        writing.delete(one.key);
        build();
      } }, "Cancel"));
    }

    model.addEventListener("news", build, { signal: ears.signal });
    model.addEventListener("refused", (event) => say(trouble, /** @type {CustomEvent} */ (event).detail.why), { signal: ears.signal });
    model.addEventListener("kept", () => say(trouble, ""), { signal: ears.signal });
    build();
    return { close: () => ears.abort() };
  },
};

/** @param {string} text */
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1);
