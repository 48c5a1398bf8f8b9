// The board: one state from the server, drawn by the parts; what a person does goes there and comes back as a new state.

import { act, answered, ask, newToken, stop } from "./ask.js";
import { button, el, keepingFocus, points, show } from "./build.js";
import { drawFrame } from "./frame.js";
import { earningsThen } from "./filters.js";
import { drawClients } from "./clients.js";
import { drawFinish } from "./finish.js";
import { first } from "./first.js";
import { addTicks, frameOf, loadFrames } from "./frames.js";
import { waitingStars } from "./rating.js";
import { drawReading } from "./read.js";
import { drawRules } from "./rules.js";
import { drawSets, forgetSets } from "./sets.js";
import { leaveSides, lookAtWall } from "./sides.js";
import { drawTray } from "./tray.js";
import { drawVersions } from "./versions.js";
import { drawWall, fitCalled, previewing, toggleTone, toggleWall } from "./wall.js";
import { drawWeights } from "./weights.js";

export const board = { state: null, chosen: null };
let line = Promise.resolve();
let waiting = 0;
let told = 0; // the last revision that was shown
let waitsFor = ""; // what is said to be waited for
let doing = null; // the token of the act whose answer is waited for
let worksOn = ""; // what the board says that it works out
const OFTEN = 15_000; // milliseconds between two looks for another scan of the catalog
const PATIENCE = 600; // milliseconds after which it is said what is waited for
const WAITS = {
  undo: "Taking it back",
  redo: "Doing it again",
  "take in": "Reading the catalog again",
};

export function choose(frame, { focus = false } = {}) {
  board.chosen = frame;
  previewing(null); // a row that goes away under the pointer never says that it was left
  keepingFocus(() => {
    drawFrame();
    drawWall();
    drawTray();
  });
  if (focus) {
    const panel = document.getElementById("chosen");
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    panel.querySelector("h2")?.focus({ preventScroll: true });
    panel.scrollIntoView({ block: "start", behavior: calm ? "auto" : "smooth" });
  }
}

// Acts wait for each other, in the order in which they were asked for. Tells whether it was done.
export function perform(what) {
  waiting += 1;
  busy();
  line = line.then(async () => {
    const slow = setTimeout(() => drawWorking(WAITS[what.do] ?? "Working out the answer"), PATIENCE);
    doing = newToken();
    try {
      const state = await act(what, doing);
      trouble("");
      await take(state);
      return true;
    } catch (error) {
      trouble(error.message);
      if (board.state) keepingFocus(draw); // a control shows what holds, not what was asked for in vain
      return false;
    } finally {
      clearTimeout(slow);
      doing = null;
      drawWorking("");
      waiting -= 1;
      busy();
    }
  });
  return line;
}

// What a person waits for, as the board tells it, and how to wait no longer; "" = nothing.
function drawWorking(says) {
  waitsFor = says;
  show("working", says && (worksOn || says));
  document.getElementById("stop").disabled = !says;
}

export function trouble(says, ...ways) {
  const node = show("trouble", el("p", {}, says.charAt(0).toUpperCase() + says.slice(1)), ...ways);
  node.hidden = !says;
}

// What another scan of the catalog found while this page is open; taken in where a person wants it.
function drawRescanned(says) {
  const node = document.getElementById("rescanned");
  if ((node.firstChild?.textContent ?? "") === (says ?? "")) return;
  node.hidden = !says;
  if (says) show("rescanned", el("p", {}, says), button("Take it in", () => perform({ do: "take in" }), { "data-id": "take-in" }));
  else show("rescanned");
}

async function lookForScans() {
  if (!board.state || document.hidden || waiting > 0) return;
  try {
    const told = await ask("/rescanned");
    if (told) drawRescanned(told.rescanned);
  } catch {
    // that the board does not answer is said by the stream of events
  }
}

function busy() {
  document.getElementById("main").setAttribute("aria-busy", String(waiting > 0));
}

export async function taken(state) {
  await take(state);
}

async function take(state) {
  board.state = state;
  keepStars();
  addTicks();
  forgetSets();
  if (told !== state.revision) leaveSides();
  told = state.revision;
  keepingFocus(draw); // the set first: the tray may take longer
  if (await loadFrames()) {
    keepStars();
    addTicks();
    keepingFocus(draw);
  }
  earningsThen();
}

