// The price on the page: confirmed, unconfirmed, being asked for, refused, or still missing something. Knows no network.
import { byId, make } from "./dom.js";
import { dayText, moneyText } from "./words.js";

/** @typedef {import("./asked.js").Money} Money */
/**
 * @typedef {{as_of: string, price: Money, lines: {code: string, label: string, amount: Money}[], tax_kind: string, tax: Money,
 *   outlets: {outlet: string, price: Money}[], statement: string, caution: string}} Quote
 * @typedef {{kind: "missing" | "refused", words: string} | {kind: "asking"} |
 *   {kind: "confirmed" | "unconfirmed", quote: Quote, words: string, outlets: string[]} |
 *   {kind: "away", last?: {quote: Quote, words: string}}} Shown
 */

/** @param {string} id */
const part = (id) => byId(id, HTMLElement);

/**
 * Show it, in the buyer's language where the buyer reads or hears it.
 * @param {Shown} shown
 * @param {string} language
 */
export function show(shown, language) {
  const panel = part("price");
  panel.dataset["state"] = shown.kind;
  panel.setAttribute("aria-busy", String(shown.kind === "asking"));
  byId("seal", HTMLButtonElement).disabled = shown.kind !== "confirmed";
  if (shown.kind === "asking") return; // what stands there is dimmed until the answer comes
  const quote = "quote" in shown ? shown.quote : undefined;
  part("state").textContent = stateOf(shown);
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
 * @param {string} language
 */
function drawLines(quote, language) {
  const table = byId("lines", HTMLTableElement);
  table.hidden = !quote;
  const rows = (quote?.lines ?? []).map(({ label, amount }) => [label, moneyText(amount, language)]);
  if (quote?.tax_kind === "included") rows.push(["of which tax", moneyText(quote.tax, language)]);
  if (quote?.tax_kind === "added") rows.push(["plus tax", moneyText(quote.tax, language)]);
  const taxed = quote !== undefined && quote.tax_kind !== "none";
  /** @type {HTMLElement} */ (table.tBodies[0]).replaceChildren(
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
