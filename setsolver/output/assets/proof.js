"use strict";
// Swaps the pictures of the first wall for those of the wall "as shot", and back. Without script both walls can be seen.
(() => {
  const button = document.getElementById("toggle");
  const finished = document.querySelectorAll(".set .wall img");
  const shot = document.querySelectorAll("#asshot .wall img");
  if (!button || finished.length === 0 || finished.length !== shot.length) return;
  const sources = Array.from(finished, (img) => [img.src, img.alt]);
  button.hidden = false;
  button.addEventListener("click", () => {
    const before = button.getAttribute("aria-pressed") !== "true";
    finished.forEach((img, i) => {
      [img.src, img.alt] = before ? [shot[i].src, shot[i].alt] : sources[i];
    });
    button.setAttribute("aria-pressed", String(before));
  });
})();
