// The front desk put together: what is asked, the line to the service, the page, and starting over.
import { budgetOf, nothingAsked, SIDES, workOf } from "./asked.js";
import { showFit } from "./budget.js";
import { checkAgain, closeCamera, forgetCheck, listenToChecks } from "./check.js";
import { byId, make, tiles } from "./dom.js";
import { countExtras, drawBelow, drawForm, drawMakers, fromTheFirstField, listen } from "./form.js";
import { watchIdle } from "./idle.js";
import { choicesOf, describe, forget, guideOf, know, knowHouse, members, refusalOf, standards } from "./known.js";
import { Declined, Late, watch } from "./line.js";
import { dropQuotes, keepQuote, keptQuote, quoteOf } from "./quoted.js";
import { dropSeals, forgetFault, seal, sealAgain } from "./sealed.js";
import { show } from "./shown.js";
import { layPaper, PAPERS } from "./slip.js";
import { turn } from "./views.js";
import { LANGUAGES } from "./words.js";

/** @typedef {import("./words.js").Language} Language */

const TYPING = 150; // ms without a key before a typed size is asked for
let asked = nothingAsked();
/** @type {Language} */
let language = "en";
let paper = "80";
let typing = 0;
/** @typedef {import("./shown.js").Quote} Quote */
/** @type {{member: string, work: Record<string, unknown>, quote: Quote, words: string, outlets: string[]} | undefined} */
let last; // what was confirmed last: it is this that stands on the page where a price can be sealed

const choices = () => choicesOf(asked.member);
const line = watch(
  (here) => {
    const said = byId("line", HTMLElement);
    said.hidden = here;
    said.textContent = here ? "" : "The price service cannot be reached. Prices on this page are unconfirmed. Trying again.";
  },
  () => void again(),
);

async function start() {
  const before = JSON.stringify(members);
  await knowHouse(line);
  if (JSON.stringify(members) !== before) drawMakers(members, asked);
  if (!asked.member) void price();
  for (const { member } of members) await know(member, line);
}

/** After a time without the service: whatever is missing, and the price of what is asked now; where none is due, what costs little. */
async function again() {
  if (!members.length) return void start();
  if (asked.member && !choices()) return void chooseMaker(asked.member);
  if ("work" in workOf(asked, choices()) || budgetOf(asked, choices())) return void price();
  await knowHouse(line);
}

function below() {
  drawBelow(asked, choices(), guideOf(asked.member), standards);
}

/** @param {string} member */
async function chooseMaker(member) {
  const unit = asked.unit;
  asked = { ...nothingAsked(), member, unit };
  await know(member, line);
  if (asked.member !== member) return; // another maker was touched meanwhile
  const said = choices();
  if (said) {
    asked.unit = said.length_unit;
    byId("days", HTMLInputElement).value = String(said.stands_days);
    byId("house", HTMLElement).textContent = said.collective || "Front desk";
    if (said.media.length === 1) asked.medium = said.media[0]?.medium ?? "";
  }
  drawForm(asked, said, guideOf(member), standards);
  void price();
}

/**
 * A size by its name instead of typed sides: those that have one are rectangles.
 * @param {string} format
 */
const ofFormat = (format) => ({ format, height: "", width: "", depth: "", ...(format ? { shape: "rectangle" } : {}) });

/**
 * @param {string} name
 * @param {string} value
 * @param {boolean} on
 */
function changed(name, value, on) {
  const typed = ["height", "width", "depth", "budget"].includes(name);
  dropSeals(); // what is being sealed is not what is asked any more
  if (name === "member") return void chooseMaker(value);
  if (name === "medium") {
    asked = { ...nothingAsked(), member: asked.member, medium: value, unit: asked.unit, grade: asked.grade };
    byId("budget", HTMLInputElement).value = "";
    fromTheFirstField();
  } else if (name === "format") asked = { ...asked, ...ofFormat(value), budget: "" };
  else if (name === "shape") asked = { ...asked, shape: value, ...(value === "rectangle" ? {} : { format: "" }) };
  else if (name === "framed") asked.framed = on;
  else if (name === "item") asked.items = on ? [...asked.items, value] : asked.items.filter((item) => item !== value);
  else if (name === "extra")
    asked.extras = { ...asked.extras, [value]: Math.max(0, Math.min(1000, (asked.extras[value] ?? 0) + (on ? 1 : -1))) };
  else asked = { ...asked, [name]: value, ...(typed ? { format: "" } : {}) };
  if (typed) untick("format");
  if (name === "format") byId("budget", HTMLInputElement).value = "";
  if (name === "extra") countExtras(asked);
  else if (["medium", "format", "shape", "framed", "item"].includes(name)) redraw(name, value);
  clearTimeout(typing);
  if (typed) typing = setTimeout(() => void price(), TYPING);
  else void price();
}

/**
 * Draw the form anew and put the focus back where it was: the keyboard goes on from there.
 * @param {string} name
 * @param {string} value
 */
function redraw(name, value) {
  below();
  const found = document.querySelector(`input[name="${name}"][value="${CSS.escape(value)}"]`);
  if (found instanceof HTMLElement && document.activeElement === document.body) found.focus({ preventScroll: true });
}

