// Written from crates/web/src/messages.rs: `GROUNDWRIGHT_UPDATE=1 cargo test -p groundwright-web`.

/** A point of the yard, x east and y north. [m] */
export type Spot = [number, number];

/**
 * What a stroke of the hand shall become.
 */
export type Purpose = "bed" | "row" | "mass";

/**
 * What is found on a first visit.
 */
export type Found = "house" | "boundary" | "street" | "paving" | "tree" | "shrub" | "taped" | "level" | "photo" | "picture";

/**
 * One change as a hand makes it; the server turns it into commands on the files.
 */
export type Edit = { "edit": "write", 
/**
 * The element.
 */
element: string, 
/**
 * The field's dotted path.
 */
field: string, 
/**
 * What was typed.
 */
text: string, } | { "edit": "move", 
/**
 * The elements.
 */
elements: Array<string>, 
/**
 * Shift to the east. [m]
 */
east: number, 
/**
 * Shift to the north. [m]
 */
north: number, } | { "edit": "move-text", 
/**
 * The elements.
 */
elements: Array<string>, 
/**
 * To the east, as typed; empty for nothing.
 */
east: string, 
/**
 * To the north, as typed; empty for nothing.
 */
north: string, } | { "edit": "point", 
/**
 * The element.
 */
element: string, 
/**
 * The point's path in the file: `outline/1/smooth/2`.
 */
path: string, 
/**
 * Where to. [m]
 */
to: [number, number], 
/**
 * Reach within which edges, right angles and whole steps draw the point; none to leave it. [m]
 */
reach: number | null, } | { "edit": "point-text", 
/**
 * The element.
 */
element: string, 
/**
 * The point's path in the file.
 */
path: string, 
/**
 * East, as typed; empty to keep it.
 */
east: string, 
/**
 * North, as typed; empty to keep it.
 */
north: string, } | { "edit": "add-point", 
/**
 * The element.
 */
element: string, 
/**
 * Path of the point before.
 */
path: string, 
/**
 * Where. [m]
 */
at: [number, number], } | { "edit": "remove-point", 
/**
 * The element.
 */
element: string, 
/**
 * The point's path.
 */
path: string, } | { "edit": "stroke", 
/**
 * What it becomes.
 */
purpose: Purpose, 
/**
 * Points of the stroke in order. [m]
 */
points: Array<[number, number]>, 
/**
 * The taxon that a row or mass is made of.
 */
plant: string | null, 
/**
 * The bed or box of a row or mass.
 */
bed: string | null, } | { "edit": "plant", 
/**
 * The bed or box.
 */
bed: string, 
/**
 * The taxon.
 */
plant: string, 
/**
 * Places of single plants; empty fills the whole bed. [m]
 */
at: Array<[number, number]>, } | { "edit": "copy", 
/**
 * The elements.
 */
elements: Array<string>, 
/**
 * Shift to the east. [m]
 */
east: number, 
/**
 * Shift to the north. [m]
 */
north: number, } | { "edit": "remove", 
/**
 * The elements.
 */
elements: Array<string>, } | { "edit": "rename", 
/**
 * The element.
 */
element: string, 
/**
 * The new id.
 */
to: string, } | { "edit": "remedy", 
/**
 * Key of the finding.
 */
finding: string, 
/**
 * Which of its remedies, from 0.
 */
remedy: number, } | { "edit": "accept", 
/**
 * Key of the finding.
 */
finding: string, 
/**
 * Why.
 */
reason: string, } | { "edit": "found", 
/**
 * What.
 */
what: Found, 
/**
 * Its places, in order. [m]
 */
points: Array<[number, number]>, 
/**
 * What was typed beside it, by field.
 */
fields: Record<string, string>, 
/**
 * Of a taped length: whether the whole plan takes its scale from it.
 */
setsScale: boolean, } | { "edit": "declare", 
/**
 * The key's dotted path: `place.latitude`.
 */
field: string, 
/**
 * What was typed.
 */
text: string, } | { "edit": "fit" } | { "edit": "withdraw", 
/**
 * Id of the acceptance.
 */
acceptance: string, };

/**
 * What the page asks of the server.
 */
