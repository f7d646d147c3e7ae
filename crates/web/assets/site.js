// Site, the first visit: what is here? Every field may be left out; what is missing is assumed, and
// what would narrow the answers most is listed first.

import { fill, h, say } from "./dom.js";
import { address, bring } from "./pictures.js";
import { GUESSED, Pad } from "./site-pad.js";

/**
 * @typedef {object} Thing what a finger marks on the pad
 * @property {string} what
 * @property {string} title
 * @property {string} words how to mark it
 * @property {boolean} [closes] whether its places make an area
 * @property {number} [places] how many places it has; any number where it is not given
 * @property {[string, string, string[] | string][]} fields name, label, and words to choose from or how to write it
 */

/** Kinds of pictures that are kept. */
const KINDS = "image/jpeg,image/png,image/webp";

/** @type {[string, string][]} */
const KINDS_OF_PAVING = [["walk", "Walk"], ["drive", "Drive"], ["patio", "Patio"], ["deck", "Deck"]];

/** @type {Thing[]} */
const THINGS = [
  { what: "taped", title: "Taped length", words: "Tap both ends of a length that you taped, the longest you can.", places: 2, fields: [["length", "The tape reads", "40' 6\", 12.3 m"]] },
  { what: "house", title: "House", words: "Tap the corners of the house in order.", closes: true, fields: [["storeys", "Storeys to the eaves", ["", "1", "1.5", "2", "3"]], ["eave", "or the eave's height", "9 ft"]] },
  { what: "boundary", title: "Property line", words: "Tap the corners of the lot in order.", closes: true, fields: [] },
  { what: "street", title: "Street side", words: "Tap where somebody on the street looks at the house from.", places: 1, fields: [] },
  { what: "paving", title: "Paving", words: "Tap the corners of a walk, drive or patio.", closes: true, fields: [["kind", "What it is", KINDS_OF_PAVING.map(([kind]) => kind)], ["material", "Material", "concrete, brick"]] },
  { what: "bed", title: "Bed line", words: "Draw round a bed with the finger; the line is smoothed.", fields: [] },
  { what: "level", title: "Level", words: "Read the rod on the door sill, then at the place that you tap. Five readings round the house show how the ground falls.", places: 1, fields: [["sill", "The rod on the door sill reads", "1.20 m, 3' 11\""], ["reading", "The rod here reads", "1.55 m, 5' 1\""]] },
  { what: "tree", title: "Tree", words: "Tap the trunk.", places: 1, fields: [["plant", "Which", "acer-rubrum, or a botanical name"], ["girth", "Girth at breast height", "6' 3\", 1.9 m"], ["crown", "Crown across, by pacing", "30 ft ±"], ["height", "Height", "45 ft ±"], ["action", "What becomes of it", ["keep", "move", "remove"]]] },
  { what: "shrub", title: "Shrubs", words: "Tap the middle of a group of shrubs alike.", places: 1, fields: [["plant", "Which", "an id of the stock, or a botanical name"], ["count", "How many", "5"], ["spread", "One is wide", "4 ft"], ["action", "What becomes of them", ["keep", "move", "remove"]]] },
  { what: "photo", title: "Photo", words: "Take or choose a photo; then tap where you stood, and what you looked at. Both places may be left out.", fields: [["note", "What it shows", "roots lift the walk"], ["taken", "When", "today, if left out"]], places: 2 },
];