/** @param {string} name */
function untick(name) {
  for (const radio of document.querySelectorAll(`input[name="${name}"]:checked`))
    if (radio instanceof HTMLInputElement) radio.checked = false;
  byId("standard", HTMLSelectElement).value = "";
}

/** The price of what is asked now; whatever is still on its way for something else is given up. */
async function price() {
  const { member } = asked;
  const said = workOf(asked, choices());
  showFit(asked, choices(), language, line, useSize);
  forgetFault();
  if ("missing" in said) {
    dropQuotes();
    const refused = choices() ? undefined : refusalOf(member);
    if (refused) return show({ kind: "refused", words: refused.message, language: refused.language }, language);
    const typed = SIDES.some((side) => asked[side]);
    const words = budgetOf(asked, choices()) && !typed ? "Take the size that the budget pays for, or say one." : said.missing;
    return show({ kind: "missing", words }, language);
  }
  const words = describe(asked);
  const spoken = language;
  show({ kind: "asking" }, language);
  try {
    const quote = await quoteOf(member, said.work, spoken);
    line.back(true);
    last = { member, work: said.work, quote, words, outlets: outlets() };
    show({ kind: "confirmed", ...last }, spoken);
  } catch (fault) {
    if (fault instanceof Late) return;
    if (fault instanceof Declined) {
      line.back(true);
      return show({ kind: "refused", words: fault.message, language: fault.language }, language);
    }
    line.away();
    const before = keptQuote(member, said.work, spoken);
    if (before) show({ kind: "unconfirmed", quote: before.quote, words, outlets: outlets() }, before.language);
    else show({ kind: "away", ...(last ? { last } : {}) }, language);
  }
}

/** The titles of the maker's outlets, in the order of a quote's. */
const outlets = () => members.find((row) => row.member === asked.member)?.outlets ?? [];

/** @param {import("./budget.js").Found} size */
function useSize(size) {
  asked =
    "format" in size
      ? { ...asked, ...ofFormat(size.format) }
      : { ...asked, format: "", height: size.height, width: size.width ?? "", depth: size.depth ?? "", unit: size.unit };
  below();
  byId("price-title", HTMLElement).focus();
  void price();
}

function startOver() {
  asked = nothingAsked();
  last = undefined;
  language = "en";
  dropQuotes();
  dropSeals();
  forgetCheck();
  byId("slip", HTMLElement).replaceChildren();
  layPaper();
  byId("budget", HTMLInputElement).value = "";
  byId("language", HTMLSelectElement).value = language;
  forget();
  void start();
  drawMakers(members, asked);
  drawForm(asked, undefined, [], standards);
  below();
  void price();
  if (location.hash && location.hash !== "#quote") location.hash = "quote";
  scrollTo(0, 0);
}

/** The bar with the price, where the price itself is out of sight. */
function watchBar() {
  const seen = new IntersectionObserver(([entry]) => byId("bar", HTMLElement).classList.toggle("needless", entry?.isIntersecting ?? false));
  seen.observe(byId("amount", HTMLElement));
}

/** Seal what stands on the page. */
function sealNow() {
  const priced = last;
  if (!priced) return;
  const spoken = language;
  const days = Number(byId("days", HTMLInputElement).value);
  void seal(
    { member: priced.member, work: priced.work, price: priced.quote.price, days, paper },
    {
      language: spoken,
      line,
      changed(quote) {
        keepQuote(priced.member, priced.work, spoken, quote);
        last = { ...priced, quote };
        show({ kind: "confirmed", ...last }, spoken);
      },
    },
  );
}

/** @param {Language} spoken */
function speak(spoken) {
  language = spoken;
  void price();
  checkAgain(language, line);
}

function listenToAll() {
  listen(changed);
  const select = byId("language", HTMLSelectElement);
  select.append(...Object.entries(LANGUAGES).map(([value, text]) => make("option", { value, text, lang: value })));
  select.addEventListener("change", () => {
    const chosen = /** @type {Language} */ (select.value);
    if (location.hash !== "#slip") return speak(chosen);
    void sealAgain(chosen, { line, spoken: () => speak(chosen), kept: () => void (select.value = language) });
  });
  const papers = byId("papers", HTMLElement);
  papers.append(
    ...tiles(
      "paper",
      Object.entries(PAPERS).map(([value, { title }]) => ({ value, title })),
      paper,
    ),
  );
  papers.addEventListener("change", (event) => {
    if (event.target instanceof HTMLInputElement) paper = event.target.value;
  });
  byId("seal", HTMLButtonElement).addEventListener("click", sealNow);
  byId("print", HTMLButtonElement).addEventListener("click", () => print());
  byId("anew", HTMLButtonElement).addEventListener("click", startOver);
  addEventListener("hashchange", () => {
    turn();
    layPaper();
    if (location.hash !== "#check") closeCamera();
  });
  listenToChecks(() => language, line);
  watchBar();
  watchIdle({ busy: () => asked.member !== "" || !["", "#quote"].includes(location.hash), clear: startOver });
}

listenToAll();
turn();
show({ kind: "missing", words: "Choose a maker." }, language);
void start();
