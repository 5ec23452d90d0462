// What was refused at the counter is selected, so that the next figure is typed over it.
"use strict";
document.addEventListener("DOMContentLoaded", () => {
  const field = document.querySelector("input[data-over]");
  if (!field) return;
  if (document.activeElement === field) field.select();
  else field.addEventListener("focus", () => field.select(), { once: true });
});
