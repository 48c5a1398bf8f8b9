// All frames on one sheet: only the rows in sight are in the page, so that a hundred thousand scroll like a hundred.

import { board, choose, perform } from "./board.js";
import { el, show, signed } from "./build.js";
import { allFrames, earnings, wholeList } from "./frames.js";
import { drawFilters, narrowed, order } from "./filters.js";
import { rate } from "./rating.js";
import { openReading } from "./read.js";

const CELL = { wide: 168, high: 158 };
const BEYOND = 2; // rows kept above and below those in sight

let shown = [];
let at = 0;
let wired = false;
let lists = null;
let lastSift = null; // what the list was made for: while a person rates, no frame moves or goes away under them
const unfolded = new Set(); // leaders whose repeats are shown

function sift() {
  const { state } = board;
  const hung = new Set(state.set ? state.set.prints.map((print) => print.frame) : []);
  lists = { hung, pinned: new Set(state.pinned), barred: new Set(state.barred) };
  const by = order();
  const listed = by.wish ? state.revision : 0;
  const made = { list: wholeList(), listed, ...by, open: unfolded.size, earns: by.sort === "earns" ? earnings() : null };
  if (lastSift && Object.keys(made).every((key) => made[key] === lastSift[key])) return;
  lastSift = made;
  const active = shown[at]?.frame;
  shown = narrowed(allFrames(), lists, unfolded);
  const again = active ? shown.findIndex((row) => row.frame === active) : -1;
  at = again >= 0 ? again : Math.max(0, Math.min(at, shown.length - 1));
}

export function drawTray() {
  if (!board.state || !allFrames().length) return;
  wire();
  sift();
  show("tray-count", `${shown.length} of ${allFrames().length} frames`);
  paint();
}

export function fromStart() {
  at = 0;
  document.getElementById("sheet").scrollTop = 0;
  drawTray();
}

// The frame after or before one in the order shown; for those who read frame by frame.
export function besides(frame, by) {
  const index = shown.findIndex((row) => row.frame === frame);
  const next = shown[index + by];
  if (index < 0 || !next) return null;
  reach(index + by);
  return next;
}

export function peek(frame, by) {
  return shown[shown.findIndex((row) => row.frame === frame) + by] || null;
}

function columns() {
  return Math.max(1, Math.floor((document.getElementById("sheet").clientWidth - 8) / CELL.wide));
}

function paint() {
  const sheet = document.getElementById("sheet");
  const across = columns();
  const rows = Math.ceil(shown.length / across);
  const first = Math.max(0, Math.floor(sheet.scrollTop / CELL.high) - BEYOND);
  const last = Math.min(rows, Math.ceil((sheet.scrollTop + sheet.clientHeight) / CELL.high) + BEYOND);
  const wide = (sheet.clientWidth - 8) / across;
  const field = sheet.querySelector(".field") || sheet.appendChild(el("div", { class: "field", role: "presentation" }));
  const there = new Map([...field.children].map((cell) => [cell.dataset.name, cell]));
  field.style.height = `${rows * CELL.high}px`;
  const wanted = [];
  for (let index = first * across; index < Math.min(last * across, shown.length); index += 1) {
    const name = nameOf(shown[index], index, across, wide);
    const cell = there.get(name) || placed(draw(shown[index], index), name, index, across, wide);
    wanted.push(cell);
    there.delete(name);
  }
  for (const cell of there.values()) cell.remove();
  for (const [place, cell] of wanted.entries()) if (field.children[place] !== cell) field.insertBefore(cell, field.children[place] || null);
  if (shown.length) sheet.setAttribute("aria-activedescendant", `cell-${at}`);
  else sheet.removeAttribute("aria-activedescendant");
}

// All that a cell shows: a cell that shows the same is kept, so that no picture is fetched or painted twice.
function nameOf(row, index, across, wide) {
  return [row.frame, index, shown.length, across, Math.round(wide), row.turn, index === at, row.frame === board.chosen, words(row)].join(" ");
}

function placed(cell, name, index, across, wide) {
  cell.dataset.name = name;
  cell.style.top = `${Math.floor(index / across) * CELL.high}px`;
  cell.style.left = `${(index % across) * wide}px`;
  cell.style.width = `${wide - 8}px`;
  return cell;
}

