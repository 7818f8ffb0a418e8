// A budget: the largest size that it pays for, to be taken with one touch. Knows no price but what the service says.
import { budgetOf, decimal, numberFault } from "./asked.js";
import { byId, make } from "./dom.js";
import { ask, Away, Declined, lane } from "./line.js";
import { moneyText } from "./words.js";

/** @typedef {import("./asked.js").Asked} Asked */
/** @typedef {import("./asked.js").Choices} Choices */
/** @typedef {import("./asked.js").Money} Money */
/** @typedef {{height: string, width?: string | null, depth?: string | null, unit: string} | {format: string}} Found */
/** @typedef {{label: string, size?: {height: string, width?: string, depth?: string, unit: string} | null, format?: string | null, price?: Money | null, framed_price?: Money | null}} Rung */
/** @typedef {{framed: boolean, largest: Rung | null, next_up: Rung | null, smallest: Rung | null, left: Money | null, reason: {detail: string} | null}} Fit */

const fits = lane();
/** @param {any} said */
const isFit = (said) => typeof said?.fits?.[0]?.framed === "boolean";
let before = "";

/**
 * Show what the budget pays for, where there is one.
 * @param {Asked} asked
 * @param {Choices | undefined} choices
 * @param {string} language
 * @param {{away: () => void, back: () => void}} line
 * @param {(size: Found) => void} use
 */
export function showFit(asked, choices, language, line, use) {
  const question = budgetOf(asked, choices);
  const wrong = asked.budget !== "" && decimal(asked.budget) === null;
  byId("budget-fault", HTMLElement).textContent = wrong ? numberFault("budget", asked.budget, "500 or 499,50") : "";
  const said = JSON.stringify([asked.member, language, question, asked.extras, asked.items]);
  if (said === before) return;
  before = said;
  const box = byId("fit", HTMLElement);
  if (!question) {
    fits.drop();
    box.replaceChildren();
    return;
  }
  fits
    .run((signal) => ask(`members/${asked.member}/ladders`, { body: question, language, signal, is: isFit }))
    .then(
      (answer) => {
        line.back();
        drawFit(answer.fits[0], Object.values(asked.extras).some(Boolean) || asked.items.length > 0, language, use);
      },
      (problem) => {
        if (!(problem instanceof Away || problem instanceof Declined)) return;
        before = "";
        if (problem instanceof Away) line.away();
        box.replaceChildren(
          problem instanceof Declined
            ? make("p", { class: "fault", lang: problem.language, text: problem.message })
            : make("p", { class: "fault", text: "Sizes for a budget need the service." }),
        );
      },
    );
}

/**
 * @param {Fit} fit
 * @param {boolean} more whether extras or items are chosen, which the fit leaves out
 * @param {string} language
 * @param {(size: Found) => void} use
 */
function drawFit(fit, more, language, use) {
  const box = byId("fit", HTMLElement);
  const costs = (/** @type {Rung} */ rung) => {
    const price = fit.framed ? rung.framed_price : rung.price;
    return price ? moneyText(price, language) : "";
  };
  const { largest, next_up: next, smallest } = fit;
  if (!largest) {
    const words = smallest ? `Nothing: the smallest, ${smallest.label}, asks ${costs(smallest)}.` : "Nothing.";
    const reason = fit.reason?.detail;
    box.replaceChildren(make("p", { class: "hint", lang: reason ? language : undefined, text: reason ?? words }));
    return;
  }
  const size = largest.format ? { format: largest.format } : largest.size;
  const button = make("button", { type: "button", class: "main", text: `Take ${largest.label}: ${costs(largest)}` });
  if (size) button.addEventListener("click", () => use(size));
  box.replaceChildren(
    ...(size ? [button] : [make("p", { text: `${largest.label}: ${costs(largest)}` })]),
    make("p", {
      class: "hint",
      text: `${next ? `The next size, ${next.label}, asks ${costs(next)}.` : "The largest size there is."}${more ? " Without the extras." : ""}`,
    }),
  );
}
