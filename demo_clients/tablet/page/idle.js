// A desk that nobody touches starts over, so that one buyer's quote is not the next one's. It asks first.

export const IDLE = 90_000; // ms without a touch until it asks
export const GRACE = 20_000; // ms to answer; WCAG 2.2, 2.2.1 wants at least 20 s

/**
 * Watch for touches; `busy` says whether there is anything to clear.
 * @param {{busy: () => boolean, ask: (seconds: number) => void, hush: () => void, clear: () => void}} how
 */
export function watchIdle({ busy, ask, hush, clear }) {
  let last = Date.now();
  let asking = false;
  const touched = () => {
    last = Date.now();
    if (asking) hush();
    asking = false;
  };
  for (const kind of ["pointerdown", "keydown", "input", "scroll"]) addEventListener(kind, touched, { capture: true, passive: true });
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
