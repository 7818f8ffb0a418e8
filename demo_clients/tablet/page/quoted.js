// A work's price: asked for, looked at, and kept for the time without a network. Only the newest question counts.
import { prices as shelf } from "./kept.js";
import { ask, lane } from "./line.js";
import { isQuote } from "./shown.js";
import { LANGUAGES } from "./words.js";

/** @typedef {import("./shown.js").Quote} Quote */
/** @typedef {import("./words.js").Language} Language */

const prices = lane();
const tags = /** @type {Language[]} */ (Object.keys(LANGUAGES));

/**
 * @param {string} member
 * @param {unknown} work
 * @param {string} language
 */
const questionOf = (member, work, language) => `members/${member}/quotes ${language} ${JSON.stringify(work)}`;

/**
 * The price of the work, confirmed now.
 * @param {string} member
 * @param {unknown} work
 * @param {Language} language
 * @returns {Promise<Quote>}
 */
export async function quoteOf(member, work, language) {
  const quote = await prices.run((signal) => ask(`members/${member}/quotes`, { body: { work }, language, signal, is: isQuote }));
  keepQuote(member, work, language, quote);
  return quote;
}

/**
 * Keep a price that was confirmed, for the time without a network.
 * @param {string} member
 * @param {unknown} work
 * @param {Language} language
 * @param {Quote} quote
 */
export function keepQuote(member, work, language, quote) {
  shelf.keep(questionOf(member, work, language), quote);
}

/**
 * The last price that was confirmed for exactly this work, in this language or else in the one in which it was last asked for.
 * @param {string} member
 * @param {unknown} work
 * @param {Language} language
 * @returns {{quote: Quote, language: Language} | undefined}
 */
export function keptQuote(member, work, language) {
  const here = shelf.kept(questionOf(member, work, language));
  if (isQuote(here)) return { quote: here, language };
  const other = shelf.newest(tags.map((tag) => questionOf(member, work, tag)));
  const quote = tags[other] && shelf.kept(questionOf(member, work, tags[other]));
  return tags[other] && isQuote(quote) ? { quote, language: tags[other] } : undefined;
}

/** Whatever is on its way is nobody's any more. */
export function dropQuotes() {
  prices.drop();
}