export type Ask = { "ask": "look", 
/**
 * One of the drawings that the welcome lists.
 */
drawing: string, 
/**
 * The scale's denominator, between 5 and 5,000.
 */
scale: number, } | { "ask": "units", 
/**
 * `us` or `metric`.
 */
system: string, } | { "ask": "trial", 
/**
 * Counts up; the answer carries it.
 */
seq: number, 
/**
 * The edits.
 */
edits: Array<Edit>, } | { "ask": "drop" } | { "ask": "commit", 
/**
 * Made by the page, never used twice: what is sent again after a gap is kept once.
 */
id: string, 
/**
 * The revision that the hand worked on.
 */
base: number, 
/**
 * The edits.
 */
edits: Array<Edit>, } | { "ask": "undo", 
/**
 * As of a commit.
 */
id: string, } | { "ask": "redo", 
/**
 * As of a commit.
 */
id: string, } | { "ask": "select", 
/**
 * The elements.
 */
elements: Array<string>, } | { "ask": "settle", 
/**
 * Whose changes stand where both made some: `files` or `app`.
 */
keep: string, } | { "ask": "visit", 
/**
 * Whether to begin or to end.
 */
on: boolean, } | { "ask": "measure", 
/**
 * Counts up; the answer carries it.
 */
seq: number, 
/**
 * Points in order. [m]
 */
points: Array<[number, number]>, 
/**
 * Reach within which edges draw the points; none to leave them. [m]
 */
reach: number | null, } | { "ask": "plants", 
/**
 * Counts up; the answer carries it.
 */
seq: number, 
/**
 * The bed or box.
 */
bed: string, 
/**
 * Words that the plant's names must contain.
 */
words: string, };

/**
 * A picture under the drawing.
 */
export type PictureNews = { 
/**
 * The element.
 */
element: string, 
/**
 * Its file below the project folder.
 */
file: string, 
/**
 * Its lower left corner. [m]
 */
from: [number, number], 
/**
 * Its lower right corner. [m]
 */
to: [number, number], };

/**
 * A photo of the yard.
 */
export type PhotoNews = { 
/**
 * The element.
 */
element: string, 
/**
 * Its file below the project folder.
 */
file: string, 
/**
 * What it shows, when it was taken, and where it looks; in words.
 */
words: string, };

/**
 * A layer of the drawing.
 */
export type LayerNews = { 
/**
 * Name, as in the drawing's files.
 */
name: string, 
/**
 * Words for it.
 */
title: string, 
/**
 * Order of painting.
 */
order: number, };

/**
 * One mark of the drawing. Numbers are millimetres of paper, y down.
 *
 * Items are lists: `["p", shape, x, y, pen, fill]` for a path (shape by number in the dictionary,
 * or its text; pen and fill by number, -1 for none) and
 * `["t", x, y, text, height, anchor, rotation, colour, face, halo]` for letters.
 */
export type MarkNews = { 
/**
 * Key: `layer/kind/id/ordinal`.
 */
key: string, 
/**
 * Name of its layer.
 */
layer: string, 
/**
 * The element it belongs to.
 */
element: string, 
/**
 * Which of the element's marks on this layer.
 */
ordinal: number, 
/**
 * Number among the layer's marks, not always whole: the order of painting.
 */
place: number, 
/**
 * What to paint.
 */
items: Array<Array<string | number>>, };

/**
 * A pen: width, dashes and colour. [mm]
 */
export type PenNews = { 
/**
 * Width. [mm]
 */
width: number, 
/**
 * Dash, gap and so on. [mm]
 */
dash: Array<number>, 
/**
 * Number of its colour.
 */
colour: number, };

/**
 * A colour by day and by night: `#rrggbb`.
 */
export type ColourNews = { 
/**
 * On light paper.
 */
light: string, 
/**
 * On dark paper.
 */
dark: string, };

/**
 * How the plan lies: from metres of the yard to millimetres of paper, y down.
 */
export type LieNews = { 
/**
 * Turn of the plan, counter-clockwise. [rad]
 */
rotation: number, 
/**
 * True north on the sheet, clockwise from its top. [rad]
 */
north: number, 
/**
 * The point of the yard at the paper's origin. [m]
 */
centre: [number, number], 
/**
 * Width of what is shown. [m]
 */
width: number, 
/**
 * Height of what is shown. [m]
 */
height: number, };

/**
 * What an element is, in words.
 */
export type ElementNews = { 
/**
 * What it is called.
 */
title: string, 
/**
 * What there is to say about it.
 */
detail: string, };

/**
 * A number with its name, for the line that moves with the hand.
 */
export type FigureNews = { 
/**
 * Stable key.
 */
key: string, 
/**
 * Its name.
 */
name: string, 
/**
 * The number with its unit.
 */
value: string, };

/**
 * A way to mend a finding.
 */
export type RemedyNews = { 
/**
 * What to do.
 */
action: string, 
/**
 * Whether the tool can do it.
 */
can: boolean, };

/**
 * One finding.
 */
export type FindingNews = { 
/**
 * Stable key: rule, subjects.
 */
key: string, 
/**
 * The sentence.
 */
sentence: string, 
/**
 * Elements it concerns, the main one first.
 */
elements: Array<string>, 
/**
 * Where. [m]
 */
place: [number, number] | null, 
/**
 * What it rests on that is only assumed.
 */
assumed: Array<string>, 
/**
 * Ways to mend it, cheapest first.
 */
remedies: Array<RemedyNews>, 
/**
 * Where it was accepted: the acceptance's id and reason.
 */
accepted: AcceptedNews | null, };

