// The next best sets, each against the one on the wall; one of them can be kept, which is a choice.

import { ask } from "./ask.js";
import { board, perform } from "./board.js";
import { because, button, el, show, signed } from "./build.js";
import { address } from "./wall.js";

let found = null;
let wired = false;

export function forgetSets() {
  if (found && found.revision !== board.state.revision) found = null;
}

export function drawSets() {
  const press = document.getElementById("ask-sets");
  if (!wired) press.addEventListener("click", load);
  wired = true;
  press.hidden = !board.state.set || found !== null;
  document.getElementById("sets").hidden = !board.state.set;
  show("others", ...(found ? found.sets.map(one) : []));
}

async function load() {
  show("others", el("p", { class: "soft", role: "status" }, "Looking for the next best sets"));
  try {
    found = await ask("/sets");
    drawSets();
    document.querySelector("#others button")?.focus({ preventScroll: true });
  } catch (error) {
    show("others", el("p", { class: "soft" }, error.message));
  }
}

function one(set) {
  const pictures = set.prints.map((print) => {
    const image = el("img", { alt: `${print.name}, ${print.plays}`, loading: "lazy", src: address(print.picture, 240) });
    return image;
  });
  return el(
    "article",
    { "aria-label": `Set ${set.number}` },
    el("div", { class: "strip" }, ...pictures),
    el("p", {}, `${signed(set.points)} points`, el("span", { class: "soft" }, set.differs.length ? ` (${because(set.differs)})` : "")),
    el("p", { class: "soft" }, `${set.says}. ${set.proof}`),
    button("Keep this set", () => perform({ do: "keep", number: set.number, revision: found.revision }), {
      "data-id": `keep-${set.number}`,
      "aria-label": `Keep this set, number ${set.number}`,
    }),
  );
}
