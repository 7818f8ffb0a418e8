// What is asked at the desk, and the work that it describes. Knows no page and no network.

/**
 * @typedef {"height" | "width" | "depth"} Side
 * @typedef {{member: string, medium: string, height: string, width: string, depth: string, unit: string, shape: string, format: string,
 *   budget: string, proportions: string, framed: boolean, grade: string, extras: Record<string, number>, items: string[]}} Asked
 * @typedef {{title: string, collective: string, currency: string, length_unit: string, locale: string, stands_days: number,
 *   media: {medium: string, title: string, needs: string[]}[], grades: {grade: string, title: string}[],
 *   extras: {extra: string, title: string, counted_in: string}[],
 *   items: {item: string, title: string, is_frame: boolean, needs: string[]}[]}} Choices
 * @typedef {{amount: string, currency: string}} Money
 */

/** @type {Side[]} */
export const SIDES = ["height", "width", "depth"];
/** What a budget is spent on, height first. */
export const PROPORTIONS = [
  { value: "3:4", title: "Across" },
  { value: "1:1", title: "Square" },
  { value: "4:3", title: "Upright" },
];
export const BY_TIME = "Priced by the time that it takes: ask the workshop.";

/** @returns {Asked} */
export function nothingAsked() {
  return {
    member: "",
    medium: "",
    height: "",
    width: "",
    depth: "",
    unit: "cm",
    shape: "rectangle",
    format: "",
    budget: "",
    proportions: "3:4",
    framed: false,
    grade: "",
    extras: {},
    items: [],
  };
}

/** A number that one country reads as thousands and another as three decimals: 1,200 and 1.200. */
const TWO_WAYS = /^([1-9][0-9]{0,2})([.,])([0-9]{3})$/;

/**
 * A number as people type it, with a comma or a point, as the service reads it: "60,5" is "60.5". null for what is no number over 0, and
 * for what can be read in two ways.
 * @param {string} typed
 * @returns {string | null}
 */
export function decimal(typed) {
  if (TWO_WAYS.test(typed.trim())) return null;
  const found = /^([0-9]{0,12})(?:[.,]([0-9]{0,6}))?$/.exec(typed.trim());
  if (!found || !/[1-9]/.test(typed)) return null;
  const whole = (found[1] ?? "").replace(/^0+(?=[0-9])/, "") || "0";
  return found[2] ? `${whole}.${found[2]}` : whole;
}

/**
 * What is wrong with a number that `decimal` does not read, and how to write it.
 * @param {string} name
 * @param {string} typed
 * @param {string} example
 */
export function numberFault(name, typed, example) {
  const [, whole = "", sign, digits = ""] = TWO_WAYS.exec(typed.trim()) ?? [];
  if (!sign) return `The ${name} is no number: write ${example}.`;
  const fewer = digits.replace(/0+$/, "");
  const exact = fewer === digits ? `${digits}0` : fewer || "0";
  return `The ${name} can be read in two ways: write ${whole}${digits} or ${whole}${sign}${exact}.`;
}

/**
 * What a price of this needs to be told: the medium's needs and those of the frame and the other items.
 * @param {Asked} asked
 * @param {Choices} choices
 * @returns {string[]}
 */
export function needsOf(asked, choices) {
  const medium = choices.media.find((row) => row.medium === asked.medium);
  const frame = asked.framed ? frameOf(choices) : undefined;
  const items = choices.items.filter((row) => row === frame || asked.items.includes(row.item));
  const needs = [...new Set([...(medium?.needs ?? []), ...items.flatMap((row) => row.needs)])];
  return asked.shape === "round" ? needs.filter((need) => need !== "width") : needs;
}

/**
 * The sides that are typed where these are the needs.
 * @param {string[]} needs
 */
export const sidesOf = (needs) => SIDES.filter((side) => needs.includes(side) || (needs.includes("format") && side !== "depth"));

/**
 * The frame that "framed" means: the first that the rules estimate.
 * @param {Choices} choices
 */
export function frameOf(choices) {
  return choices.items.find((item) => item.is_frame);
}

/**
 * The work as the service takes it, or what is still missing, in words.
 * @param {Asked} asked
 * @param {Choices | undefined} choices
 * @returns {{work: Record<string, unknown>} | {missing: string}}
 */
export function workOf(asked, choices) {
  if (!asked.member || !choices) return { missing: "Choose a maker." };
  if (!asked.medium) return { missing: "Choose a medium." };
  const needs = needsOf(asked, choices);
  if (needs.includes("hours")) return { missing: BY_TIME };
  const said = asked.format ? { format: asked.format } : sizeOf(asked, needs);
  if ("missing" in said) return said;
  return { work: { medium: asked.medium, ...said, ...makingOf(asked, choices) } };
}

/**
 * @param {Asked} asked
 * @param {string[]} needs
 * @returns {{missing: string} | {size?: Record<string, string>}}
 */
function sizeOf(asked, needs) {
  const sides = sidesOf(needs);
  /** @type {Record<string, string>} */
  const size = {};
  for (const side of sides) {
    const length = decimal(asked[side]);
    if (length === null) return { missing: missingSide(side, asked, needs) };
    size[side] = length.replace(/(\.[0-9]*?)0+$/, "$1").replace(/\.$/, ""); // 60.0 is 60: one size, one question
  }
  return sides.length ? { size: { ...size, unit: asked.unit } } : {};
}

/**
 * @param {Side} side
 * @param {Asked} asked
 * @param {string[]} needs
 */
function missingSide(side, asked, needs) {
  if (asked[side]) return numberFault(side, asked[side], "60 or 60,5");
  if (needs.includes("format")) return "Choose a size.";
  return side === "height" && asked.shape === "round" ? "Say the diameter." : `Say the ${side}.`;
}

/**
 * @param {Asked} asked
 * @param {Choices} choices
 */
function makingOf(asked, choices) {
  const frame = asked.framed ? frameOf(choices)?.item : undefined;
  const costs = [...(frame ? [frame] : []), ...asked.items].map((name) => ({ name }));
  const extras = Object.entries(asked.extras).filter(([, quantity]) => quantity > 0);
  return {
    ...(asked.shape !== "rectangle" ? { shape: asked.shape } : {}),
    ...(asked.grade ? { grade: asked.grade } : {}),
    ...(extras.length ? { extras: extras.map(([name, quantity]) => ({ name, quantity })) } : {}),
    ...(costs.length ? { costs } : {}),
  };
}

/**
 * The question which size a budget pays for; null without a budget or a medium. A work with a depth is as deep as its shorter side.
 * @param {Asked} asked
 * @param {Choices | undefined} choices
 */
export function budgetOf(asked, choices) {
  const amount = decimal(asked.budget);
  if (!choices || !asked.medium || amount === null) return null;
  const [height = "1", width = "1"] = asked.proportions.split(":");
  const needs = needsOf(asked, choices);
  const deep = needs.includes("depth") ? { depth: Number(height) < Number(width) ? height : width } : {};
  const framed = asked.framed && frameOf(choices) !== undefined;
  return {
    medium: asked.medium,
    ...(asked.grade ? { grade: asked.grade } : {}),
    ...(asked.shape !== "rectangle" ? { shape: asked.shape } : {}),
    ...(needs.includes("width") ? { aspect: { height, width, ...deep } } : {}),
    budgets: [{ amount: { amount, currency: choices.currency }, framed }],
  };
}