/**
 * Why a finding was accepted.
 */
export type AcceptedNews = { 
/**
 * Id of the record.
 */
id: string, 
/**
 * The reason.
 */
reason: string, };

/**
 * Findings of one cause and one weight.
 */
export type CauseNews = { 
/**
 * The rule's id.
 */
rule: string, 
/**
 * `danger`, `fault`, `doubt` or `note`.
 */
severity: string, 
/**
 * Heading.
 */
title: string, 
/**
 * Where the limit comes from.
 */
source: string, 
/**
 * The findings.
 */
findings: Array<FindingNews>, };

/**
 * A table for a reader.
 */
export type TableNews = { 
/**
 * Stable key.
 */
key: string, 
/**
 * Heading.
 */
title: string, 
/**
 * Headings of the columns.
 */
columns: Array<ColumnNews>, 
/**
 * Rows of cells.
 */
rows: Array<Array<string>>, 
/**
 * Sentences below it.
 */
notes: Array<string>, };

/**
 * A column.
 */
export type ColumnNews = { 
/**
 * Heading.
 */
title: string, 
/**
 * Whether it holds numbers.
 */
number: boolean, };

/**
 * A field that can be written.
 */
export type FieldNews = { 
/**
 * Dotted path in the file.
 */
path: string, 
/**
 * Its name.
 */
label: string, 
/**
 * What the file says; empty where it says nothing.
 */
text: string, 
/**
 * What is used where the file says nothing, or how to write it.
 */
hint: string, 
/**
 * Words to choose from; empty where any text may stand.
 */
choices: Array<string>, };

/**
 * A point that can be moved.
 */
export type HandleNews = { 
/**
 * Path in the file: `outline/1/smooth/2`.
 */
path: string, 
/**
 * Where. [m]
 */
at: [number, number], 
/**
 * East in the reader's units.
 */
east: string, 
/**
 * North in the reader's units.
 */
north: string, 
/**
 * Whether it has coordinates of its own; otherwise it hangs on a reference point.
 */
free: boolean, };

/**
 * What can be changed about a selected element.
 */
export type SheetNews = { 
/**
 * The element.
 */
element: string, 
/**
 * Its fields.
 */
fields: Array<FieldNews>, 
/**
 * Its points.
 */
handles: Array<HandleNews>, };

/**
 * One plant for a bed.
 */
export type PlantNews = { 
/**
 * The taxon's id.
 */
id: string, 
/**
 * Botanical name.
 */
botanical: string, 
/**
 * Common name.
 */
common: string, 
/**
 * Sizes, spacing and how many fill the bed.
 */
detail: string, 
/**
 * Cautions; empty if there are none.
 */
caution: string, };

/**
 * A fault of a file.
 */
export type FaultNews = { 
/**
 * File and line: `design.toml:12`.
 */
at: string, 
/**
 * What is wrong, what was expected, how to mend it.
 */
text: string, };

/**
 * Something asked on a first visit that stands outside the elements.
 */
export type HeadNews = { 
/**
 * The key's dotted path.
 */
path: string, 
/**
 * Heading that it stands under.
 */
group: string, 
/**
 * Its name.
 */
label: string, 
/**
 * What the file says; empty where it says nothing.
 */
text: string, 
/**
 * How to write it.
 */
hint: string, 
/**
 * What is assumed, where it is; empty otherwise.
 */
assumed: string, 
/**
 * Words to choose from; empty where any text may stand.
 */
choices: Array<string>, 
/**
 * Whether it holds several lines.
 */
lines: boolean, };

/**
 * Where something lies, simplified.
 */
export type ShapeNews = { 
/**
 * The element.
 */
element: string, 
/**
 * Points in order. [m]
 */
points: Array<[number, number]>, 
/**
 * Whether the line closes.
 */
closed: boolean, };

/**
 * An amount with the range that the plan's scale leaves.
 */
export type AnswerNews = { 
/**
 * What it is.
 */
name: string, 
/**
 * The amount.
 */
value: string, 
/**
 * Its range; empty where both ends read alike.
 */
range: string, };

/**
 * A reading that would narrow the answers.
 */
export type WorthNews = { 
/**
 * What to read.
 */
title: string, 
/**
 * What is assumed until then.
 */
assumed: string, 
/**
 * Why.
 */
why: string, 
/**
 * What hangs on it, the most first.
 */
changes: Array<string>, 
/**
 * The element; empty for what stands outside elements.
 */
element: string, 
/**
 * The field's dotted path; `scale` for the plan's scale.
 */
field: string, };

/**
 * Something to ask about before work begins.
 */
