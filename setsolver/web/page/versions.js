// Versions: sets kept under a name, and sets side by side with the one on the wall, where preferring one is a choice.

import { ask } from "./ask.js";
import { board, perform, trouble } from "./board.js";
import { because, button, el, points, show, signed } from "./build.js";
import { lookAtTwo } from "./sides.js";
import { address } from "./wall.js";

let found = null; // { revision, versions }
let picked = new Set();

export function drawVersions() {
  const { state } = board;
  document.getElementById("versions").hidden = !state.set && !state.versions.length;
  show("version-count", state.versions.length ? String(state.versions.length) : "");
  const kept = document.activeElement?.dataset?.id === "version-name" ? document.activeElement.value : "";
  const name = el("input", { type: "text", maxlength: 60, "aria-label": "Name of the version", "data-id": "version-name", placeholder: "a name for this set", value: kept });
  const keep = el(
    "form",
    {
      class: "group",
      onsubmit: (event) => {
        event.preventDefault();
        if (name.value.trim()) perform({ do: "name", name: name.value.trim(), revision: board.state.revision }).then(cleared);
      },
    },
    name,
    el("button", { type: "submit", "data-id": "version-keep", disabled: !state.set }, "Keep the wall as a version"),
  );
  if (found && found.revision !== state.revision) found = null;
  const list = state.versions.map((one) => entry(one));
  show("version-list", state.set ? keep : null, ...list, state.versions.length ? compareButton() : null);
  if (found) compare();
  else show("version-table");
}

// A name that was given is no name for the next set.
function cleared(done) {
  const name = document.querySelector("[data-id='version-name']");
  if (done && name) name.value = "";
}

function entry(one) {
  const tick = el("input", { type: "checkbox", "data-id": `pick-${one.version}`, "aria-label": `Compare ${one.name}`, onchange: (event) => (event.target.checked ? picked.add(one.version) : picked.delete(one.version)) });
  tick.checked = picked.has(one.version);
  return el(
    "div",
    { class: "group version" },
    el("label", {}, tick, ` ${one.name}`),
    button("Hang it again", () => perform({ do: "recall", version: one.version }), { "data-id": `recall-${one.version}`, "aria-label": `Hang it again: ${one.name}` }),
    button("Throw it away", () => perform({ do: "forget", version: one.version }), { "data-id": `forget-${one.version}`, "aria-label": `Throw it away: ${one.name}` }),
  );
}

function compareButton() {
  return button("Compare with the wall", load, { "data-id": "compare" });
}

async function load() {
  try {
    found = await ask("/versions");
    if (!found) return;
    compare();
    document.getElementById("version-table").querySelector("h3")?.focus({ preventScroll: true });
  } catch (error) {
    trouble(error.message);
  }
}

function compare() {
  const chosen = found.versions.filter((one) => picked.has(one.version) || !picked.size);
  const best = board.state.set;
  const wall = best ? column("On the wall", best.prints, [el("p", {}, `${points(best.score)} points`)], null) : null;
  show("version-table", el("h3", { tabindex: "-1" }, "Side by side"), el("div", { class: "columns" }, wall, ...chosen.map((one) => version(one, chosen))));
}

function version(one, chosen) {
  if (one.gone.length) return column(one.name, [], [el("p", {}, `${one.gone.join(", ")} left the catalog.`)], null);
  const lines = [
    el("p", {}, one.points === null ? "no points under this brief" : `${signed(one.points)} points by the weights of now`, one.differs.length ? el("span", { class: "soft" }, ` (${because(one.differs.slice(0, 4))})`) : null),
    el("p", { class: "soft" }, `${one.shared} of ${one.prints.length} prints are those on the wall.`),
    one.keys.length ? el("p", { class: "soft" }, `Kept under another brief: ${one.keys.slice(0, 4).join(", ")}${one.keys.length > 4 ? " and more" : ""}.`) : null,
  ];
  const hung = chosen.filter((other) => !other.gone.length);
  const both = board.state.set
    ? button("Look at both, large", () => lookAtTwo(hung.map((other) => beside(other, chosen)), hung.indexOf(one)), { "data-id": `sides-${one.version}`, "aria-label": `Look at both, large: ${one.name} and the wall` })
    : null;
  const press = button("Prefer this one", () => prefer(one, chosen), { "data-id": `prefer-${one.version}`, "aria-label": `Prefer this one: ${one.name}` });
  return column(one.name, one.prints, lines, el("div", { class: "group" }, both, press));
}

// Hang a version; it was preferred to those that were looked at beside it.
function prefer(one, chosen) {
  const over = chosen.map((other) => other.version).filter((key) => key !== one.version);
  perform({ do: "recall", version: one.version, over, wall: true });
}

function beside(one, chosen) {
  return { ...one, more: "", act: { says: "Prefer this one", press: () => prefer(one, chosen) } };
}

function column(name, prints, lines, press) {
  const strip = prints.map((print) => el("img", { alt: `${print.name}, ${print.plays}`, loading: "lazy", src: address(print.picture, 240) }));
  return el("article", { "aria-label": name }, el("h4", {}, name), el("div", { class: "strip" }, ...strip), ...lines.filter(Boolean), press);
}
