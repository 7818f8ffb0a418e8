// The number pad on the page: no keyboard slides in, and a mouse or a finger is enough. It writes where the last field was touched.
import { make } from "./dom.js";

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ",", "0", "⌫"];
/** @type {Record<string, string>} */
const SPOKEN = { ",": "decimal comma", "⌫": "delete" };

/**
 * Draw the pad; `field` says which field it writes in, `next` goes on to the next one.
 * @param {HTMLElement} pad
 * @param {() => HTMLInputElement | undefined} field
 * @param {() => void} next
 */
export function drawPad(pad, field, next) {
  for (const key of KEYS) pad.append(make("button", { type: "button", "data-key": key, "aria-label": SPOKEN[key], text: key }));
  pad.append(make("button", { type: "button", "data-key": "next", class: "wide", text: "Next" }));
  pad.addEventListener("click", (event) => {
    const key = event.target instanceof HTMLElement ? event.target.dataset["key"] : undefined;
    const into = field();
    if (!key || !into) return;
    if (key === "next") return next();
    into.value = key === "⌫" ? into.value.slice(0, -1) : into.value.length < into.maxLength ? into.value + key : into.value;
    into.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