export type FlagNews = { 
/**
 * What it is about.
 */
what: string, 
/**
 * Whom to ask, and what.
 */
ask: string, 
/**
 * The elements.
 */
elements: Array<string>, };

/**
 * What the server tells the page.
 */
export type Tell = { "tell": "welcome", 
/**
 * Name of the job.
 */
name: string, 
/**
 * Units that are spoken: `us` or `metric`.
 */
system: string, 
/**
 * How the plan lies.
 */
lie: LieNews, 
/**
 * Drawings that can be looked at: name and title.
 */
drawings: Array<[string, string]>, 
/**
 * Colours by number.
 */
colours: Array<ColourNews>, 
/**
 * Bounds of the house's longest walls: direction that "square" means. [rad]
 */
square: number, } | { "tell": "faults", 
/**
 * All faults.
 */
faults: Array<FaultNews>, } | { "tell": "scene", 
/**
 * Which drawing.
 */
drawing: string, 
/**
 * The scale's denominator.
 */
scale: number, 
/**
 * Whether this is the whole drawing, replacing what was known.
 */
whole: boolean, 
/**
 * The trial that it shows, if it is one.
 */
trial: number | null, 
/**
 * New shapes by number, as path texts.
 */
shapes: Array<[number, string]>, 
/**
 * New pens, following those known.
 */
pens: Array<PenNews>, 
/**
 * New layers.
 */
layers: Array<LayerNews>, 
/**
 * Marks that are new or changed.
 */
marks: Array<MarkNews>, 
/**
 * Keys of marks that are gone.
 */
gone: Array<string>, } | { "tell": "news", 
/**
 * The project's revision.
 */
revision: number, 
/**
 * The trial that it belongs to, if it is one.
 */
trial: number | null, 
/**
 * Whether something can be undone and redone.
 */
undo: [boolean, boolean], 
/**
 * Numbers that move with the hand.
 */
figures: Array<FigureNews> | null, 
/**
 * Elements in words; `null` for those that are gone.
 */
elements: { [key in string]: ElementNews | null }, 
/**
 * Findings by cause, worst first.
 */
causes: Array<CauseNews> | null, 
/**
 * The takeoff and its basis.
 */
tables: Array<TableNews> | null, 
/**
 * Whether levels, water and sun are of an older state, and being studied anew.
 */
stale: boolean, 
/**
 * Pictures under the drawing.
 */
pictures: Array<PictureNews> | null, } | { "tell": "sheets", 
/**
 * One for each selected element that exists.
 */
sheets: Array<SheetNews>, 
/**
 * What drew the point that is being moved, in words; empty if nothing.
 */
drawn: string, } | { "tell": "kept", 
/**
 * As asked.
 */
id: string, 
/**
 * The revision since then.
 */
revision: number, 
/**
 * Elements that came into being.
 */
added: Array<string>, } | { "tell": "notice", 
/**
 * In words; empty when all is well.
 */
text: string, 
/**
 * Whether it can be decided here.
 */
settle: boolean, } | { "tell": "refused", 
/**
 * The commit's id, or empty for a trial.
 */
id: string, 
/**
 * The trial's number, if it was one.
 */
trial: number | null, 
/**
 * Why, in words that say how to mend it.
 */
why: string, } | { "tell": "visit", 
/**
 * What stands outside elements.
 */
heads: Array<HeadNews>, 
/**
 * Where things lie.
 */
shapes: Array<ShapeNews>, 
/**
 * How well the scale is known, in words.
 */
scale: string, 
/**
 * Whether the plan agrees with the tape.
 */
fits: boolean, 
/**
 * Water at the hose bib; empty where nobody read it.
 */
flow: string, 
/**
 * The main amounts.
 */
answers: Array<AnswerNews>, 
/**
 * Photos of the yard.
 */
photos: Array<PhotoNews>, 
/**
 * Light on the ground, bed by bed; empty while nobody has studied it.
 */
light: Array<AnswerNews>, 
/**
 * Fall from the house, wall by wall; empty without levels.
 */
falls: Array<AnswerNews>, 
/**
 * Whether light and falls are of an older state, and being studied anew.
 */
stale: boolean, 
/**
 * What is worth measuring, the most first.
 */
worth: Array<WorthNews>, 
/**
 * Whether that list is still being weighed.
 */
weighing: boolean, 
/**
 * What to ask before work begins.
 */
flags: Array<FlagNews>, } | { "tell": "measured", 
/**
 * As asked.
 */
seq: number, 
/**
 * The points, drawn to edges where within reach. [m]
 */
points: Array<[number, number]>, 
/**
 * In words.
 */
words: string, } | { "tell": "plants", 
/**
 * As asked.
 */
seq: number, 
/**
 * How many there are in all.
 */
total: number, 
/**
 * The first of them.
 */
plants: Array<PlantNews>, };

