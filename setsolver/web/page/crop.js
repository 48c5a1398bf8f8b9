// A print framed by hand: its crop dragged, made larger or smaller and levelled, with tone and pixels that follow.

import { ask } from "./ask.js";
import { board, perform, trouble } from "./board.js";
import { button, el, labelled } from "./build.js";
import { previewing } from "./wall.js";

const STEP = 0.01; // of the frame's side, for an arrow key; ten times as much with Shift
let open = null; // { frame, wish, told, timer }

export function cropEditor(row, print) {
  const holder = el("div", { class: "framing" });
  if (open?.frame !== row.frame) open = null;
  if (open && open.revision !== board.state.revision) open = null;
  draw(holder, row, print);
  return holder;
}

function draw(holder, row, print) {
  if (!open) {
    const byHand = print.by_hand ? button("As measured again", () => perform({ do: "crop", frame: row.frame }), { "data-id": "crop-back" }) : null;
    holder.replaceChildren(
      labelled("Framing", button("Frame it by hand", () => begin(holder, row, print), { "data-id": "crop" }), byHand),
    );
    return;
  }
  const { told } = open;
  const image = el("img", { alt: `The frame ${row.name}, levelled as the print is`, draggable: "false", src: `/frame/${row.frame}/640?p=${row.picture}` });
  image.style.transform = `rotate(${-told.level}deg)`;
  const edge = el("div", {
    class: "edge",
    role: "group",
    tabindex: "0",
    "data-id": "crop-edge",
    "aria-label": "The crop. Arrow keys move it, plus and minus change its size, square brackets turn it.",
    onkeydown: (event) => keys(event, holder, row, print),
    onpointerdown: (event) => drag(event, holder, row, print),
  });
  const stack = el("div", { class: "stack hand" }, image, edge);
  const size = slider("Size", "crop-share", Math.min(told.least, 1), 1, 0.005, told.share, (value) => moved(holder, row, print, { share: value }));
  const level = slider("Level, degrees", "crop-level", -10, 10, 0.1, told.level, (value) => moved(holder, row, print, { level: value }));
  holder.replaceChildren(
    el("h3", {}, "Framed by hand"),
    stack,
    size,
    level,
    el("p", { class: "soft says", role: "status" }),
    el(
      "div",
      { class: "group" },
      button("Keep this framing", () => keep(row), { "data-id": "crop-keep" }),
      button("Leave it", () => leave(holder, row, print), { "data-id": "crop-leave" }),
    ),
  );
  follow(holder, print);
}

async function begin(holder, row, print) {
  try {
    const told = await ask(`/framing/${row.frame}?level=${print.level}&share=${print.share}&x=${middle(print, 0)}&y=${middle(print, 1)}`);
    if (!told) return;
    open = { frame: row.frame, told, revision: board.state.revision, wish: { x: told.x, y: told.y, share: told.share, level: told.level } };
    draw(holder, row, print);
    holder.querySelector("[data-id='crop-edge']").focus();
  } catch (error) {
    trouble(error.message);
  }
}

function middle(print, axis) {
  return Math.min(1, Math.max(0, print.crop[axis] + print.crop[axis + 2] / 2));
}

function slider(label, id, min, max, step, value, change) {
  const number = el("output", {}, value.toFixed(step < 0.1 ? 2 : 1));
  const range = el("input", { type: "range", min, max, step, value: String(value), "data-id": id, "aria-label": label });
  range.addEventListener("input", () => {
    number.textContent = Number(range.value).toFixed(step < 0.1 ? 2 : 1);
    change(Number(range.value));
  });
  return el("div", { class: "group" }, el("span", { class: "label" }, label), range, number);
}

