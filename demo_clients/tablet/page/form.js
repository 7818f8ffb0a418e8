// The form: draws what may be asked and says what was chosen. Knows no prices and no network.
import { frameOf, needsOf, PROPORTIONS, sidesOf } from "./asked.js";
import { byId, make, tiles, toggle } from "./dom.js";
import { drawPad } from "./pad.js";

/** @typedef {import("./asked.js").Asked} Asked */
/** @typedef {import("./asked.js").Choices} Choices */
/** @typedef {{medium: string, measure: string, rows: {format: string | null, title: string}[]}} GuideMedium */
/** @typedef {{name: string, title: string, family: string, size: {height: string, width: string | null, unit: string}}} Standard */

const UNITS = ["cm", "mm", "in", "m"];
const SHAPES = [
  { value: "rectangle", title: "Rectangle" },
  { value: "round", title: "Round" },
  { value: "oval", title: "Oval" },
];
/** @type {Record<string, string>} */
const FAMILIES = { "iso-216": "Paper sizes (ISO 216)", "french-canvas": "French canvases" };

let active = "height";
/** @param {string} id */
const part = (id) => byId(id, HTMLElement);
/** @param {string} id */
const tilesOf = (id) => /** @type {HTMLElement} */ (part(id).querySelector(".tiles"));

/**
 * @param {{member: string, title: string}[]} members
 * @param {Asked} asked
 */
export function drawMakers(members, asked) {
  tilesOf("makers").replaceChildren(
    ...tiles(
      "member",
      members.map((row) => ({ value: row.member, title: row.title })),
      asked.member,
    ),
  );
}

/**
 * Everything below the maker.
 * @param {Asked} asked
 * @param {Choices | undefined} choices
 * @param {GuideMedium[]} guide
 * @param {Standard[]} standards
 */
export function drawForm(asked, choices, guide, standards) {
  part("media").hidden = !choices;
  if (choices)
    tilesOf("media").replaceChildren(
      ...tiles(
        "medium",
        choices.media.map((row) => ({ value: row.medium, title: row.title })),
        asked.medium,
      ),
    );
  drawBelow(asked, choices, guide, standards);
}

/**
 * Everything below the medium.
 * @param {Asked} asked
 * @param {Choices | undefined} choices
 * @param {GuideMedium[]} guide
 * @param {Standard[]} standards
 */
export function drawBelow(asked, choices, guide, standards) {
  const ready = choices !== undefined && asked.medium !== "";
  const needs = ready ? needsOf(asked, choices) : [];
  part("size").hidden = !ready || needs.length === 0 || needs.includes("hours");
  part("more").hidden = !ready || needs.includes("hours");
  if (!ready) return;
  const shown = guide.find((row) => row.medium === asked.medium);
  drawFormats(asked, needs, shown, standards);
  drawSides(asked, needs, choices);
  drawOptions(asked, choices);
}

/**
 * @param {Asked} asked
 * @param {string[]} needs
 * @param {GuideMedium | undefined} shown
 * @param {Standard[]} standards
 */
function drawFormats(asked, needs, shown, standards) {
  const rows = (shown?.rows ?? []).flatMap((row) => (row.format ? [{ value: row.format, title: row.title }] : []));
  tilesOf("formats").replaceChildren(...tiles("format", rows, asked.format));
  part("usual").hidden = rows.length === 0;
  const select = byId("standard", HTMLSelectElement);
  const listed = needs.includes("format") && shown?.measure !== "canvas";
  const flat = needs.includes("width") || needs.includes("format");
  part("formats").hidden = !flat && rows.length === 0;
  /** @type {HTMLElement} */ (select.parentElement).hidden = listed || !flat || needs.includes("depth");
  const families = shown?.measure === "canvas" ? ["french-canvas"] : Object.keys(FAMILIES);
  select.replaceChildren(make("option", { value: "", text: "none" }), ...families.map((family) => familyOf(family, standards, asked)));
  part("typed").hidden = listed;
  part("pad").hidden = listed;
}

/**
 * @param {string} family
 * @param {Standard[]} standards
 * @param {Asked} asked
 */
function familyOf(family, standards, asked) {
  const rows = standards.filter((row) => row.family === family);
  const words = (/** @type {Standard} */ row) => `${row.title}: ${row.size.height} x ${row.size.width} ${row.size.unit}`;
  return make(
    "optgroup",
    { label: FAMILIES[family] },
    ...rows.map((row) => make("option", { value: row.name, selected: row.name === asked.format, text: words(row) })),
  );
}

/**
 * @param {Asked} asked
 * @param {string[]} needs
 * @param {Choices} choices
 */
