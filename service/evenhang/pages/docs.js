// Show the contract of this very service; nothing is fetched from anywhere else.
const page = document.getElementById("docs");
SwaggerUIBundle({
  url: page.dataset.url,
  domNode: page,
  deepLinking: true,
  defaultModelsExpandDepth: 0,
  presets: [SwaggerUIBundle.presets.apis],
  validatorUrl: null,
});

// The stylesheet has its dark colours under a class of its own; the reader's wish decides.
const dark = matchMedia("(prefers-color-scheme: dark)");
const colour = () => document.documentElement.classList.toggle("dark-mode", dark.matches);
dark.addEventListener("change", colour);
colour();

// What the bundled page leaves out for those who do not see it, or who use no mouse. It draws parts anew as it is used: so are these.
const said = [
  ["#servers", "aria-label", "Server"],
  [".examples-select-element", "aria-label", "Example"],
  [".content-type", "aria-label", "Kind of content"],
  [".body-param__text", "aria-label", "Body of the request"],
  [".microlight", "tabindex", "0"], // what scrolls can be scrolled by keyboard
  [".information-container > section", "aria-label", "About this service"],
  [".scheme-container > section", "aria-label", "Server and key"],
  ["h3.opblock-tag, section.models > h4", "aria-level", "2"], // below the title, which is the page's h1
  [".opblock h4", "aria-level", "3"],
  [".opblock h5", "aria-level", "4"],
];
const mend = () => {
  for (const [which, name, value] of said) {
    for (const found of page.querySelectorAll(which)) {
      if (found.getAttribute(name) !== value) found.setAttribute(name, value);
    }
  }
  // A link inside a button is reached twice by keyboard and does the same: the button stays, and still writes the address.
  for (const link of page.querySelectorAll("button a[href]")) link.removeAttribute("href");
};
new MutationObserver(mend).observe(page, { childList: true, subtree: true });
mend();
