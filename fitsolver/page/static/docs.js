// Sends an example of the JSON API as it was changed, and shows what is answered.
"use strict";

async function asked(form) {
  const body = form.elements.body, key = form.elements.key, files = form.elements.files;
  const request = { method: form.dataset.send };
  if (body) {
    request.body = body.value;
    request.headers = { "content-type": "application/json" };
  } else if (files) {
    request.body = new FormData(form);
  }
  const path = form.dataset.path.replace("{key}", key ? encodeURIComponent(key.value) : "");
  const answer = await fetch(path, request);
  const text = await answer.text();
  return [`${answer.status} ${answer.statusText}`, text];
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.dataset.send) return;
  event.preventDefault();
  const shown = form.querySelector(".answered"), [said, told] = shown.children;
  shown.hidden = false;
  said.textContent = "Sent";
  told.textContent = "";
  try {
    [said.textContent, told.textContent] = await asked(form);
  } catch {
    said.textContent = "The page did not answer: send it again";
  }
});
