// What the desk knows of the house: its makers, what may be asked of each, standard sizes. Kept for the time without a network.
import { needsOf, sidesOf } from "./asked.js";
import { house } from "./kept.js";
import { ask, Away, Declined } from "./line.js";

/** @typedef {import("./asked.js").Asked} Asked */
/** @typedef {import("./asked.js").Choices} Choices */
/** @typedef {import("./form.js").GuideMedium} GuideMedium */
/** @typedef {{member: string, title: string, outlets: string[]}} Member */
/** @typedef {{away: () => void, back: () => void}} Line */

/** @type {Member[]} */
export let members = [];
/** @type {import("./form.js").Standard[]} */
export let standards = [];
/** @type {Record<string, {choices: Choices, guide: GuideMedium[]}>} */
const known = {};
/** @type {Record<string, Declined | undefined>} */
const refusals = {};

/** @param {string} member */
export const choicesOf = (member) => known[member]?.choices;
/** @param {string} member */
export const guideOf = (member) => known[member]?.guide ?? [];

/**
 * Why the service does not say what may be asked of the member, or where there is none who the makers are: it has understood and declined.
 * @param {string} member
 */
export const refusalOf = (member) => refusals[member ? `members/${member}/choices` : "members"];

/**
 * An answer to a question without a body, or the last one that was kept.
 * @param {string} path
 * @param {string} field
 * @param {Line} line
 */
async function read(path, field, line) {
  try {
    const said = (await ask(path, { is: (answer) => typeof answer?.[field] === "object" && answer[field] !== null }))[field];
    line.back();
    delete refusals[path];
    house.keep(path, said);
    return said;
  } catch (fault) {
    if (fault instanceof Away) line.away();
    if (fault instanceof Declined) refusals[path] = fault;
    return house.kept(path);
  }
}

/**
 * The makers and the standard sizes.
 * @param {Line} line
 */
export async function knowHouse(line) {
  const [makers, sizes] = await Promise.all([read("members", "members", line), read("formats", "formats", line)]);
  members = makers ?? members;
  standards = sizes ?? standards;
}

/** Forget what may be asked: a tablet runs for weeks, and rules change. What is kept for the time without a network stays. */
export function forget() {
  for (const member of Object.keys(known)) delete known[member];
}

/**
 * What may be asked of a member, and its usual sizes.
 * @param {string} member
 * @param {Line} line
 */
export async function know(member, line) {
  if (known[member]) return;
  const [said, guide] = await Promise.all([
    read(`members/${member}/choices`, "choices", line),
    read(`members/${member}/guide`, "guide", line),
  ]);
  if (said) known[member] = { choices: said, guide: guide?.media ?? [] };
}

/**
 * The work that is asked for, in the desk's own words.
 * @param {Asked} asked
 */
export function describe(asked) {
  const said = choicesOf(asked.member);
  const sides = said ? sidesOf(needsOf(asked, said)).map((side) => asked[side]) : []; // what else was typed is not priced
  const shown = guideOf(asked.member)
    .find((row) => row.medium === asked.medium)
    ?.rows.find((row) => row.format === asked.format);
  const standard = standards.find((row) => row.name === asked.format);
  const extras = (said?.extras ?? []).filter((row) => asked.extras[row.extra]).map((row) => `${asked.extras[row.extra]} x ${row.title}`);
  const items = (said?.items ?? []).filter((row) => asked.items.includes(row.item)).map((row) => row.title);
  const parts = [
    said?.media.find((row) => row.medium === asked.medium)?.title,
    asked.format ? (shown?.title ?? standard?.title ?? asked.format) : sides.length > 0 && `${sides.join(" x ")} ${asked.unit}`,
    asked.shape === "rectangle" ? "" : asked.shape,
    said?.grades.find((row) => row.grade === asked.grade)?.title,
    ...extras,
    asked.framed ? "framed" : "",
    ...items,
  ];
  return parts.filter(Boolean).join(", ");
}
