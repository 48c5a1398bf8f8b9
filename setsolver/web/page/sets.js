// The next best sets, each against the one on the wall, each shown as soon as it is known; one of them can be kept, which
// is a choice.

import { ask } from "./ask.js";
import { board, perform } from "./board.js";
import { because, button, el, show, signed } from "./build.js";
import { lookAtTwo } from "./sides.js";
import { address } from "./wall.js";

let found = null;
let wired = false;

export function forgetSets() {
  if (found && found.revision !== board.state.revision) found = null;
}

export function drawSets() {
  const part = document.getElementById("sets");
  if (!wired) part.addEventListener("toggle", () => part.open && load());
  wired = true;
  part.hidden = !board.state.set;
  show("others", ...(found ? [...found.sets.map(one), ...looking()] : []));
  if (part.open && (!found || found.more) && board.state.set) load();
}

function looking(says = found?.sets.length ? "Looking for one more" : "Looking for the next best sets") {
  return !found || found.more ? [el("p", { class: "soft", role: "status" }, says)] : [];
}

// What stands there already stays: a name may be half written.
function add(told) {
  const others = document.getElementById("others");
  const there = found?.sets.length ?? 0;
  found = told;
  others.lastElementChild?.remove();
  others.append(...found.sets.slice(there).map(one), ...looking());
}

let asking = 0;

// The next best sets of the set as it is, wherever they are looked at; an answer that a change overtook is dropped.
async function load() {
  const { revision } = board.state;
  if ((found && !found.more) || asking === revision) return;
  asking = revision;
  if (!found) show("others", ...looking());
  try {
    do {
      const told = await ask(`/sets?most=${(found?.asked ?? 0) + 1}`);
      if (told?.revision !== board.state.revision || revision !== board.state.revision) return;
      add(told);
    } while (found.more);
  } catch (error) {
    if (revision !== board.state.revision) return;
    document.getElementById("others").lastElementChild?.replaceWith(...looking(error.message));
  } finally {
    if (asking === revision) asking = 0;
  }
}

function naming(set) {
  const name = el("input", { type: "text", maxlength: 60, "aria-label": `Name for set ${set.number}`, placeholder: "a name", "data-id": `name-${set.number}` });
  const keep = (event) => {
    event.preventDefault();
    if (name.value.trim()) perform({ do: "name", name: name.value.trim(), number: set.number, revision: found.revision });
  };
  return el("form", { class: "group", onsubmit: keep }, name, el("button", { type: "submit", "data-id": `version-${set.number}` }, "Keep as a version"));
}

function hang(set) {
  perform({ do: "keep", number: set.number, revision: found.revision });
}

function beside(set) {
  return { ...set, name: `set ${set.number}`, more: set.proof, act: { says: "Hang this set", press: () => hang(set) } };
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
    el(
      "div",
      { class: "group" },
      button("Look at both, large", () => lookAtTwo(found.sets.map(beside), set.number - 2), {
        "data-id": `both-${set.number}`,
        "aria-label": `Look at both, large: set ${set.number} and the one on the wall`,
      }),
      button("Hang this set", () => hang(set), { "data-id": `keep-${set.number}`, "aria-label": `Hang this set, number ${set.number}` }),
    ),
    naming(set),
  );
}
