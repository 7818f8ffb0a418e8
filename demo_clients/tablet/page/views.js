// The views of the page, one at a time by its address: a price, a check, a slip. Knows nothing of what stands in them.
import { byId } from "./dom.js";

const VIEWS = ["quote", "check", "slip"];

/** Show the view that the address names; whoever came by a link finds the focus at its start. */
export function turn() {
  const view = VIEWS.find((name) => location.hash === `#${name}`) ?? "quote";
  if (view === "slip" && !byId("slip", HTMLElement).childElementCount) return void (location.hash = "quote");
  const before = document.body.dataset["view"];
  document.body.dataset["view"] = view;
  for (const part of document.querySelectorAll("[data-view-of]"))
    if (part instanceof HTMLElement) part.hidden = part.dataset["viewOf"] !== view;
  for (const link of document.querySelectorAll("nav a"))
    if (link instanceof HTMLElement) link.toggleAttribute("aria-current", link.dataset["view"] === view);
  document.querySelector("nav a[aria-current]")?.setAttribute("aria-current", "page");
  if (before === undefined || before === view) return;
  scrollTo(0, 0);
  const heading = document.querySelector(`[data-view-of="${view}"] h2`);
  const first = view === "check" ? byId("token", HTMLElement) : heading;
  if (first instanceof HTMLElement) first.focus();
}
