// All frames on one sheet: only the rows in sight are in the page, so that a hundred thousand scroll like a hundred.

import { board, choose, perform } from "./board.js";
import { button, el, show, signed } from "./build.js";
import { allFrames, earnings, wholeList } from "./frames.js";
import { askForAll, drawFilters, narrowed, order } from "./filters.js";
import { rate } from "./rating.js";
import { openReading } from "./read.js";
import { CELL, layOut, lineOf, linesOn, sectionAt, sectionOn, sectionsOf } from "./sections.js";

const BEYOND = 2 * CELL.high; // kept above and below what is in sight

let shown = [];
let sections = [];
let layout = null;
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
  sections = sectionsOf(shown, by.sort === "scene");
  layout = null;
  const again = active ? shown.findIndex((row) => row.frame === active) : -1;
  at = again >= 0 ? again : Math.max(0, Math.min(at, shown.length - 1));
}

export function drawTray() {
  if (!board.state || !allFrames().length) return;
  wire();
  sift();
  show("tray-count", `${shown.length} of ${allFrames().length} frames`);
  const none = document.getElementById("none");
  none.hidden = shown.length > 0;
  if (none.hidden) none.replaceChildren();
  else if (!none.firstChild) none.append("No frame fits all that is asked for here. ", button("Show all frames", all, { "data-id": "show-all" }));
  paint();
}

function all() {
  askForAll();
  document.getElementById("sheet").focus();
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

function laidOut() {
  const across = Math.max(1, Math.floor((document.getElementById("sheet").clientWidth - 8) / CELL.wide));
  if (layout?.across !== across) layout = layOut(sections, across);
  return layout;
}

function paint() {
  const sheet = document.getElementById("sheet");
  const lies = laidOut();
  const wide = (sheet.clientWidth - 8) / lies.across;
  const field = sheet.querySelector(".field") || sheet.appendChild(el("div", { class: "field", role: "presentation" }));
  const there = new Map([...field.querySelectorAll(".cell")].map((cell) => [cell.dataset.name, cell]));
  const parts = new Map([...field.children].map((part) => [part.dataset.name, part]));
  const wanted = [];
  field.style.height = `${lies.high}px`;
  for (let number = sectionAt(lies, "top", sheet.scrollTop - BEYOND); number < lies.sections.length; number += 1) {
    const section = lies.sections[number];
    if (section.top > sheet.scrollTop + sheet.clientHeight + BEYOND) break;
    const part = parts.get(`${section.from} ${section.says}`) || drawPart(section);
    part.style.top = `${section.top}px`;
    part.style.height = `${section.high}px`;
    fill(part, section, there, wide);
    wanted.push(part);
  }
  keepIn(field, wanted);
  if (shown.length) sheet.setAttribute("aria-activedescendant", `cell-${at}`);
  else sheet.removeAttribute("aria-activedescendant");
}

// A scene with its heading, which stays in sight while its frames are; without an order by scene all frames.
function drawPart(section) {
  const name = `${section.from} ${section.says}`;
  if (!section.head) return el("div", { class: "part-of", role: "presentation", "data-name": name });
  const id = `scene-${section.from}`;
  return el("div", { class: "part-of", role: "group", "aria-labelledby": id, "data-name": name }, el("div", { class: "scene", id, role: "presentation" }, section.says));
}

// The cells of a section that are in sight, and a little more.
function fill(part, section, there, wide) {
  const sheet = document.getElementById("sheet");
  const { across } = layout;
  const above = sheet.scrollTop - BEYOND - section.top - section.head;
  const first = Math.max(0, Math.floor(above / CELL.high));
  const last = Math.min(section.lines, Math.ceil((above + sheet.clientHeight + 2 * BEYOND) / CELL.high));
  const wanted = section.head ? [part.firstChild] : [];
  for (let index = section.from + first * across; index < Math.min(section.from + last * across, section.to); index += 1) {
    const own = index - section.from;
    const name = nameOf(shown[index], index, across, wide);
    wanted.push(there.get(name) || placed(draw(shown[index], index), name, section.head + Math.floor(own / across) * CELL.high, (own % across) * wide, wide));
  }
  keepIn(part, wanted);
}

// Put nodes in a place, in order; those that stay are not taken out.
function keepIn(node, wanted) {
  const kept = new Set(wanted);
  for (const one of [...node.children]) if (!kept.has(one)) one.remove();
  for (const [place, one] of wanted.entries()) if (node.children[place] !== one) node.insertBefore(one, node.children[place] || null);
}

// All that a cell shows: a cell that shows the same is kept, so that no picture is fetched or painted twice.
function nameOf(row, index, across, wide) {
  return [row.frame, index, shown.length, across, Math.round(wide), row.turn, index === at, row.frame === board.chosen, words(row)].join(" ");
}

function placed(cell, name, top, left, wide) {
  cell.dataset.name = name;
  cell.style.top = `${top}px`;
  cell.style.left = `${left}px`;
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
  const image = el("img", { alt: "", decoding: "async", draggable: "false", src: `/frame/${row.frame}/240?p=${row.picture}` });
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
  const { section, top } = lineOf(laidOut(), at);
  const above = section.top + top - section.head; // the heading lies over the first line in sight
  const below = section.top + top + CELL.high;
  if (above < sheet.scrollTop) sheet.scrollTop = above;
  if (below > sheet.scrollTop + sheet.clientHeight) sheet.scrollTop = below - sheet.clientHeight;
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
  const lies = laidOut();
  const page = Math.max(1, Math.floor(document.getElementById("sheet").clientHeight / CELL.high));
  const lines = { ArrowUp: -1, ArrowDown: 1, PageUp: -page, PageDown: page };
  const row = shown[at];
  const acts = {
    Enter: () => choose(row.frame, { focus: true }),
    " ": () => openReading(row),
    "+": () => perform({ do: "pin", frame: row.frame }),
    "-": () => perform({ do: "bar", frame: row.frame }),
    "=": () => perform({ do: "free", frame: row.frame }),
    ".": () => rate(row, 1),
    ",": () => rate(row, -1),
    ArrowLeft: () => reach(at - 1),
    ArrowRight: () => reach(at + 1),
    n: () => reach(sectionOn(lies, at, 1)),
    p: () => reach(sectionOn(lies, at, -1)),
    t: () => perform({ do: "turn", frame: row.frame }),
    u: () => fold(row),
    Home: () => reach(0),
    End: () => reach(shown.length - 1),
  };
  if (event.key in lines) reach(linesOn(lies, at, lines[event.key]));
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
