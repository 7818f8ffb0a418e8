// Sealing the price that stands on the page, and the slip that comes of it.
import { workOf } from "./asked.js";
import { byId } from "./dom.js";
import { choicesOf, members } from "./known.js";
import { ask, Declined, lane, Late } from "./line.js";
import { isQuote } from "./shown.js";
import { drawSlip, layPaper } from "./slip.js";
import { turn } from "./views.js";

/** @typedef {import("./asked.js").Asked} Asked */
/** @typedef {import("./words.js").Language} Language */

const seals = lane();
const fault = () => byId("seal-fault", HTMLElement);

/** @param {any} said */
const isSealed = (said) =>
  typeof said?.token === "string" &&
  [said.last_on, said.as_of, said.offer_id].every((part) => typeof part === "string") &&
  isQuote(said.quote);

/**
 * @param {string} words
 * @param {string} [language] whose words they are
 */
function sayFault(words, language = "en") {
  fault().lang = language;
  fault().textContent = words;
}

/** Nothing is wrong with sealing, as far as anybody knows. */
export function forgetFault() {
  sayFault("");
}

/** Nothing is being sealed any more. */
export function dropSeals() {
  seals.drop();
}

/**
 * Seal the price of what is asked and show its slip.
 * @param {Asked} asked
 * @param {{language: Language, paper: string, line: {away: () => void, back: () => void}}} how
 */
export async function seal(asked, { language, paper, line }) {
  const choices = choicesOf(asked.member);
  const said = workOf(asked, choices);
  const days = Number(byId("days", HTMLInputElement).value);
  const standing = Number.isInteger(days) && days >= 1 && days <= 366;
  sayFault(standing ? "" : "An offer stands for 1 to 366 days.");
  if ("missing" in said || !standing) return;
  const maker = members.find((row) => row.member === asked.member)?.title ?? asked.member;
  try {
    const body = { work: said.work, stands_days: days };
    const offer = await seals.run((signal) => ask(`members/${asked.member}/offers`, { body, language, signal, is: isSealed }));
    line.back();
    await drawSlip(offer, { house: choices?.collective ?? "", maker, paper, language });
    location.hash = "slip";
    turn(); // the slip is measured as it is shown
    layPaper();
  } catch (problem) {
    if (problem instanceof Late) return;
    if (problem instanceof Declined) return sayFault(problem.message, problem.language);
    line.away();
    sayFault("Nothing can be sealed now: the service does not answer.");
  }
}
