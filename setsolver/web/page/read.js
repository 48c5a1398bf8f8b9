// One frame at a time, large: for reading through a shoot and giving stars as fast as one looks.

import { board, perform } from "./board.js";
import { button, el } from "./build.js";
import { frameOf } from "./frames.js";
import { give, rate } from "./rating.js";
import { besides, peek } from "./tray.js";

let dialog = null;
let row = null;

export function openReading(first) {
  row = first;
  if (!dialog) {
    dialog = el("dialog", { class: "reading", "aria-labelledby": "reading-name", onkeydown: keys, onclose: close });
    document.body.append(dialog);
  }
  draw();
  dialog.showModal();
  dialog.querySelector("[data-id='read-next']").focus();
}

export function drawReading() {
  if (dialog?.open && row) {
    row = frameOf(row.frame) || row;
    say();
  }
}

function close() {
  document.getElementById("sheet").focus();
}

function address(one) {
  return `/frame/${one.frame}/1400?p=${one.picture}`;
}

function draw() {
  const image = el("img", { alt: `The frame ${row.name}`, src: address(row) });
  dialog.replaceChildren(
    el("div", { class: "head" }, el("h2", { id: "reading-name" }), button("Close", () => dialog.close(), { "data-id": "read-close" })),
    el("div", { class: "plate" }, image),
    el("p", { class: "state", role: "status" }),
    el(
      "div",
      { class: "group" },
      button("Before", () => go(-1), { "data-id": "read-before" }),
      button("Next", () => go(1), { "data-id": "read-next" }),
      ...[0, 1, 2, 3, 4, 5].map((stars) => button(String(stars), () => starred(stars), { "data-id": `read-${stars}`, "aria-label": `${stars} of 5 stars` })),
      button("Pin", () => perform({ do: "pin", frame: row.frame }), { "data-id": "read-pin" }),
      button("Bar", () => perform({ do: "bar", frame: row.frame }), { "data-id": "read-bar" }),
    ),
    el("p", { class: "soft" }, el("kbd", {}, "."), " and ", el("kbd", {}, ","), " give a star more or less, arrow keys go on and back, ", el("kbd", {}, "+"), " pins, ", el("kbd", {}, "-"), " bars, Escape closes."),
  );
  say();
  for (const by of [1, 2]) ahead(by);
}

// The next pictures are fetched while this one is looked at.
function ahead(by) {
  const next = peek(row.frame, by);
  if (next) new Image().src = address(next);
}

function say() {
  const pinned = board.state.pinned.includes(row.frame);
  const barred = board.state.barred.includes(row.frame);
  const stars = row.stars === null ? "no stars" : `${row.stars} of 5 stars`;
  dialog.querySelector("#reading-name").textContent = row.name;
  dialog.querySelector(".state").textContent = [row.said ?? row.shows, stars, pinned ? "pinned" : "", barred ? "barred" : "", row.scene < 0 ? "" : `scene ${row.scene + 1}`, row.taken].filter(Boolean).join(", ");
  for (const node of dialog.querySelectorAll("[data-id^='read-']")) {
    const value = node.dataset.id.slice(5);
    if (/^[0-5]$/.test(value)) node.setAttribute("aria-pressed", String(row.stars === Number(value)));
  }
}

function starred(stars) {
  give(row, stars);
  say();
}

function go(by) {
  const next = besides(row.frame, by);
  if (!next) return;
  const focused = document.activeElement?.dataset?.id;
  row = next;
  draw();
  dialog.querySelector(`[data-id='${focused || "read-next"}']`)?.focus();
}

function keys(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const acts = {
    ArrowRight: () => go(1),
    ArrowDown: () => go(1),
    ArrowLeft: () => go(-1),
    ArrowUp: () => go(-1),
    ".": () => (rate(row, 1), say()),
    ",": () => (rate(row, -1), say()),
    "+": () => perform({ do: "pin", frame: row.frame }),
    "-": () => perform({ do: "bar", frame: row.frame }),
    "=": () => perform({ do: "free", frame: row.frame }),
  };
  if (!(event.key in acts)) return;
  acts[event.key]();
  event.preventDefault();
}
