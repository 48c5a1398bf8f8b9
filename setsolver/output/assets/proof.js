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
// Ticks and notes, saved as one line of JSON in a file on this device. Nothing is sent anywhere.
(() => {
  const main = document.getElementById("main");
  const save = document.getElementById("save");
  if (!main || !save) return;
  const told = JSON.parse(main.dataset.choice);
  const by = document.getElementById("by");
  const ticks = Array.from(document.querySelectorAll("[data-print]"));
  const notes = Array.from(document.querySelectorAll("[data-note]"));
  const radios = Array.from(document.querySelectorAll("[name=prefer]"));
  let dirty = false;
  by.value = told.by;
  for (const part of document.querySelectorAll(".answer, .answer-save")) part.hidden = false;
  const preferred = () => radios.find((radio) => radio.checked);
  const written = () => notes.filter((note) => note.value.trim());
  const record = () => {
    const chosen = preferred() ? Number(preferred().value) - 1 : -1;
    return {
      format: "setsolver/choice", version: 1, catalog: told.catalog, brief: told.brief,
      made: new Date().toISOString(), by: by.value.trim(),
      chosen: chosen < 0 ? [] : told.sets[chosen],
      over: chosen < 0 ? [] : told.sets.filter((_, i) => i !== chosen),
      kept: ticks.filter((tick) => tick.checked).map((tick) => told.sets[0][Number(tick.dataset.print) - 1]),
      notes: Object.fromEntries(written().map((note) => [note.dataset.note, note.value.trim()])),
    };
  };
  main.addEventListener("input", (event) => {
    if (event.target === by) return;
    dirty = true;
    save.disabled = !(preferred() || written().length || ticks.some((tick) => tick.checked));
  });
  save.addEventListener("click", () => {
    const file = new Blob([JSON.stringify(record()) + "\n"], { type: "application/x-ndjson" });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = told.brief.replace(/[^\w.-]+/g, "-") + ".choices.jsonl";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    dirty = false;
    document.getElementById("saved").textContent = "Saved as " + link.download + ". Mail it back to your photographer.";
  });
  window.addEventListener("beforeunload", (event) => { if (dirty) event.preventDefault(); });
})();
