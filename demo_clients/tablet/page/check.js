// A slip brought back: is its token genuine, does the offer stand today, and what would the work cost now. Knows no key.
import { byId, make } from "./dom.js";
import { members } from "./known.js";
import { Away, ask, Declined, lane, Late } from "./line.js";
import { dayText, moneyText } from "./words.js";

/** @typedef {import("./asked.js").Money} Money */
/**
 * @typedef {{as_of: string, genuine: boolean, standing: boolean, statement: string, state: string | null, note: string, caution: string,
 *   offer: {id: string, member: string, words: string, price: Money, issued_on: string, last_on: string} | null, price_now: Money | null}} Verdict
 */

const answers = lane();
/** @param {string} id */
const part = (id) => byId(id, HTMLElement);
const field = () => byId("token", HTMLTextAreaElement);
let stopCamera = () => {};
let checked = ""; // the token whose verdict is shown

/**
 * Listen to the form of the check.
 * @param {() => string} language the buyer's
 * @param {{away: () => void, back: () => void}} line
 */
export function listenToChecks(language, line) {
  const check = () => void checkToken(field().value, language(), line);
  byId("check-form", HTMLFormElement).addEventListener("submit", (event) => {
    event.preventDefault();
    check();
  });
  field().addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    check();
  });
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices) return;
  const button = part("camera");
  button.hidden = false;
  button.addEventListener("click", () => void readByCamera(check));
}

/** Nobody looks through the camera any more. */
export function closeCamera() {
  stopCamera();
}

/** Nothing is being checked any more. */
export function forgetCheck() {
  answers.drop();
  checked = "";
  stopCamera();
  field().value = "";
  sayFault("");
  part("verdict").hidden = true;
}

/**
 * The verdict that is shown, once more in another language; the focus stays with the language.
 * @param {string} language
 * @param {{away: () => void, back: () => void}} line
 */
export function checkAgain(language, line) {
  if (checked) void checkToken(checked, language, line, false);
}

/** @param {any} said */
const isVerdict = (said) => typeof said?.genuine === "boolean" && typeof said.standing === "boolean" && typeof said.statement === "string";

/**
 * @param {string} written
 * @param {string} language
 * @param {{away: () => void, back: () => void}} line
 * @param {boolean} [goes] whether the focus goes to the verdict
 */
async function checkToken(written, language, line, goes = true) {
  const token = written.replaceAll(/\s/g, ""); // a reader or a mail may have broken the lines
  checked = "";
  part("verdict").hidden = true;
  sayFault(token ? "" : "Scan or paste the code first.");
  if (!token) return;
  try {
    const verdict = await answers.run((signal) => ask("offers/verify", { body: { token }, language, signal, is: isVerdict }));
    line.back();
    checked = token;
    showVerdict(verdict, language);
    if (goes) part("verdict-title").focus();
  } catch (fault) {
    if (fault instanceof Late) return;
    if (fault instanceof Away) line.away();
    if (fault instanceof Declined) sayFault("This is no offer's code. ", fault);
    else sayFault("Nobody can check it now. Keep the slip and check again when the service is back.");
  }
}

/**
 * @param {string} words the desk's own
 * @param {Declined} [more] the service's
 */
function sayFault(words, more) {
  part("token-fault").replaceChildren(words, ...(more ? [make("span", { lang: more.language, text: more.message })] : []));
}

/**
 * @param {Verdict} verdict
 * @param {string} language
 */
function showVerdict(verdict, language) {
  const offer = verdict.offer;
  const box = part("verdict");
  const state = verdict.standing ? "standing" : verdict.genuine ? (verdict.state ?? "expired") : "false";
  box.dataset["state"] = state;
  /** @type {Record<string, string>} */
  const titles = {
    standing: "✓ Genuine, and it stands",
    expired: "⏱ Genuine, but its last day has passed",
    "not-yet": "⏱ Genuine, but not issued yet",
    false: "✗ Not an offer of this house",
  };
  part("verdict-title").textContent = titles[state] ?? verdict.statement;
  part("verdict-words").textContent = verdict.statement;
  part("verdict-words").lang = language;
  const facts = offer
    ? [
        ["Work", offer.words],
        ["Maker", members.find((row) => row.member === offer.member)?.title ?? offer.member],
        ["Price offered", moneyText(offer.price, language), language],
        ["Last day", dayText(offer.last_on, "en")],
        ["Issued on", dayText(offer.issued_on, "en")],
        verdict.price_now ? ["Price today", moneyText(verdict.price_now, language), language] : ["Price today", "ask the workshop"],
        ["Offer number", offer.id],
      ]
    : [];
  part("verdict-facts").replaceChildren(
    ...facts.flatMap(([name, said, lang]) => [make("dt", { text: name }), make("dd", { text: said, lang })]),
  );
  part("verdict-note").textContent = [verdict.note, verdict.caution].filter(Boolean).join(" ");
  part("verdict-note").lang = language;
  box.hidden = false;
}

/**
 * Look through the camera until a code is seen.
 * @param {() => void} check
 */
async function readByCamera(check) {
  stopCamera();
  const finder = byId("finder", HTMLVideoElement);
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    let looking = true;
    stopCamera = () => {
      looking = false;
      for (const track of stream.getTracks()) track.stop();
      finder.hidden = true;
    };
    finder.srcObject = stream;
    finder.hidden = false;
    await finder.play();
    const detector = new /** @type {any} */ (window).BarcodeDetector({ formats: ["qr_code"] });
    while (looking) {
      const [seen] = await detector.detect(finder);
      if (seen && looking) {
        stopCamera();
        field().value = seen.rawValue;
        check();
      }
      await new Promise((later) => setTimeout(later, 150));
    }
  } catch {
    stopCamera();
    sayFault("The camera cannot be used: scan the code with a reader, or paste its text.");
  }
}
