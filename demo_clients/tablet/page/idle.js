// A desk that nobody touches starts over, so that one buyer's quote is not the next one's. It asks first.
import { byId } from "./dom.js";

export const IDLE = 90_000; // ms without a touch until it asks
export const GRACE = 20_000; // ms to answer; WCAG 2.2, 2.2.1 wants at least 20 s
const SPOKEN = [10, 5]; // seconds left at which a screen reader says so: each one aloud would talk over everything

/**
 * Watch for touches; `busy` says whether there is anything to clear, `clear` starts over.
 * @param {{busy: () => boolean, clear: () => void}} how
 */
export function watchIdle({ busy, clear }) {
  const notice = byId("idle", HTMLElement);
  let last = Date.now();
  /** @type {Element | null} */
  let before = null;
  const touched = () => {
    last = Date.now();
    if (notice.hidden) return;
    notice.hidden = true;
    if (before instanceof HTMLElement && before.isConnected) before.focus({ preventScroll: true });
  };
  /** A touch on the notice counts when it is whole, or what lies beneath would be touched as well. */
  const heard = (/** @type {Event} */ event) => {
    const onNotice = event.target instanceof Node && notice.contains(event.target);
    const presses = event instanceof KeyboardEvent && !["Enter", " "].includes(event.key);
    if (!onNotice || event.type === "click" || presses) touched();
  };
  for (const kind of ["pointerdown", "keydown", "input", "scroll", "click"])
    addEventListener(kind, heard, { capture: true, passive: true });
  setInterval(() => {
    const quiet = Date.now() - last;
    if (!busy() || quiet < IDLE) return;
    if (quiet >= IDLE + GRACE) {
      touched();
      clear();
      return;
    }
    if (notice.hidden) before = document.activeElement;
    count(notice, Math.ceil((IDLE + GRACE - quiet) / 1000));
  }, 500);
}

/**
 * Show how many seconds are left. The focus goes to the notice as it appears, which reads it out.
 * @param {HTMLElement} notice
 * @param {number} seconds
 */
function count(notice, seconds) {
  const words = `Is anybody here? In ${seconds} seconds the desk starts over.`;
  const shown = byId("idle-words", HTMLElement);
  if (shown.textContent !== words) shown.textContent = words;
  const spoken = byId("idle-spoken", HTMLElement);
  if (!notice.hidden) {
    const left = `${seconds} seconds left.`;
    if (SPOKEN.includes(seconds) && spoken.textContent !== left) spoken.textContent = left;
    return;
  }
  spoken.textContent = "";
  notice.hidden = false;
  byId("idle-keep", HTMLButtonElement).focus({ preventScroll: true });
}