// Stars that were given since, and wait to be sent, stand on this page already.
function keepStars() {
  for (const [frame, stars] of waitingStars()) {
    const row = frameOf(frame);
    if (row) row.stars = stars;
  }
}

function draw() {
  drawSet();
  drawParts();
}

function drawSet() {
  const { state } = board;
  document.getElementById("main").dataset.revision = state.revision;
  document.title = `${state.brief.title}: the board`;
  show("title", state.brief.title);
  show("catalog", `${state.catalog}, ${state.frames} frames`);
  show("score", state.set ? `${points(state.set.score)} points` : "No set");
  show("proof", state.looking ?? (state.set ? state.set.proof : "Nothing holds under these rules."));
  show("said", state.looking ? `${state.said} ${state.looking}` : state.said);
  document.getElementById("undo").disabled = state.undo === 0;
  document.getElementById("redo").disabled = state.redo === 0;
  const edited = state.edited ? " The brief was edited since this working copy was begun; the board goes on with the copy." : "";
  show("kept", `Kept at once. Working copy of the brief: ${state.kept}. Choices: ${state.choices}.${edited}`, again(state));
  drawRescanned(state.rescanned);
  drawWall();
  clear();
}

function drawParts() {
  drawFrame();
  drawWeights();
  drawRules();
  drawSets();
  drawVersions();
  drawClients();
  drawFinish();
  drawTray();
  drawReading();
}

// On a narrow page the wall stays above what is scrolled: what gets the focus must not come to lie behind it.
function clear() {
  const wall = document.getElementById("wall");
  const above = getComputedStyle(wall).position === "sticky";
  fitCalled();
  document.documentElement.style.scrollPaddingTop = above ? `${wall.offsetHeight + 8}px` : "8px";
}

function again() {
  const node = document.createElement("button");
  node.type = "button";
  node.dataset.id = "again";
  node.textContent = "Begin again from the brief";
  node.addEventListener("click", () => perform({ do: "begin again" }));
  return node;
}

function keys(event) {
  const typing = ["INPUT", "SELECT", "TEXTAREA"].includes(event.target.tagName) && event.target.type !== "range";
  const key = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && !typing && (key === "z" || key === "y")) {
    event.preventDefault();
    perform({ do: key === "y" || event.shiftKey ? "redo" : "undo" });
  }
  if (key === "c" && !event.ctrlKey && !event.metaKey && !event.altKey && event.target.closest?.("#wall")) toggleTone();
}

// Told by the board when something changed, here or on another page, and how a job goes.
function listen() {
  let lost = false;
  const stream = new EventSource("/events");
  stream.onmessage = async (event) => {
    const told = JSON.parse(event.data);
    if (lost) trouble("");
    lost = false;
    if (!board.state) return;
    worksOn = told.working;
    if (waitsFor) drawWorking(waitsFor);
    keepingFocus(() => drawFinish(told.finish));
    if (waiting > 0 || told.revision === board.state.revision) return;
    const state = await ask(`/board?unless=${board.state.revision}`);
    if (state && waiting === 0) await take(state);
  };
  stream.onerror = () => {
    lost = true;
    trouble("The board does not answer: setsolver was stopped on this machine. What you did is kept; start it again.");
  };
  addEventListener("pagehide", () => stream.close());
}

async function open() {
  if (matchMedia("(max-width: 68rem)").matches) document.getElementById("points").open = false; // the frames come after it
  document.addEventListener("keydown", keys);
  addEventListener("resize", () => board.state && clear());
  document.getElementById("undo").addEventListener("click", () => perform({ do: "undo" }));
  document.getElementById("redo").addEventListener("click", () => perform({ do: "redo" }));
  document.getElementById("stop").addEventListener("click", () => doing && stop(doing));
  document.getElementById("free-all").addEventListener("click", () => perform({ do: "free all" }));
  document.getElementById("tone").addEventListener("click", toggleTone);
  document.getElementById("large").addEventListener("click", lookAtWall);
  document.getElementById("whole").addEventListener("click", toggleWall);
  try {
    board.state = await answered(await first);
    drawSet();
    await new Promise((done) => setTimeout(done)); // its pictures are on their way before all else is drawn
    drawParts();
    busy();
    await loadFrames();
    draw();
  } catch (error) {
    trouble(error.message);
  }
  listen();
  addEventListener("focus", lookForScans);
  setInterval(lookForScans, OFTEN);
}

open();
