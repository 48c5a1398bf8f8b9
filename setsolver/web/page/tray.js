// All frames on one sheet: only the rows in sight are in the page, so that a hundred thousand scroll like a hundred.

import { ask } from "./ask.js";
import { board, choose, perform, trouble } from "./board.js";
import { el, show } from "./build.js";

const CELL = { wide: 168, high: 158 };
const BEYOND = 2; // rows kept above and below those in sight
const PAUSE = 400; // milliseconds in which further stars count as one rating

const filter = { text: "", shows: "", wish: "", stars: "", sort: "appeal" };
let frames = [];
let byKey = new Map();
let shown = [];
let at = 0;
let wired = false;
let rating = null;

export function frameOf(key) {
  return key === null ? undefined : byKey.get(key);
}

export async function loadFrames() {
  try {
    frames = (await ask("/frames")).frames;
    byKey = new Map(frames.map((row) => [row.frame, row]));
  } catch (error) {
    trouble(error.message);
  }
}

const ORDERS = {
  appeal: (a, b) => (b.appeal ?? 0) - (a.appeal ?? 0),
  time: (a, b) => (a.time ?? Infinity) - (b.time ?? Infinity) || a.words.localeCompare(b.words),
  stars: (a, b) => (b.stars ?? -1) - (a.stars ?? -1) || (b.appeal ?? 0) - (a.appeal ?? 0),
  name: (a, b) => a.words.localeCompare(b.words),
};

function sift() {
  const { state } = board;
  const hung = new Set(state.set ? state.set.prints.map((print) => print.frame) : []);
  const lists = { hung, pinned: new Set(state.pinned), barred: new Set(state.barred) };
  const words = filter.text.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (row) =>
    (!filter.shows || (row.said ?? row.shows) === filter.shows) &&
    (!filter.wish || lists[filter.wish].has(row.frame)) &&
    (filter.stars === "" || (row.stars ?? -1) >= Number(filter.stars)) &&
    words.every((word) => row.words.includes(word));
  const active = shown[at]?.frame;
  shown = frames.filter(fits).sort(ORDERS[filter.sort]);
  const again = active ? shown.findIndex((row) => row.frame === active) : -1;
  at = again >= 0 ? again : Math.max(0, Math.min(at, shown.length - 1));
  return lists;
}

let lists = null;

export function drawTray() {
  if (!board.state || !frames.length) return;
  wire();
  lists = sift();
  show("tray-count", `${shown.length} of ${frames.length} frames`);
  paint();
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
  const field = el("div", { class: "field", role: "presentation" });
  field.style.height = `${rows * CELL.high}px`;
  const wide = (sheet.clientWidth - 8) / across;
  for (let index = first * across; index < Math.min(last * across, shown.length); index += 1) {
    const cell = draw(shown[index], index);
    cell.style.top = `${Math.floor(index / across) * CELL.high}px`;
    cell.style.left = `${(index % across) * wide}px`;
    cell.style.width = `${wide - 8}px`;
    field.append(cell);
  }
  sheet.replaceChildren(field);
  if (shown.length) sheet.setAttribute("aria-activedescendant", `cell-${at}`);
  else sheet.removeAttribute("aria-activedescendant");
}

function draw(row, index) {
  const marks = [];
  if (lists.hung.has(row.frame)) marks.push("on the wall");
  if (lists.pinned.has(row.frame)) marks.push("pinned");
  if (lists.barred.has(row.frame)) marks.push("barred");
  const stars = row.stars === null ? "" : `${row.stars} of 5 stars`;
  return el(
    "div",
    {
      id: `cell-${index}`,
      role: "option",
      class: ["cell", index === at ? "at" : "", row.frame === board.chosen ? "on" : "", lists.barred.has(row.frame) ? "barred" : ""].join(" "),
      "aria-selected": String(row.frame === board.chosen),
      "aria-setsize": shown.length,
      "aria-posinset": index + 1,
      onclick: () => {
        at = index;
        choose(row.frame, { focus: true });
      },
    },
    el("img", { alt: "", decoding: "async", src: `/frame/${row.frame}/240?t=${row.turn}` }),
    el("span", { class: "name" }, row.name),
    el("span", { class: "soft" }, [row.said ?? row.shows, stars, ...marks].filter(Boolean).join(", ")),
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

function keys(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || !shown.length) return;
  const across = columns();
  const page = Math.max(1, Math.floor(document.getElementById("sheet").clientHeight / CELL.high)) * across;
  const moves = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -across, ArrowDown: across, PageUp: -page, PageDown: page };
  const row = shown[at];
  const acts = {
    Enter: () => choose(row.frame, { focus: true }),
    "+": () => perform({ do: "pin", frame: row.frame }),
    "-": () => perform({ do: "bar", frame: row.frame }),
    "=": () => perform({ do: "free", frame: row.frame }),
    ".": () => rate(row, 1),
    ",": () => rate(row, -1),
    t: () => perform({ do: "turn", frame: row.frame }),
    Home: () => reach(0),
    End: () => reach(shown.length - 1),
  };
  if (event.key in moves) reach(at + moves[event.key]);
  else if (event.key in acts) acts[event.key]();
  else return;
  event.preventDefault();
}

function rate(row, by) {
  row.stars = Math.max(0, Math.min(5, (row.stars ?? 0) + by));
  paint();
  if (rating && rating.row !== row) send();
  if (rating) clearTimeout(rating.timer);
  rating = { row, timer: setTimeout(send, PAUSE) };
}

function send() {
  const { row, timer } = rating;
  clearTimeout(timer);
  rating = null;
  perform({ do: "rate", frame: row.frame, stars: row.stars });
}

function wire() {
  if (wired) return;
  wired = true;
  const sheet = document.getElementById("sheet");
  sheet.addEventListener("keydown", keys);
  sheet.addEventListener("scroll", () => requestAnimationFrame(paint), { passive: true });
  addEventListener("resize", () => requestAnimationFrame(paint));
  show(
    "filters",
    field("Find", el("input", { type: "search", "data-id": "find", placeholder: "name, folder or keyword", oninput: set("text") })),
    field("Shows", choice("shows", [["", "anything"], ["wide", "wide"], ["medium", "medium"], ["close", "close"]])),
    field("Only", choice("wish", [["", "all"], ["hung", "on the wall"], ["pinned", "pinned"], ["barred", "barred"]])),
    field("Stars", choice("stars", [["", "any or none"], ...[1, 2, 3, 4, 5].map((n) => [String(n), `${n} or more`])])),
    field("Order", choice("sort", [["appeal", "most appeal first"], ["time", "as taken"], ["stars", "most stars first"], ["name", "by name"]])),
  );
}

function field(label, control) {
  return el("label", {}, el("span", {}, label), control);
}

function choice(name, options) {
  return el("select", { "data-id": `filter-${name}`, onchange: set(name) }, ...options.map(([value, text]) => el("option", { value }, text)));
}

function set(name) {
  return (event) => {
    filter[name] = event.target.value;
    at = 0;
    document.getElementById("sheet").scrollTop = 0;
    drawTray();
  };
}
