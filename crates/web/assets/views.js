// The views of the app, in the order of the job. A view is one module; add it here.

import { checks } from "./checks.js";
import { estimate } from "./estimate.js";
import { plan } from "./plan.js";
import { site } from "./site.js";

/**
 * @typedef {object} View
 * @property {string} id its address, behind `#`
 * @property {string} title
 * @property {string} question what it answers, for its title
 * @property {(root: HTMLElement, app: import("./app.js").App) => Open} open fills the root; called each time that the view is shown
 *
 * @typedef {object} Open
 * @property {() => void} close called before another view is shown
 * @property {(finding: import("./messages.d.ts").FindingNews) => void} [jump] shows a finding's place
 */

/** @type {View[]} */
export const views = [site, plan, checks, estimate];