function words(row) {
  const marks = [row.said ?? row.shows];
  if (row.stars !== null) marks.push(`${row.stars} of 5 stars`);
  if (lists.hung.has(row.frame)) marks.push("on the wall");
  if (lists.pinned.has(row.frame)) marks.push("pinned");
  if (lists.barred.has(row.frame)) marks.push("barred");
  const earned = earnings()?.[row.frame];
  if (order().sort === "earns" && earned !== undefined && !lists.hung.has(row.frame)) marks.push(`${signed(earned)} points`);
  if (row.ticks) marks.push(`ticked by ${row.ticks}`);
  if (row.hidden) marks.push(`${row.hidden} like it`);
  return marks.filter(Boolean).join(", ");
}

function draw(row, index) {
  const image = el("img", { alt: "", decoding: "async", draggable: "false", src: `/frame/${row.frame}/240?t=${row.turn}` });
  image.addEventListener("error", () => image.replaceWith(el("span", { class: "gone" }, "cannot be read")));
  return el(
    "div",
    {
      id: `cell-${index}`,
      role: "option",
      draggable: "true",
      class: ["cell", index === at ? "at" : "", row.frame === board.chosen ? "on" : "", lists.barred.has(row.frame) ? "barred" : ""].join(" "),
      "aria-selected": String(row.frame === board.chosen),
      "aria-setsize": shown.length,
      "aria-posinset": index + 1,
      onclick: () => {
        at = index;
        choose(row.frame, { focus: true });
      },
      ondragstart: (event) => {
        event.dataTransfer.setData("application/x-setsolver-frame", row.frame);
        event.dataTransfer.effectAllowed = "copy";
      },
    },
    image,
    el("span", { class: "name" }, row.name),
    el("span", { class: "soft" }, words(row)),
  );
}

function reach(index) {
  at = Math.max(0, Math.min(index, shown.length - 1));
  const sheet = document.getElementById("sheet");
  const top = Math.floor(at / columns()) * CELL.high;
  if (top < sheet.scrollTop) sheet.scrollTop = top;
  if (top + CELL.high > sheet.scrollTop + sheet.clientHeight) sheet.scrollTop = top + CELL.high - sheet.clientHeight;
  paint();
}

function fold(row) {
  const leader = row.fold;
  if (unfolded.has(leader)) unfolded.delete(leader);
  else unfolded.add(leader);
  lastSift = null;
  drawTray();
  const index = shown.findIndex((one) => one.frame === leader);
  if (index >= 0) reach(index);
}

function keys(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || !shown.length) return;
  const across = columns();
  const page = Math.max(1, Math.floor(document.getElementById("sheet").clientHeight / CELL.high)) * across;
  const moves = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -across, ArrowDown: across, PageUp: -page, PageDown: page };
  const row = shown[at];
  const acts = {
    Enter: () => choose(row.frame, { focus: true }),
    " ": () => openReading(row),
    "+": () => perform({ do: "pin", frame: row.frame }),
    "-": () => perform({ do: "bar", frame: row.frame }),
    "=": () => perform({ do: "free", frame: row.frame }),
    ".": () => rate(row, 1),
    ",": () => rate(row, -1),
    t: () => perform({ do: "turn", frame: row.frame }),
    u: () => fold(row),
    Home: () => reach(0),
    End: () => reach(shown.length - 1),
  };
  if (event.key in moves) reach(at + moves[event.key]);
  else if (event.key in acts) acts[event.key]();
  else return;
  event.preventDefault();
}

function wire() {
  drawFilters();
  if (wired) return;
  wired = true;
  const sheet = document.getElementById("sheet");
  let waiting = false;
  const soon = () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      paint();
    });
  };
  sheet.addEventListener("keydown", keys);
  sheet.addEventListener("scroll", soon, { passive: true });
  addEventListener("resize", soon);
  document.getElementById("read").addEventListener("click", () => shown[at] && openReading(shown[at]));
}

export function repaint() {
  if (board.state && allFrames().length) paint();
}
