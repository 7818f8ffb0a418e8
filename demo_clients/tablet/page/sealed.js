// Sealing the price that stands on the page, and the slip that comes of it.
import { byId } from "./dom.js";
import { choicesOf, members } from "./known.js";
import { ask, Declined, lane, Late } from "./line.js";
import { isQuote } from "./shown.js";
import { drawSlip, layPaper } from "./slip.js";
import { turn } from "./views.js";
import { moneyText } from "./words.js";

/** @typedef {import("./asked.js").Money} Money */
/** @typedef {import("./shown.js").Quote} Quote */
/** @typedef {import("./slip.js").Sealed} Sealed */
/** @typedef {import("./words.js").Language} Language */
/** @typedef {{away: () => void, back: () => void}} Line */
/**
 * What is to be sealed: a work, the price that the buyer was shown for it, the days that it stands, and the paper of its slip.
 * @typedef {{member: string, work: Record<string, unknown>, price: Money, days: number, paper: string}} Wanted
 */

const seals = lane();
/** @type {Wanted | undefined} */
let onSlip; // what the slip on the page was sealed for, whatever is asked meanwhile

/** @param {any} said */
const isSealed = (said) =>
  typeof said?.token === "string" &&
  [said.last_on, said.as_of, said.offer_id].every((part) => typeof part === "string") &&
  isQuote(said.quote);

/**
 * @param {string} id of the view's own place for it: nobody sees what stands in another view
 * @param {string} words
 * @param {string} [language] whose words they are
 */
function sayFault(id, words, language = "en") {
  const fault = byId(id, HTMLElement);
  fault.lang = language;
  fault.textContent = words;
}

/** Nothing is wrong with sealing, as far as anybody knows. */
export function forgetFault() {
  sayFault("seal-fault", "");
}

/** Nothing is being sealed any more. */
export function dropSeals() {
  seals.drop();
}

/**
 * @param {Money} one
 * @param {Money} other
 */
const same = (one, other) => one.amount === other.amount && one.currency === other.currency;

/**
 * The offer for what is wanted, whatever its price is by now. Throws as `ask` does.
 * @param {Wanted} wanted
 * @param {Language} language
 * @returns {Promise<Sealed>}
 */
function offerOf({ member, work, days }, language) {
  const body = { work, stands_days: days };
  return seals.run((signal) => ask(`members/${member}/offers`, { body, language, signal, is: isSealed }));
}

/**
 * @param {Sealed} offer
 * @param {Wanted} wanted
 * @param {Language} language
 */
async function draw(offer, wanted, language) {
  const maker = members.find((row) => row.member === wanted.member)?.title ?? wanted.member;
  await drawSlip(offer, { house: choicesOf(wanted.member)?.collective ?? "", maker, paper: wanted.paper, language });
  onSlip = wanted;
  sayFault("slip-fault", "");
}

/**
 * Say why nothing was sealed.
 * @param {string} id
 * @param {unknown} problem
 * @param {Line} line
 */
function sayWhy(id, problem, line) {
  if (problem instanceof Declined) return sayFault(id, problem.message, problem.language);
  line.away();
  sayFault(id, "Nothing can be sealed now: the service does not answer.");
}

/**
 * Seal the price that is shown and show its slip. Where the price is another by now no slip is shown: `changed` shows the new one.
 * @param {Wanted} wanted
 * @param {{language: Language, line: Line, changed: (quote: Quote) => void}} how
 */
export async function seal(wanted, { language, line, changed }) {
  const standing = Number.isInteger(wanted.days) && wanted.days >= 1 && wanted.days <= 366;
  sayFault("seal-fault", standing ? "" : "An offer stands for 1 to 366 days.");
  if (!standing) return;
  try {
    const offer = await offerOf(wanted, language);
    line.back();
    const now = offer.quote.price;
    if (!same(now, wanted.price)) {
      changed(offer.quote);
      const [before, after] = [moneyText(wanted.price, "en"), moneyText(now, "en")];
      return sayFault("seal-fault", `The price has changed: it was ${before}, it is ${after} now. Touch once more to seal the new price.`);
    }
    await draw(offer, wanted, language);
    location.hash = "slip";
    turn(); // the slip is measured as it is shown
    layPaper();
  } catch (problem) {
    if (!(problem instanceof Late)) sayWhy("seal-fault", problem, line);
  }
}

/**
 * The work of the slip sealed once more, in another language. Where that cannot be, the slip stays as it is, its view says why, and
 * `kept` puts the language back.
 * @param {Language} language
 * @param {{line: Line, spoken: () => void, kept: () => void}} how `spoken` once the slip is in that language
 */
export async function sealAgain(language, { line, spoken, kept }) {
  const wanted = onSlip;
  if (!wanted) return;
  sayFault("slip-fault", "");
  try {
    const offer = await offerOf(wanted, language);
    line.back();
    if (same(offer.quote.price, wanted.price)) {
      await draw(offer, wanted, language);
      layPaper();
      return spoken();
    }
    const [before, now] = [moneyText(wanted.price, "en"), moneyText(offer.quote.price, "en")];
    sayFault("slip-fault", `The price has changed: this slip offers ${before}, today it is ${now}. The slip stays as it is.`);
  } catch (problem) {
    if (problem instanceof Late) return;
    sayWhy("slip-fault", problem, line);
  }
  kept();
}
