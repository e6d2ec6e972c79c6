// The one button of the printed pages; without a script the browser's own print does the same.
"use strict";
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
