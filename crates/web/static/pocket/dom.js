// Small help with a page's elements.

/** @param {string} id */
export const by = id => document.getElementById(id);

/** @param {string} tag @param {string} words @param {Record<string, string>} [marks] */
export const element = (tag, words, marks = {}) => {
  const made = document.createElement(tag);
  made.textContent = words;
  for (const name in marks) made.setAttribute(name, marks[name]);
  return made;
};

/**
 * The first element within that fits; the page always has it.
 * @param {ParentNode} within @param {string} what @returns {any}
 */
export const one = (within, what) => within.querySelector(what);

/** All elements within that fit. @param {ParentNode} within @param {string} what @returns {any[]} */
export const many = (within, what) => [...within.querySelectorAll(what)];

/** @param {HTMLElement} shown @param {unknown} yes */
export const show = (shown, yes) => void (shown.hidden = !yes);
