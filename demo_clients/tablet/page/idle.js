// A desk that nobody touches starts over, so that one buyer's quote is not the next one's. It asks first.

export const IDLE = 90_000; // ms without a touch until it asks
export const GRACE = 20_000; // ms to answer; WCAG 2.2, 2.2.1 wants at least 20 s

/**
 * Watch for touches; `busy` says whether there is anything to clear.
 * @param {HTMLElement} notice where it asks; a touch on it counts when it is whole, or what lies beneath would be touched as well
 * @param {{busy: () => boolean, ask: (seconds: number) => void, hush: () => void, clear: () => void}} how
 */
export function watchIdle(notice, { busy, ask, hush, clear }) {
  let last = Date.now();
  let asking = false;
  const touched = () => {
    last = Date.now();
    if (asking) hush();
    asking = false;
  };
  const heard = (/** @type {Event} */ event) => {
    const onNotice = event.target instanceof Node && notice.contains(event.target);
    if (!onNotice || event.type === "click") touched();
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
    if (!asking) ask(Math.ceil((IDLE + GRACE - quiet) / 1000));
    asking = true;
  }, 500);
}
