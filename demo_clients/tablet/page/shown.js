// The price on the page: confirmed, unconfirmed, being asked for, refused, or still missing something. Knows no network.
import { byId, make } from "./dom.js";
import { dayText, moneyText, TAX } from "./words.js";

/** @typedef {import("./asked.js").Money} Money */
/**
 * @typedef {{as_of: string, price: Money, lines: {code: string, label: string, amount: Money}[], tax_kind: string, tax: Money,
 *   outlets: {outlet: string, price: Money}[], statement: string, caution: string}} Quote
 * @typedef {{kind: "missing", words: string} | {kind: "refused", words: string, language: string} | {kind: "asking"} |
 *   {kind: "confirmed" | "unconfirmed", quote: Quote, words: string, outlets: string[]} |
 *   {kind: "away", last?: {quote: Quote, words: string}}} Shown
 */

/** @typedef {import("./words.js").Language} Language */

/** @param {any} money */
const isMoney = (money) => /^-?[0-9]+([.][0-9]+)?$/.test(money?.amount) && /^[A-Z]{3}$/.test(money?.currency);

/**
 * Whether that is a quote: what is no quote is neither shown nor kept.
 * @param {any} said
 * @returns {said is Quote}
 */
export function isQuote(said) {
  const priced = (/** @type {any} */ rows, /** @type {string} */ field) =>
    Array.isArray(rows) && rows.every((row) => isMoney(row?.[field]));
  const sums = isMoney(said?.price) && (said.tax_kind === "none" || isMoney(said.tax));
  return sums && /^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(said.as_of) && priced(said.lines, "amount") && priced(said.outlets, "price");
}

/** @param {string} id */
const part = (id) => byId(id, HTMLElement);

/**
 * Show it, in the buyer's language where the buyer reads or hears it; the desk's own words are English, and each part says which it is.
 * @param {Shown} shown
 * @param {Language} language
 */
export function show(shown, language) {
  const panel = part("price");
  panel.dataset["state"] = shown.kind;
  panel.setAttribute("aria-busy", String(shown.kind === "asking"));
  byId("seal", HTMLButtonElement).disabled = shown.kind !== "confirmed";
  if (shown.kind === "asking") return; // what stands there is dimmed until the answer comes
  const quote = "quote" in shown ? shown.quote : undefined;
  part("state").textContent = stateOf(shown);
  part("state").lang = part("spoken").lang = shown.kind === "refused" ? shown.language : "en";
  part("amount").textContent = quote ? moneyText(quote.price, language) : "";
  part("amount").lang = language;
  part("said-work").textContent = "quote" in shown ? shown.words : "";
  drawLines(quote, language);
  part("sentence-box").hidden = !quote;
  part("sentence").textContent = quote?.statement ?? "";
  part("sentence").lang = language;
  part("elsewhere").textContent = "outlets" in shown ? abroad(shown.quote, shown.outlets, language) : "";
  part("offer").hidden = shown.kind !== "confirmed";
  part("caution").textContent = quote?.caution ?? "";
  part("caution").lang = language;
  const bar = byId("bar", HTMLAnchorElement);
  bar.hidden = !quote;
  bar.textContent = quote ? `${moneyText(quote.price, language)}${shown.kind === "unconfirmed" ? ", unconfirmed" : ""}` : "";
  part("spoken").textContent = quote ? `${stateOf(shown)} ${bar.textContent}` : stateOf(shown);
}

/** @param {Exclude<Shown, {kind: "asking"}>} shown */
function stateOf(shown) {
  switch (shown.kind) {
    case "confirmed":
      return `Price of ${dayText(shown.quote.as_of, "en")}`;
    case "unconfirmed":
      return `Unconfirmed: the price of ${dayText(shown.quote.as_of, "en")}, the last that was confirmed`;
    case "away": {
      const last = shown.last;
      const before = last
        ? ` The last confirmed: ${last.words}, ${moneyText(last.quote.price, "en")}, on ${dayText(last.quote.as_of, "en")}.`
        : "";
      return `Nobody can confirm a price for this work now, and none is kept here.${before}`;
    }
    default:
      return shown.words;
  }
}

/**
 * @param {Quote | undefined} quote
 * @param {Language} language
 */
function drawLines(quote, language) {
  const table = byId("lines", HTMLTableElement);
  table.hidden = !quote;
  const rows = (quote?.lines ?? []).map(({ label, amount }) => [label, moneyText(amount, language)]);
  if (quote?.tax_kind === "included") rows.push([TAX[language].included, moneyText(quote.tax, language)]);
  if (quote?.tax_kind === "added") rows.push([TAX[language].added, moneyText(quote.tax, language)]);
  const taxed = quote !== undefined && quote.tax_kind !== "none";
  const body = /** @type {HTMLElement} */ (table.tBodies[0]);
  body.lang = language;
  body.replaceChildren(
    ...rows.map(([label, amount], i) =>
      make(
        "tr",
        { class: taxed && i === rows.length - 1 ? "tax" : undefined },
        make("th", { scope: "row", text: label }),
        make("td", { text: amount }),
      ),
    ),
  );
}

/**
 * The price where it is asked in another currency.
 * @param {Quote} quote
 * @param {string[]} titles
 * @param {string} language
 */
function abroad(quote, titles, language) {
  const rows = quote.outlets.map((row, i) => ({ title: titles[i] ?? row.outlet, price: row.price }));
  const other = rows.filter((row) => row.price.currency !== quote.price.currency);
  return other.map((row) => `${row.title}: ${moneyText(row.price, language)}`).join("; ");
}
