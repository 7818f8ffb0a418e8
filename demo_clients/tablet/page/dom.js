// Making and finding elements. Text is only ever set as text, so nothing that a title says can become markup.

/**
 * The element with that id, of the kind expected.
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind
 * @returns {T}
 */
export function byId(id, kind) {
  const found = document.getElementById(id);
  if (!(found instanceof kind)) throw new Error(`There is no ${kind.name} "${id}".`);
  return found;
}

/**
 * A new element with properties and children.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, string | number | boolean | undefined>} [attributes] `text` is its text; true sets an attribute without a value
 * @param {...(Node | string)} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function make(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === false) continue;
    if (name === "text") made.textContent = String(value);
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...children);
  return made;
}

/**
 * A choice of one among several, as radio buttons that look like tiles.
 * @param {string} name
 * @param {{value: string, title: string, more?: string}[]} rows
 * @param {string} chosen
 * @returns {HTMLLabelElement[]}
 */
export function tiles(name, rows, chosen) {
  return rows.map(({ value, title, more }) =>
    make(
      "label",
      { class: "tile" },
      make("input", { type: "radio", name, value, checked: value === chosen }),
      make("span", { text: title }),
      ...(more ? [make("small", { text: more })] : []),
    ),
  );
}

/**
 * What is on or off, as a checkbox that looks like a tile.
 * @param {string} name
 * @param {string} value
 * @param {string} title
 * @param {boolean} checked
 */
export function toggle(name, value, title, checked) {
  return make("label", { class: "tile" }, make("input", { type: "checkbox", name, value, checked }), make("span", { text: title }));
}
