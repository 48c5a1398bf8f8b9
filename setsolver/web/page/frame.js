// The frame that is looked at: what it shows and earns, what can be said of it, and its swaps where it hangs.

import { ask } from "./ask.js";
import { board, choose, perform } from "./board.js";
import { button, el, labelled, points, show } from "./build.js";
import { cropEditor } from "./crop.js";
import { drawSwaps } from "./swaps.js";
import { frameOf } from "./frames.js";

let unfolded = false;
const SCALES = ["wide", "medium", "close"];

export function drawFrame() {
  const panel = document.getElementById("chosen");
  const row = frameOf(board.chosen);
  const print = board.state?.set?.prints.find((one) => one.frame === board.chosen);
  panel.hidden = !row;
  if (!row) {
    panel.replaceChildren();
    return;
  }
  const swaps = el("div", { id: "swaps" });
  show(
    "chosen",
    el(
      "div",
      { class: "head" },
      el("h2", { id: "chosen-head", tabindex: "-1" }, print ? `${print.place}. ${row.name}` : row.name),
      button("Close", () => close(print), { "data-id": "close" }),
    ),
    print ? null : whole(row),
    print ? about(row, print) : facts(row, print),
    print ? cropEditor(row, print) : null,
    wishes(row),
    seats(row),
    stars(row),
    shows(row),
    lies(row),
    answer(row),
    swaps,
  );
  if (print) drawSwaps(swaps, print);
}

function close(print) {
  choose(null);
  const back = print ? document.querySelector(`[data-place="${print.place}"]`) : document.getElementById("sheet");
  back?.focus();
}

function whole(row) {
  return el("img", { class: "whole", alt: `The frame ${row.name}`, src: `/frame/${row.frame}/640?p=${row.picture}` });
}

// Folded away for a print, so that what could hang in its place is near; as it was left for the next one.
function about(row, print) {
  const fold = el("details", { class: "about", ontoggle: () => (unfolded = fold.open) }, el("summary", { "data-id": "about" }, `Earns ${points(print.earns)} points; how it is printed`), cropped(row, print), facts(row, print));
  fold.open = unfolded;
  return fold;
}

// The print's crop on the whole frame, where the frame is not levelled: what was cut away is veiled.
function cropped(row, print) {
  if (print.level !== 0) return null;
  const [x, y, w, h] = print.crop;
  const edge = el("div", { class: "edge" });
  Object.assign(edge.style, { left: `${100 * x}%`, top: `${100 * y}%`, width: `${100 * w}%`, height: `${100 * h}%` });
  const image = el("img", { alt: `The whole frame ${row.name} with the crop of the print`, loading: "lazy", src: `/frame/${row.frame}/640?p=${row.picture}` });
  return el("div", { class: "stack" }, image, edge);
}

function facts(row, print) {
  const list = el("dl", { class: "facts" });
  const add = (name, value) => list.append(el("div", {}, el("dt", {}, name), el("dd", {}, value)));
  if (print) {
    for (const line of print.lines) add(`${line.rule} ${points(line.points)}`, line.says);
    add("Plays", `${print.plays}, ${print.aspect}, ${print.print_cm} cm at ${Math.round(print.ppi)} pixels per inch`);
    add("Correction", print.tone);
    if (print.level !== 0) add("Levelled", `by ${Math.abs(print.level).toFixed(1)} degrees ${print.level > 0 ? "counter-clockwise" : "clockwise"}`);
  } else {
    add("Shows", row.said ? `${row.said}, as you say` : `${row.shows}, ${Math.round(100 * row.sure)} % sure`);
    if (row.appeal !== null) add("Appeal", `${row.appeal.toFixed(1)} of 5`);
  }
  add("Taken", row.taken);
  add("File", row.folder ? `${row.folder}/${row.name}` : row.name);
  return list;
}

function wishes(row) {
  const pinned = board.state.pinned.includes(row.frame);
  const barred = board.state.barred.includes(row.frame);
  const says = pinned ? "In the set" : barred ? "Out of the set" : "In or out";
  const buttons = [
    button("Pin", () => perform({ do: "pin", frame: row.frame }), { "data-id": "pin", "aria-pressed": pinned }),
    button("Bar", () => perform({ do: "bar", frame: row.frame }), { "data-id": "bar", "aria-pressed": barred }),
    button("Free", () => perform({ do: "free", frame: row.frame }), { "data-id": "free", disabled: !pinned && !barred }),
  ];
  if (row.folder) {
    const folder = row.folder.split("/").pop();
    buttons.push(button(`Bar all of ${folder}`, () => perform({ do: "bar", frame: row.frame, folder: true }), { "data-id": "bar-folder" }));
  }
  return labelled(says, ...buttons);
}

// A slot that the frame is pinned to; only where the brief has several.
function seats(row) {
  const { slots, seated } = board.state;
  if (slots.length < 2) return null;
  const buttons = slots.map((slot) =>
    button(slot.name, () => perform({ do: "pin", frame: row.frame, slot: slot.name }), {
      "data-id": `seat-${slot.name}`,
      "aria-pressed": seated[row.frame] === slot.name,
      "aria-label": `Pin it as ${slot.name}`,
    }),
  );
  return labelled("Pin it as", ...buttons);
}

function stars(row) {
  const buttons = [0, 1, 2, 3, 4, 5].map((count) =>
    button(String(count), () => perform({ do: "rate", frame: row.frame, stars: count }), {
      "data-id": `stars-${count}`,
      "aria-pressed": row.stars === count,
      "aria-label": `${count} of 5 stars`,
    }),
  );
  buttons.push(
    button("None", () => perform({ do: "rate", frame: row.frame, stars: null }), {
      "data-id": "stars-none",
      "aria-pressed": row.stars === null,
      "aria-label": "None, no stars of yours",
    }),
  );
  return labelled("Stars", ...buttons);
}

function shows(row) {
  const scales = SCALES.map((scale) =>
    button(scale, () => perform({ do: "rescale", frame: row.frame, scale }), { "data-id": `scale-${scale}`, "aria-pressed": row.said === scale }),
  );
  scales.push(
    button("as measured", () => perform({ do: "rescale", frame: row.frame, scale: null }), { "data-id": "scale-none", "aria-pressed": row.said === null }),
  );
  return labelled("It shows", ...scales);
}

function lies(row) {
  return labelled("It lies", button("Turn a quarter clockwise", () => perform({ do: "turn", frame: row.frame }), { "data-id": "turn" }));
}

function answer(row) {
  const says = el("p", { class: "soft", role: "status" });
  const question = board.state.set?.prints.some((one) => one.frame === row.frame) ? "What would the set be without it?" : "What would it cost?";
  const press = async () => {
    says.textContent = "Asking";
    try {
      const why = await ask(`/why/${row.frame}`);
      if (!why) return;
      const change = [];
      if (why.leave.length) change.push(`${why.leave.join(", ")} would leave`);
      if (why.enter.length) change.push(`${why.enter.join(", ")} would come in`);
      says.textContent = `${why.says} ${change.join(", ")}${change.length ? "." : ""}`;
    } catch (error) {
      says.textContent = error.message;
    }
  };
  return el("div", { class: "ask" }, button(question, press, { "data-id": "why" }), says);
}
