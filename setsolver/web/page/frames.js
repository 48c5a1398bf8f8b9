// The frames as this page knows them: fetched whole once, then only those that a change touched.

import { ask } from "./ask.js";
import { board } from "./board.js";

let frames = [];
let byKey = new Map();
let list = 0;
let whole = 0; // the last list that came whole: others keep its frames
let earns = null; // { revision, earns }

export const allFrames = () => frames;
export const wholeList = () => whole;
export const frameOf = (key) => (key === null ? undefined : byKey.get(key));
export const earnings = () => (earns && earns.revision === board.state.revision ? earns.earns : null);

// Tells whether there was anything to load.
export async function loadFrames() {
  if (board.state.list === list) return false;
  const told = await ask(`/frames?known=${list}`);
  if (!told) return false; // a change overtook it: its own answer asks again
  list = told.list;
  const rows = rowsOf(told.columns);
  if (told.whole) {
    frames = rows;
    byKey = new Map(frames.map((row) => [row.frame, row]));
    whole = list;
  } else {
    for (const row of rows) Object.assign(byKey.get(row.frame), row);
  }
  addTicks();
  return true;
}

function rowsOf(columns) {
  const names = Object.keys(columns);
  return columns.frame.map((_, at) => {
    const row = Object.fromEntries(names.map((name) => [name, columns[name][at]]));
    row.find = `${row.folder}/${row.name} ${row.words}`.toLowerCase();
    return row;
  });
}

// Who ticked what on proof sheets, beside each frame.
export function addTicks() {
  const by = board.state.ticked || {};
  for (const row of frames) row.ticks = by[row.frame] ? by[row.frame].join(", ") : "";
}

export async function loadEarnings() {
  if (!earnings()) earns = await ask("/earnings");
}
