// The slip: a sealed offer with its code, to be printed on a roll of 58 or 80 mm or on A6. Knows the token's public part, no key.
import { byId, make } from "./dom.js";
import { dayText, moneyText, SLIP } from "./words.js";

/** @typedef {import("./words.js").Language} Language */
/** @typedef {import("./shown.js").Quote} Quote */
/** @typedef {{token: string, offer_id: string, last_on: string, as_of: string, quote: Quote, note: string, caution: string}} Sealed */

const MM = 96 / 25.4; // CSS pixels
const SLACK = 2; // mm: a printer's letters are a little wider than the screen's, and a second page is waste
/**
 * Papers: width, margin and, of a sheet, height in mm; `dot` is a module of the code: whole dots of a printer with 8 of them to the mm.
 * A roll of 58 mm is printed 48 mm wide, one of 80 mm 72 mm: the usual print heads; common practice, no source.
 * @typedef {{title: string, width: number, margin: number, height?: number, dot: number}} Paper
 * @type {Record<string, Paper> & {80: Paper}}
 */
export const PAPERS = {
  58: { title: "58 mm roll", width: 58, margin: 5, dot: 0.375 },
  80: { title: "80 mm roll", width: 80, margin: 4, dot: 0.5 },
  a6: { title: "A6 sheet", width: 105, margin: 5, height: 148, dot: 0.625 },
};
/**
 * What a slip that is longer than its sheet is made of, the first that fits: a smaller code, again of whole dots, and smaller letters.
 * @type {{dot: number, letters: string}[]}
 */
const SMALLER = [
  { dot: 0.5, letters: "10pt" },
  { dot: 0.5, letters: "9pt" },
  { dot: 0.375, letters: "9pt" },
  { dot: 0.375, letters: "8pt" },
];
const QUIET = 4; // modules of white around a code (ISO/IEC 18004)

/**
 * What the token says of the work, from its readable middle part.
 * @param {string} token
 * @returns {{words: string}}
 */
function saidIn(token) {
  const part = (token.split(".")[1] ?? "").replaceAll("-", "+").replaceAll("_", "/");
  return JSON.parse(new TextDecoder().decode(Uint8Array.from(atob(part), (letter) => letter.charCodeAt(0))));
}

/**
 * The code as a picture of `dot` mm modules.
 * @param {string} token
 * @param {number} dot
 * @param {string} label
 */
async function codeOf(token, dot, label) {
  const { qrcode } = await import("./qrcode.mjs"); // fetched with the first slip, not with the page
  const code = qrcode(0, "L");
  code.addData(token, "Byte");
  code.make();
  const count = code.getModuleCount();
  const across = count + 2 * QUIET;
  let path = "";
  for (let y = 0; y < count; y++) for (let x = 0; x < count; x++) if (code.isDark(y, x)) path += `M${x + QUIET} ${y + QUIET}h1v1h-1z`;
  const space = "http://www.w3.org/2000/svg";
  const picture = document.createElementNS(space, "svg");
  const drawn = document.createElementNS(space, "path");
  drawn.setAttribute("d", path);
  picture.append(drawn);
  for (const [name, value] of Object.entries({
    viewBox: `0 0 ${across} ${across}`,
    role: "img",
    "aria-label": label,
    "shape-rendering": "crispEdges",
  }))
    picture.setAttribute(name, value);
  sizeCode(picture, dot);
  return picture;
}

/**
 * @param {SVGSVGElement} picture of a code, a unit to the module
 * @param {number} dot mm of a module
 */
function sizeCode(picture, dot) {
  for (const side of ["width", "height"]) picture.setAttribute(side, `${picture.viewBox.baseVal.width * dot}mm`);
}

/** The height of the slip on its paper, with its margins, in mm: a screen narrower than the paper makes it longer, and counts for nothing. */
function heightOf(/** @type {HTMLElement} */ slip) {
  slip.style.maxWidth = "none";
  const height = slip.getBoundingClientRect().height / MM;
  slip.style.maxWidth = "";
  return Math.ceil(height) + SLACK;
}

/**
 * Make the slip fit its sheet, whatever the language and however long the words.
 * @param {HTMLElement} slip
 * @param {number} height mm
 */
function fit(slip, height) {
  const code = slip.querySelector("svg");
  for (const { dot, letters } of SMALLER) {
    if (!code || heightOf(slip) <= height) return;
    sizeCode(code, dot);
    slip.style.fontSize = letters;
  }
}

/**
 * Draw the slip.
 * @param {Sealed} sealed
 * @param {{house: string, maker: string, paper: string, language: Language}} how
 */
export async function drawSlip(sealed, { house, maker, paper, language }) {
  const words = SLIP[language];
  const quote = sealed.quote;
  const money = (/** @type {{amount: string, currency: string}} */ said) => moneyText(said, language);
  const tax =
    quote.tax_kind === "none"
      ? []
      : [make("p", { class: "slip-tax", text: `${quote.tax_kind === "added" ? words.added : words.included} ${money(quote.tax)}` })];
  const slip = byId("slip", HTMLElement);
  slip.dataset["paper"] = paper;
  slip.style.fontSize = ""; // the paper's own
  slip.lang = language;
  slip.replaceChildren(
    make("p", { class: "slip-house", text: house ? `${house} · ${maker}` : maker }),
    make("h3", { text: words.offer }),
    make("p", { class: "slip-words", lang: "en", text: saidIn(sealed.token).words }),
    make("p", { class: "slip-price", text: money(quote.price) }),
    ...tax,
    make("p", { class: "slip-until", text: words.until }, make("strong", { text: dayText(sealed.last_on, language) })),
    await codeOf(sealed.token, (PAPERS[paper] ?? PAPERS["80"]).dot, words.code),
    make("p", { class: "slip-bring", text: words.bring }),
    make("p", { class: "slip-small", text: `${words.number} ${sealed.offer_id}. ${words.issued} ${dayText(sealed.as_of, language)}.` }),
    ...(sealed.note ? [make("p", { class: "slip-small", text: sealed.note })] : []),
    make("p", { class: "slip-small", text: sealed.caution }),
  );
}

/** The page on which what is shown will be printed: a roll is cut where the slip ends, a sheet is what it is; all but a slip is the printer's affair. */
export function layPaper() {
  const slip = byId("slip", HTMLElement);
  document.adoptedStyleSheets = [];
  if (byId("slip-view", HTMLElement).hidden || !slip.childElementCount) return;
  const { width, margin, height } = PAPERS[slip.dataset["paper"] ?? ""] ?? PAPERS["80"];
  if (height) fit(slip, height);
  const sheet = new CSSStyleSheet(); // not an element, so that the page's policy needs no exception
  sheet.replaceSync(`@page { size: ${width}mm ${height ?? heightOf(slip)}mm; margin: ${margin}mm; }`);
  document.adoptedStyleSheets = [sheet];
}