/** @type {import("./views.js").View} */
export const site = {
  id: "site",
  title: "Site",
  question: "What is here?",

  open(root, app) {
    const { model } = app;
    const ears = new AbortController();
    const pad = new Pad();
    /** Where the refusal of a commit is said, by its id. @type {Map<string, HTMLElement>} */
    const waiting = new Map();
    let thing = THINGS[0];
    let onSill = "";
    let fitted = false;
    /** The taped length that the picture takes its scale from: as drawn. @type {number | null} */
    let sets = null;

    const scale = h("p", { class: "live", role: "status" });
    const answers = h("div");
    const light = h("div");
    const falls = h("div");
    const next = h("div");
    const photos = h("ul", { class: "photos" });
    const flags = h("div");
    const panel = h("section", { class: "panel", "aria-label": "On the picture" });
    const heads = h("section", { class: "panel", "aria-label": "Told and read" });
    const things = h("div", { class: "tasks", role: "toolbar", "aria-label": "What the finger marks" },
      ...THINGS.map((one) => h("button", { type: "button", "data-what": one.what, onclick: () => take(one) }, one.title)));
    const file = h("input", { type: "file", id: "picture", accept: KINDS, onchange: async () => {
      const chosen = file.files?.[0];
      if (!chosen) return;
      say(trouble, "");
      try {
        const name = await bring(chosen);
        commit([{ edit: "found", what: "picture", points: [[0, 0], [GUESSED, 0]], fields: { file: name }, setsScale: false }], trouble);
        fitted = false;
        take(THINGS[0]);
      } catch (error) {
        say(trouble, error instanceof Error ? error.message : String(error));
      }
    } });
    const trouble = h("p", { class: "trouble", role: "alert" });

    fill(root, h("div", { class: "site" },
      h("h1", {}, "First visit"),
      h("p", { class: "quiet" }, "Give what you know. All of it can wait: what is missing is assumed, and listed below by what it would change."),
      h("div", { class: "row" }, h("label", { for: "picture" }, "Picture from above, or a sketch"), file),
      h("p", { class: "quiet" }, `Its lower edge is taken for ${GUESSED} m until you tape a length on it. It is kept in the project's folder, on this machine only.`),
      trouble, things, h("div", { class: "pad" }, pad.canvas), panel, scale,
      h("section", { class: "panel" }, h("h2", {}, "So far"), answers),
      h("section", { class: "panel" }, h("h2", {}, "Light in the growing season"), h("p", { class: "quiet" }, "Dashed on the picture: shadows at noon in March and September. The plan shows them through the year."), light),
      h("section", { class: "panel" }, h("h2", {}, "Fall from the house"), falls),
      h("section", { class: "panel" }, h("h2", {}, "Photos"), photos),
      h("section", { class: "panel" }, h("h2", {}, "What to measure next"), next),
      h("section", { class: "panel" }, h("h2", {}, "To ask before work begins"), flags),
      heads));

    /** @param {import("./messages.d.ts").Edit[]} edits @param {HTMLElement} where */
    function commit(edits, where) {
      say(where, "");
      waiting.set(model.commit(edits), where);
    }

    /** @param {Thing} one */
    function take(one) {
      thing = one;
      pad.draws = one.what === "bed";
      pad.closes = Boolean(one.closes) || pad.draws;
      pad.clear();
      for (const button of things.querySelectorAll("button")) button.setAttribute("aria-pressed", String(button.dataset.what === one.what));
      ask();
    }

    /** The panel for what is being marked. */
    function ask() {
      const wrong = h("p", { class: "trouble", role: "alert" });
      const count = h("p", { "aria-live": "polite" });
      const inputs = thing.fields.map(([name, label, how]) => {
        const id = `found-${name}`;
        const input = typeof how === "string"
          ? h("input", { id, name, placeholder: how, autocomplete: "off" })
          : h("select", { id, name }, ...how.map((word) => h("option", { value: word }, word || "not known")));
        // The instrument stays where it stands: its reading on the sill holds for all places.
        if (name === "sill") {
          input.value = onSill;
          input.addEventListener("change", () => (onSill = input.value));
        }
        return { name, input, row: h("div", { class: "field" }, h("label", { for: id }, label), input) };
      });
      const photo = h("input", { type: "file", id: "found-photo", accept: KINDS });
      const takes = h("input", { type: "checkbox", id: "takes-scale", checked: pad.pictures.length > 0 });
      const east = h("input", { id: "east", autocomplete: "off", inputMode: "decimal" });
      const north = h("input", { id: "north", autocomplete: "off", inputMode: "decimal" });
      const keep = h("button", { type: "button", class: "remedy", onclick: async () => {
        /** @type {Record<string, string>} */
        const fields = Object.fromEntries(inputs.map(({ name, input }) => [name, input.value]).filter(([, text]) => text.trim()));
        const { points } = pad;
        if (thing.what === "bed") return commit([{ edit: "stroke", purpose: "bed", points, plant: null, bed: null }], wrong);
        if (thing.what === "photo") {
          const chosen = photo.files?.[0];
          try {
            if (chosen) fields.file = await bring(chosen);
          } catch (error) {
            return say(wrong, error instanceof Error ? error.message : String(error));
          }
          fields.taken ??= new Date().toLocaleDateString("sv");
          photo.value = "";
        }
        const scales = thing.what === "taped" && takes.checked;
        sets = scales && points.length === 2 ? Math.hypot(points[1][0] - points[0][0], points[1][1] - points[0][1]) : null;
        commit([{ edit: "found", what: /** @type {import("./messages.d.ts").Found} */ (thing.what), points, fields, setsScale: scales }], wrong);
      } }, `Keep this ${thing.title.toLowerCase()}`);
      const places = () => {
        const n = pad.points.length;
        say(count, thing.what === "bed" ? (n ? "A line is drawn." : "") : `${n} ${n === 1 ? "place" : "places"} marked.`);
        if (thing.places && n > thing.places) pad.points.splice(0, n - thing.places);
      };
      fill(panel, h("h2", {}, thing.title), h("p", {}, thing.words), count,
        thing.what === "photo" && h("div", { class: "field" }, h("label", { for: "found-photo" }, "Photo"), photo),
        ...inputs.map(({ row }) => row),
        thing.what === "taped" && h("label", { class: "check" }, takes, " The whole plan takes its scale from this length"),
        h("div", { class: "row" }, keep,
          h("button", { type: "button", onclick: () => { pad.points.pop(); pad.soon(); places(); } }, "Take back the last place"),
          h("button", { type: "button", onclick: () => pad.fit() }, "Show all")),
        wrong,
        thing.what !== "bed" && h("details", {}, h("summary", {}, "Type a place instead"),
          h("p", { class: "quiet" }, "Metres east and north of the plan's origin."),
          h("div", { class: "pair" }, h("div", { class: "field" }, h("label", { for: "east" }, "East"), east), h("div", { class: "field" }, h("label", { for: "north" }, "North"), north)),
          h("button", { type: "button", onclick: () => {
            const [x, y] = [east, north].map((input) => Number(input.value.trim().replace(",", ".")));
            const good = east.value.trim() !== "" && north.value.trim() !== "" && Number.isFinite(x) && Number.isFinite(y);
            say(wrong, good ? "" : "A place is two numbers of metres, such as 3.5 and 12.");
            if (good) pad.add([x, y]);
          } }, "Add this place")));
      marked = places;
      places();
    }
    let marked = () => {};
    pad.addEventListener("points", () => marked());
    pad.addEventListener("stroke", () => marked());

    /** @param {import("./model.js").Told<"visit">} told */
    function show(told) {
      pad.shapes = told.shapes;
      const taped = told.shapes.filter((shape) => shape.element.startsWith("taped "));
      if (sets !== null && taped.length) {
        const [from, to] = taped[taped.length - 1].points;
        pad.stretch(Math.hypot(to[0] - from[0], to[1] - from[1]) / sets);
        sets = null;
      }
      // What is there already is shown whole once; later the sheet stays where the hand left it.
      const first = !fitted;
      fitted = true;
      if (first && (told.shapes.length || pad.pictures.length)) {
        pad.fit();
      }
      pad.soon();
      say(scale, told.scale + (told.flow ? ` The hose bib gives ${told.flow}.` : ""));
      fill(answers, told.answers.length
        ? rows(told.answers)
        : h("p", { class: "quiet" }, "No beds yet: draw one round, and its area, mulch and plants are counted."));
      fill(photos, ...told.photos.map((one) => h("li", {}, h("a", { href: address(one.file), target: "_blank" }, h("img", { src: address(one.file), alt: one.words || model.titleOf(one.element), loading: "lazy" })), h("span", {}, one.words), h("button", { type: "button", "aria-label": `Remove ${one.words || model.titleOf(one.element)}`, onclick: () => model.commit([{ edit: "remove", elements: [one.element] }]) }, "Remove"))));
      if (!told.photos.length) fill(photos, h("li", { class: "quiet" }, "None yet: a photo of the door sill, of the meters and of the gate saves a second visit."));
      fill(light, told.light.length ? rows(told.light) : h("p", { class: "quiet" }, told.stale ? "The sun is being studied…" : "No beds yet: their light is told as soon as there are any."));
      fill(falls, told.falls.length ? rows(told.falls) : h("p", { class: "quiet" }, told.stale ? "The ground is being studied…" : "No levels yet: take some from the door sill, and at least three places away from the house."));
      fill(next, told.weighing && h("p", { class: "quiet", role: "status" }, "Weighing what hangs on what…"),
        told.worth.length ? h("ol", { class: "worth" }, ...told.worth.map(reading)) : !told.weighing && h("p", { class: "quiet" }, "Nothing that is only assumed changes an amount or a warning yet."));
      fill(flags, h("ul", {}, ...told.flags.map((flag) => h("li", {}, h("strong", {}, flag.what), flag.elements.length ? ` (${flag.elements.map((name) => model.titleOf(name)).join(", ")})` : "", ". ", flag.ask))),
        h("p", { class: "quiet" }, "An item that is not listed is no permission: local codes and the authorities decide."));
      showHeads(told.heads);
    }

    /** @param {import("./messages.d.ts").AnswerNews[]} all */
    const rows = (all) => h("dl", { class: "answers" }, ...all.map((one) => h("div", {}, h("dt", {}, one.name), h("dd", {}, one.value, one.range && h("span", { class: "quiet" }, ` (${one.range})`)))));

    /** @param {import("./messages.d.ts").WorthNews} one */
    function reading(one) {
      const wrong = h("p", { class: "trouble", role: "alert" });
      const scales = one.field === "scale" && !one.element;
      const id = `read-${one.element || "place"}-${one.field}`.replace(/[^a-z0-9]+/g, "-");
      const input = h("input", { id, autocomplete: "off", placeholder: one.assumed, onchange: () => {
        const text = input.value;
        if (!text.trim()) return;
        commit([one.element ? { edit: "write", element: one.element, field: one.field, text } : { edit: "declare", field: one.field, text }], wrong);
      } });
      const give = scales
        ? h("button", { type: "button", onclick: () => { take(THINGS[0]); panel.scrollIntoView(); } }, "Tape a length")
        : h("div", { class: "field" }, h("label", { for: id }, "It is"), input);
      return h("li", {}, h("strong", {}, one.title), ` — assumed: ${one.assumed}`, h("span", { class: "quiet" }, ` (${one.why})`),
        h("ul", {}, ...one.changes.map((change) => h("li", {}, change))), give, wrong);
    }

    let asked = "";
    /** What came while somebody was typing. @type {import("./messages.d.ts").HeadNews[] | null} */
    let later = null;
    heads.addEventListener("focusout", () => setTimeout(() => later && showHeads(later)), { signal: ears.signal });
    /** @param {import("./messages.d.ts").HeadNews[]} told */
    function showHeads(told) {
      const now = JSON.stringify(told);
      if (now === asked) return;
      // A field that somebody is typing in is never taken from under the hand.
      if (heads.contains(document.activeElement)) {
        later = told;
        return;
      }
      later = null;
      asked = now;
      const groups = [...new Set(told.map((head) => head.group))];
      fill(heads, h("h2", {}, "Told and read"), ...groups.map((group) => h("fieldset", {}, h("legend", {}, group), ...told.filter((head) => head.group === group).map(headRow))));
    }

    /** @param {import("./messages.d.ts").HeadNews} head */
    function headRow(head) {
      const id = `head-${head.path.replace(".", "-")}`;
      const wrong = h("p", { class: "trouble", role: "alert" });
      const hint = head.text ? "" : head.assumed ? `assumed: ${head.assumed}` : head.hint;
      const change = () => commit([{ edit: "declare", field: head.path, text: input.value }], wrong);
      const input = head.lines
        ? h("textarea", { id, rows: 3, value: head.text, placeholder: hint, onchange: change })
        : head.choices.length
          ? h("select", { id, onchange: change }, h("option", { value: "" }, hint || "not known"), ...head.choices.map((word) => h("option", { value: word, selected: word === head.text }, word === "true" ? "yes" : word === "false" ? "no" : word)))
          : h("input", { id, value: head.text, placeholder: hint, autocomplete: "off", onchange: change });
      return h("div", { class: "field" }, h("label", { for: id }, head.label), input, wrong);
    }

    /** @param {string} type @param {(detail: any) => void} hear */
    const hear = (type, hear) => model.addEventListener(type, (event) => hear(/** @type {CustomEvent} */ (event).detail), { signal: ears.signal });
    hear("visit", show);
    const pictures = () => {
      pad.pictures = model.pictures;
      pad.soon();
    };
    hear("pictures", () => {
      const first = !pad.pictures.length;
      pictures();
      if (first) pad.fit();
    });
    pictures();
    hear("kept", (/** @type {import("./model.js").Told<"kept">} */ told) => {
      if (!waiting.delete(told.id)) return;
      pad.clear();
      asked = "";
    });
    hear("refused", (/** @type {import("./model.js").Told<"refused">} */ told) => {
      const where = waiting.get(told.id);
      waiting.delete(told.id);
      sets = null;
      if (where) say(where, told.why);
    });
    take(THINGS[0]);
    model.link.stand({ ask: "visit", on: true });
    return {
      close() {
        ears.abort();
        pad.watch.disconnect();
        model.link.stand({ ask: "visit", on: false });
      },
    };
  },
};