function drawSides(asked, needs, choices) {
  const sides = sidesOf(needs);
  const label = (/** @type {string} */ side) =>
    side === "height" && asked.shape === "round" ? "Diameter" : `${side[0]?.toUpperCase()}${side.slice(1)}`;
  const boxes = sides.map((side) =>
    make(
      "div",
      { class: "box" },
      make("label", { for: side, text: label(side) }),
      make("input", { id: side, inputmode: "decimal", maxlength: 10, value: asked[side], "data-side": side, "aria-describedby": "state" }),
    ),
  );
  part("boxes").replaceChildren(...boxes);
  part("units").replaceChildren(
    ...tiles(
      "unit",
      UNITS.map((value) => ({ value, title: value })),
      asked.unit,
    ),
  );
  part("shapes").replaceChildren(...tiles("shape", SHAPES, asked.shape));
  const canvas = needs.includes("format");
  part("shapes").hidden = canvas || needs.length < (asked.shape === "round" ? 1 : 2) || (needs.length === 1 && asked.shape !== "round");
  part("proportions").replaceChildren(...tiles("proportions", PROPORTIONS, asked.proportions));
  part("proportions").hidden = !needs.includes("width");
  part("purse-currency").textContent = choices.currency;
  if (!sides.some((side) => side === active)) active = sides[0] ?? "height";
  markActive();
}

/**
 * @param {Asked} asked
 * @param {Choices} choices
 */
function drawOptions(asked, choices) {
  const frame = frameOf(choices);
  const others = choices.items.filter((item) => item !== frame);
  const grades = choices.grades.map((row) => ({ value: row.grade, title: row.title }));
  part("options").replaceChildren(
    make(
      "div",
      { class: "tiles small" },
      ...(frame ? [toggle("framed", "framed", "Framed", asked.framed)] : []),
      ...others.map((row) => toggle("item", row.item, row.title, asked.items.includes(row.item))),
    ),
    ...(frame ? [] : [make("p", { class: "hint", text: "Frames of this workshop are priced on request." })]),
    ...(grades.length
      ? [
          make(
            "div",
            { class: "tiles small", role: "radiogroup", "aria-label": "Grade" },
            ...tiles("grade", [{ value: "", title: "Plain" }, ...grades], asked.grade),
          ),
        ]
      : []),
    ...choices.extras.map((row) => stepper(row, asked.extras[row.extra] ?? 0)),
  );
}

/**
 * @param {Choices["extras"][number]} row
 * @param {number} quantity
 */
function stepper(row, quantity) {
  const name = make("span", { class: "step-name", text: `${row.title}, per ${row.counted_in}` });
  return make(
    "div",
    { class: "stepper", role: "group", "aria-label": row.title },
    name,
    make("button", { type: "button", "data-extra": row.extra, "data-by": -1, "aria-label": `One ${row.title} fewer`, text: "−" }),
    make("output", { text: quantity, "data-count": row.extra }),
    make("button", { type: "button", "data-extra": row.extra, "data-by": 1, "aria-label": `One ${row.title} more`, text: "+" }),
  );
}

/**
 * How many of each extra, written in place, so that the button that was touched stays.
 * @param {Asked} asked
 */
export function countExtras(asked) {
  for (const box of part("options").querySelectorAll("output")) box.textContent = String(asked.extras[box.dataset["count"] ?? ""] ?? 0);
}

function markActive() {
  for (const input of document.querySelectorAll("#typed input[inputmode]")) input.classList.toggle("active", input.id === active);
}

/** The field in which the pad writes. */
export function activeField() {
  const found = document.getElementById(active);
  return found instanceof HTMLInputElement ? found : undefined;
}

function toNext() {
  const fields = [...document.querySelectorAll("#typed input[inputmode]")].map((field) => field.id);
  active = fields[(fields.indexOf(active) + 1) % fields.length] ?? "height";
  markActive();
}

/**
 * Listen to the form: `changed(name, value)` for every choice, with what was chosen.
 * @param {(name: string, value: string, on: boolean) => void} changed
 */
export function listen(changed) {
  const form = byId("form", HTMLFormElement);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("change", (event) => {
    const from = event.target;
    if (from instanceof HTMLInputElement && from.name) changed(from.name, from.value, from.checked);
    if (from instanceof HTMLSelectElement) changed("format", from.value, true);
  });
  form.addEventListener("input", (event) => {
    const from = event.target;
    if (from instanceof HTMLInputElement && from.inputMode === "decimal") changed(from.id, from.value, true);
  });
  form.addEventListener("focusin", (event) => {
    const from = event.target;
    if (from instanceof HTMLInputElement && from.inputMode === "decimal") active = from.id;
    markActive();
  });
  form.addEventListener("click", (event) => {
    const from = event.target;
    if (from instanceof HTMLElement && from.dataset["extra"]) changed("extra", from.dataset["extra"], from.dataset["by"] === "1");
  });
  drawPad(part("pad"), activeField, toNext);
}

/** The pad writes in the first field again. */
export function fromTheFirstField() {
  active = "height";
}
