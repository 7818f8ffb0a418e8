// Show the contract of this very service; nothing is fetched from anywhere else.
const page = document.getElementById("operations");
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
