// Shows the description of the JSON API. All of it comes from this host.
"use strict";

const place = document.getElementById("described");
SwaggerUIBundle({
  url: place.dataset.description,
  domNode: place,
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: -1,
  validatorUrl: null,
});
