// What of the tray is shown, and in which order.

import { board, trouble } from "./board.js";
import { el, show } from "./build.js";
import { allFrames, earnings, loadEarnings } from "./frames.js";
import { drawTray, fromStart } from "./tray.js";

const filter = { text: "", shows: "", wish: "", stars: "", kind: "", chapter: "", scene: "", sort: "appeal", repeats: "folded" };
let drawn = null; // the frames that the controls were drawn for

// Ask for every frame again, in the order that was chosen.
export function askForAll() {
  Object.assign(filter, { text: "", shows: "", wish: "", stars: "", kind: "", chapter: "", scene: "" });
  drawn = null;
  fromStart();
}

export const order = () => ({ ...filter });

const byName = (a, b) => (a.find < b.find ? -1 : a.find > b.find ? 1 : 0);
const down = (key) => (a, b) => (b[key] ?? -1) - (a[key] ?? -1);
const byTime = (a, b) => (a.time === b.time ? 0 : (a.time ?? Infinity) - (b.time ?? Infinity)) || byName(a, b);
const earned = (row) => earnings()?.[row.frame] ?? -Infinity;
const ORDERS = {
  appeal: down("appeal"),
  quality: down("quality"),
  scene: (a, b) => begins(a) - begins(b) || a.scene - b.scene || byTime(a, b),
  time: byTime,
  earns: (a, b) => earned(b) - earned(a) || down("appeal")(a, b),
  stars: (a, b) => down("stars")(a, b) || down("appeal")(a, b),
  name: byName,
};

let starts = new Map();
const begins = (row) => (row.scene < 0 ? Number.MAX_VALUE : starts.get(row.scene));

// When each scene begins; one without a time comes after those that have one, frames in no scene last.
function startsOf(frames) {
  const found = new Map();
  for (const row of frames) found.set(row.scene, Math.min(found.get(row.scene) ?? Number.MAX_SAFE_INTEGER, row.time ?? Number.MAX_SAFE_INTEGER));
  return found;
}

// Return the frames that fit, in order; of repeats the first alone unless they were unfolded.
export function narrowed(frames, lists, unfolded) {
  const words = filter.text.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (row) =>
    (!filter.shows || (row.said ?? row.shows) === filter.shows) &&
    (!filter.wish || (filter.wish === "ticked" ? Boolean(row.ticks) : lists[filter.wish].has(row.frame))) &&
    (filter.stars === "" || (filter.stars === "none" ? row.stars === null : (row.stars ?? -1) >= Number(filter.stars))) &&
    (!filter.kind || row.kind === filter.kind) &&
    (filter.chapter === "" || row.chapter === Number(filter.chapter)) &&
    (filter.scene === "" || row.scene === Number(filter.scene)) &&
    words.every((word) => row.find.includes(word));
  if (filter.sort === "scene") starts = startsOf(frames);
  const found = frames.filter(fits).sort(ORDERS[filter.sort]);
  for (const row of found) row.hidden = 0;
  return filter.repeats === "folded" ? folded(found, lists, unfolded) : found;
}

// A frame on the wall, pinned, barred or rated is never folded away: what was decided of it must be seen.
function folded(found, lists, unfolded) {
  const first = new Map();
  const kept = [];
  for (const row of found) {
    const decided = lists.hung.has(row.frame) || lists.pinned.has(row.frame) || lists.barred.has(row.frame) || row.stars !== null;
    const before = first.get(row.fold);
    if (before && !decided && !unfolded.has(row.fold)) before.hidden += 1;
    else {
      kept.push(row);
      if (!before) first.set(row.fold, row);
    }
  }
  return kept;
}

export function drawFilters() {
  const frames = allFrames();
  if (drawn && drawn.count === frames.length && drawn.list === key()) return;
  drawn = { count: frames.length, list: key() };
  const some = (name) => [...new Set(frames.map((row) => row[name]))].filter((value) => value >= 0).sort((a, b) => a - b);
  const numbered = (name, one) => [["", "all"], ...some(name).map((value) => [String(value), `${one} ${value + 1}`])];
  const kinds = [...new Set(frames.map((row) => row.kind))].sort();
  const ticks = Object.keys(board.state.ticked || {}).length ? [["ticked", "ticked by clients"]] : [];
  show(
    "filters",
    field("Find", el("input", { type: "search", "data-id": "find", "aria-description": "Looks in names, folders and keywords", value: filter.text, placeholder: "name or keyword", oninput: set("text") })),
    choice("Shows", "shows", [["", "anything"], ["wide", "wide"], ["medium", "medium"], ["close", "close"]]),
    choice("Chapter", "chapter", numbered("chapter", "chapter")),
    choice("Scene", "scene", numbered("scene", "scene")),
    choice("Stars", "stars", [["", "any"], ["none", "none yet"], ...[1, 2, 3, 4, 5].map((n) => [String(n), `${n} or more`])]),
    choice("Kind", "kind", [["", "any"], ...kinds.map((kind) => [kind, kind])]),
    choice("Only", "wish", [["", "all"], ["hung", "on the wall"], ["pinned", "pinned"], ["barred", "barred"], ...ticks]),
    choice("Repeats", "repeats", [["folded", "folded"], ["all", "all shown"]]),
    choice("Order", "sort", [
      ["appeal", "most appeal first"],
      ["quality", "best quality first"],
      ["earns", "would earn most first"],
      ["scene", "scene by scene"],
      ["time", "as taken"],
      ["stars", "most stars first"],
      ["name", "by name"],
    ]),
  );
}

function key() {
  return Object.keys(board.state.ticked || {}).length;
}

function field(label, control) {
  return el("label", {}, el("span", {}, label), control);
}

function choice(label, name, options) {
  const control = el("select", { "data-id": `filter-${name}`, onchange: set(name) }, ...options.map(([value, text]) => el("option", { value }, text)));
  if (options.every(([value]) => value !== filter[name])) filter[name] = options[0][0];
  control.value = filter[name];
  return field(label, control);
}

function set(name) {
  return (event) => {
    filter[name] = event.target.value;
    if (filter.sort === "earns") earningsThen();
    fromStart();
  };
}

// Points of a set that has changed are asked for anew, where the order rests on them.
export function earningsThen() {
  if (filter.sort !== "earns" || earnings()) return;
  loadEarnings().then(drawTray, (error) => trouble(error.message));
}
