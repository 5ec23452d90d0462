// Shows the description of the JSON API. All of it comes from this host.
"use strict";

const here = document.getElementById("described");
SwaggerUIBundle({
  url: here.dataset.description,
  domNode: here,
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: -1,
  validatorUrl: null,
});
