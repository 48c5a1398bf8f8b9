// The board: one state from the server, drawn by the parts; what a person does goes there and comes back as a new state.

import { ask, act } from "./ask.js";
import { keepingFocus, points, show } from "./build.js";
import { drawFrame } from "./frame.js";
import { drawSets, forgetSets } from "./sets.js";
import { drawTray, loadFrames } from "./tray.js";
import { drawWall, toggleTone } from "./wall.js";
import { drawRules, drawWeights } from "./weights.js";

const EVERY = 2000; // milliseconds between looks for what another page did

export const board = { state: null, chosen: null };
let line = Promise.resolve();
let waiting = 0;

export function choose(frame, { focus = false } = {}) {
  board.chosen = frame;
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

// Acts wait for each other, in the order in which they were asked for.
export function perform(what, then) {
  waiting += 1;
  busy();
  line = line.then(async () => {
    try {
      const state = await act(what);
      trouble("");
      if (then) then(state);
      await take(state, ["rate", "turn", "rescale", "undo", "redo"].includes(what.do));
    } catch (error) {
      trouble(error.message);
    } finally {
      waiting -= 1;
      busy();
    }
  });
  return line;
}

export function trouble(says) {
  const node = show("trouble", says);
  node.hidden = !says;
}

function busy() {
  document.getElementById("main").setAttribute("aria-busy", String(waiting > 0));
}

async function take(state, frames) {
  if (frames) await loadFrames();
  board.state = state;
  forgetSets();
  keepingFocus(draw);
}

function draw() {
  const { state } = board;
  document.getElementById("main").dataset.revision = state.revision;
  document.title = `${state.brief.title}: the board`;
  show("title", state.brief.title);
  show("catalog", `${state.catalog}, ${state.frames} frames`);
  show("score", state.set ? `${points(state.set.score)} points` : "No set");
  show("proof", state.set ? state.set.proof : "Nothing holds under these rules.");
  show("said", state.said);
  document.getElementById("undo").disabled = state.undo === 0;
  document.getElementById("redo").disabled = state.redo === 0;
  const edited = state.edited ? " The brief was edited since this working copy was begun; the board goes on with the copy." : "";
  show("kept", `Kept at once. Working copy of the brief: ${state.kept}. Choices: ${state.choices}.${edited}`, again(state));
  drawWall();
  clear();
  drawFrame();
  drawWeights();
  drawRules();
  drawSets();
  drawTray();
}

// On a narrow page the wall stays above what is scrolled: what gets the focus must not come to lie behind it.
function clear() {
  const wall = document.getElementById("wall");
  const above = wall.offsetWidth > 0.8 * document.getElementById("main").offsetWidth && getComputedStyle(wall).position === "sticky";
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

async function look() {
  if (document.hidden || waiting > 0 || !board.state) return;
  try {
    const state = await ask(`/board?unless=${board.state.revision}`);
    if (state && waiting === 0) await take(state, true);
  } catch {
    trouble("The board does not answer: setsolver was stopped on this machine. What you did is kept; start it again.");
  }
}

async function open() {
  document.addEventListener("keydown", keys);
  addEventListener("resize", () => board.state && clear());
  document.getElementById("undo").addEventListener("click", () => perform({ do: "undo" }));
  document.getElementById("redo").addEventListener("click", () => perform({ do: "redo" }));
  document.getElementById("tone").addEventListener("click", toggleTone);
  try {
    board.state = await ask("/board");
    draw();
    busy();
    await loadFrames();
    drawTray();
    drawFrame();
  } catch (error) {
    trouble(error.message);
  }
  setInterval(look, EVERY);
}

open();
