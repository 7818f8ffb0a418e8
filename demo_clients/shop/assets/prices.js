/* Asks the service again for each price on the page, shows what it says, and says that it did.

Knows the public price alone and sends no key. Where the service does not answer, the price of the page stays and its age is told. */

const PATIENCE = 8000;
const AT_ONCE = 4;
const WHEN = { day: "numeric", month: "long", year: "numeric", hour: "2-digit", minute: "2-digit", timeZone: "UTC" };

/** A span of milliseconds as people say it; rounded up where it is a bound. */
export function age(span, round = Math.floor) {
  for (const [unit, length] of [["day", 86400000], ["hour", 3600000], ["minute", 60000]]) {
    const count = span >= length || (unit === "minute" && round === Math.ceil) ? round(span / length) : 0;
    if (count > 0) return `${count} ${unit}${count > 1 ? "s" : ""}`;
  }
  return "less than a minute";
}

const text = (money) => `${money.amount} ${money.currency}`;

async function ask(service, shown) {
  const answer = await fetch(`${service}/v1/${shown.dataset.ask}`, {
    credentials: "omit", mode: "cors", signal: AbortSignal.timeout(PATIENCE), headers: { Accept: "application/json" },
  });
  const said = answer.ok ? await answer.json() : null;
  if (!isPrice(said)) throw new Error(`no price: ${answer.status}`);
  return said;
}

/** Whether that is a price: a network's page of its own may be JSON and a 200 as well. */
function isPrice(said) {
  const isMoney = (money) => typeof money?.amount === "string" && typeof money.currency === "string";
  const priced = (rows, field) => Array.isArray(rows) && rows.every((row) => isMoney(row?.[field]));
  return isMoney(said?.price) && priced(said.lines, "amount") && priced(said.outlets, "price") && (said.tax_kind === "none" || isMoney(said.tax));
}

/** The answer in the place of what the page had; whether the price is another. */
function show(shown, said) {
  const other = shown.textContent !== text(said.price);
  shown.value = said.price.amount;
  const now = new Date();
  shown.dataset.checked = now.toISOString();
  const paper = document.querySelector("[data-when]");
  if (paper) paper.textContent = `${new Intl.DateTimeFormat("en-GB", WHEN).format(now).replace(" at ", ", ")} UTC`;
  if (!other) return false;
  shown.dataset.before = shown.textContent;
  shown.textContent = text(said.price);
  shown.classList.add("new");
  return true;
}

/** The rest of a work's page, where its price is another: lines, tax, outlets, and the words for machines. */
function showWhole(said) {
  const lines = document.querySelector("[data-lines]");
  lines?.replaceChildren(...said.lines.map((line) => {
    const row = document.createElement("tr");
    const label = document.createElement("th");
    label.scope = "row";
    label.textContent = line.label;
    const amount = document.createElement("td");
    amount.className = "sum";
    amount.textContent = line.amount.amount;
    row.append(label, amount);
    return row;
  }));
  const put = (where, words) => { const found = document.querySelector(where); if (found) found.textContent = words; };
  put("[data-total]", said.price.amount);
  const tax = { included: "tax is in it.", added: "tax comes on top." }[said.tax_kind];
  put("[data-tax]", tax ? `${text(said.tax)} ${tax}` : "No tax is in it.");
  for (const outlet of said.outlets) put(`[data-outlet="${CSS.escape(outlet.outlet)}"]`, text(outlet.price));
  const linked = document.querySelector("[data-linked]");
  if (linked) {
    const data = JSON.parse(linked.textContent);
    data.offers.price = said.price.amount;
    data.offers.priceCurrency = said.price.currency;
    linked.textContent = JSON.stringify(data);
  }
}

function oldest(prices, round) {
  return age(Date.now() - Math.min(...prices.map((shown) => Date.parse(shown.dataset.checked))), round);
}

/** What is said about the prices of the page, in one sentence or two. */
function told(all, asked, changed, lost) {
  const one = all.length === 1;
  if (one && "promised" in all[0].dataset) return ""; // the page says that it stays
  if (!asked.length) return one ? `This price is ${oldest(all)} old. Ask the front desk if it still stands.` : "";
  if (lost.length === asked.length) {
    return `The prices cannot be asked for just now. ${one ? "This one is" : "The oldest here is"} ${oldest(all)} old.`;
  }
  const said = [];
  if (one) said.push(changed.length ? `The price has changed: it was ${changed[0].dataset.before}.` : "The price has just been checked. It stands.");
  else said.push(`${asked.length - lost.length} prices have just been checked${changed.length ? `, ${changed.length} have changed` : ""}.`);
  const rest = all.filter((shown) => !asked.includes(shown) || lost.includes(shown));
  if (rest.length) said.push(`The other ${rest.length > 1 ? `${rest.length} were` : "one was"} checked within the last ${oldest(rest, Math.ceil).replace(/^1 /, "")}.`);
  return said.join(" ");
}

export async function refresh() {
  const service = document.body.dataset.service;
  const all = [...document.querySelectorAll("[data-price]")];
  const asked = all.filter((shown) => shown.dataset.ask);
  const changed = [];
  const lost = [];
  const waiting = [...asked];
  const worker = async () => {
    for (let shown = waiting.shift(); shown; shown = waiting.shift()) {
      const said = await ask(service, shown).catch(() => null);
      if (said === null) {
        lost.push(shown);
        // Where the first few get no answer, the rest need not wait for theirs.
        if (lost.length > AT_ONCE && lost.length === asked.length - waiting.length) lost.push(...waiting.splice(0));
      } else if (show(shown, said)) {
        changed.push(shown);
        if (all.length === 1) showWhole(said);
      }
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  const words = all.length ? told(all, asked, changed, lost) : "";
  const place = document.querySelector("[data-said]");
  if (place && words) place.textContent = words;
}

refresh();