// Ask what the print would be; of many moves in a row only the last is asked for.
function moved(holder, row, print, change) {
  Object.assign(open.wish, change);
  clearTimeout(open.timer);
  open.timer = setTimeout(async () => {
    const asked = open;
    try {
      const query = new URLSearchParams(Object.entries(open.wish).map(([name, value]) => [name, String(Number(value.toFixed(5)))]));
      const told = await ask(`/framing/${row.frame}?${query}`);
      if (!told || open !== asked || !holder.isConnected) return;
      open.told = told;
      Object.assign(open.wish, { x: told.x, y: told.y });
      if (open.wish.share < told.least) {
        shown(holder, "crop-share", told.least, 2); // turned further, the same share has fewer pixels
        moved(holder, row, print, { share: told.least });
        return;
      }
      follow(holder, print);
    } catch (error) {
      trouble(error.message);
    }
  }, 30);
}

// Show what was told: the edge on the levelled frame, the print on the wall, and its numbers.
function follow(holder, print) {
  const { told } = open;
  const [x, y, w, h] = told.box;
  const edge = holder.querySelector(".edge");
  Object.assign(edge.style, { left: `${100 * x}%`, top: `${100 * y}%`, width: `${100 * w}%`, height: `${100 * h}%` });
  holder.querySelector("img").style.transform = `rotate(${-told.level}deg)`;
  const cut = told.keeps ? "" : " The crop cuts what the picture is of.";
  holder.querySelector(".says").textContent = `${Math.round(told.ppi)} pixels per inch; correction: ${told.tone}.${cut}`;
  previewing({ place: print.place, picture: told.picture, says: `${print.name} framed by hand` });
}

function keys(event, holder, row, print) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const by = STEP * (event.shiftKey ? 10 : 1);
  const { wish } = open;
  const moves = {
    ArrowLeft: () => ({ x: inside(wish.x - by) }),
    ArrowRight: () => ({ x: inside(wish.x + by) }),
    ArrowUp: () => ({ y: inside(wish.y - by) }),
    ArrowDown: () => ({ y: inside(wish.y + by) }),
    "+": () => ({ share: Math.min(1, wish.share + by) }),
    "-": () => ({ share: Math.max(Math.min(open.told.least, 1), wish.share - by) }),
    "[": () => ({ level: Math.max(-10, wish.level + 0.1) }),
    "]": () => ({ level: Math.min(10, wish.level - 0.1) }),
    Enter: () => (keep(row), {}),
    Escape: () => (leave(holder, row, print), null),
  };
  if (!(event.key in moves)) return;
  event.preventDefault();
  const change = moves[event.key]();
  if (change && open) {
    moved(holder, row, print, change);
    shown(holder, "crop-share", open.wish.share, 2);
    shown(holder, "crop-level", open.wish.level, 1);
  }
}

function shown(holder, id, value, digits) {
  const range = holder.querySelector(`[data-id='${id}']`);
  if (!range) return;
  range.value = String(value);
  range.nextElementSibling.textContent = value.toFixed(digits);
}

function drag(event, holder, row, print) {
  const stack = holder.querySelector(".stack").getBoundingClientRect();
  const from = { x: event.clientX, y: event.clientY, wish: { ...open.wish } };
  const edge = event.currentTarget;
  edge.setPointerCapture(event.pointerId);
  const move = (now) =>
    moved(holder, row, print, {
      x: inside(from.wish.x + (now.clientX - from.x) / stack.width),
      y: inside(from.wish.y + (now.clientY - from.y) / stack.height),
    });
  const done = () => {
    edge.removeEventListener("pointermove", move);
    edge.removeEventListener("pointerup", done);
  };
  edge.addEventListener("pointermove", move);
  edge.addEventListener("pointerup", done);
  event.preventDefault();
  edge.focus();
}

function inside(value) {
  return Math.max(0, Math.min(1, value));
}

function keep(row) {
  const wish = Object.fromEntries(Object.entries(open.wish).map(([name, value]) => [name, Number(value.toFixed(5))]));
  open = null;
  previewing(null);
  perform({ do: "crop", frame: row.frame, ...wish });
}

function leave(holder, row, print) {
  open = null;
  previewing(null);
  draw(holder, row, print);
  holder.querySelector("[data-id='crop']").focus();
}
