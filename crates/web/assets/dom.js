// Elements of the page, made in one call.

/** @typedef {Node | string | null | undefined | false} Child */

/**
 * Makes an element. Keys that begin with `on` are listeners, `class` is the class, `data-…`,
 * `aria-…` and `role` are attributes, all others are properties.
 *
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [properties]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function h(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(properties)) {
    if (value === undefined || value === null) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key === "class") element.className = value;
    else if (key.includes("-") || key === "role" || key === "for") element.setAttribute(key, String(value));
    else /** @type {any} */ (element)[key] = value;
  }
  fill(element, ...children);
  return element;
}

/**
 * Puts children into an element in the place of those it has.
 * @param {Element} element
 * @param {...(Child | Child[])} children
 */
export function fill(element, ...children) {
  element.replaceChildren(.../** @type {Child[]} */ (children.flat()).filter((child) => child !== null && child !== undefined && child !== false).map((child) => /** @type {Node | string} */ (child)));
}

/**
 * Sets the text of an element if it differs, so that screen readers are not told twice.
 * @param {Element} element
 * @param {string} text
 */
export function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
