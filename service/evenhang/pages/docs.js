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
