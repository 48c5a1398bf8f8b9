// What counts: each rule's points in this set beside the weight that makes them, as a control.

import { ask } from "./ask.js";
import { board, perform, trouble } from "./board.js";
import { button, el, points, show } from "./build.js";

let prices = null; // { revision, prices }
let held = null; // { revision, holds, free }

const WHOLE = 100; // points at the right end of a slider; the number beside it goes to 1000
const SMALL = 5; // a weight below counts units of which a set has many: its slider is as fine

// The right end and the step of a weight's slider, from what the brief's owner gave it.
function scaleOf(one) {
  const about = Math.max(one.usual, one.points);
  if (one.usual === 0 || about >= SMALL) return { max: Math.max(WHOLE, one.points), step: 1 };
  const step = 10 ** Math.floor(Math.log10(one.usual) - 1);
  return { max: Number((Math.ceil((4 * about) / step) * step).toPrecision(6)), step };
}

export function drawWeights() {
  const { weights, set } = board.state;
  if (prices && prices.revision !== board.state.revision) prices = null;
  if (held && held.revision !== board.state.revision) held = null;
  const most = Math.max(1, ...weights.map((one) => Math.abs(one.now || 0)));
  const rows = weights.flatMap((one) => [row(one, most), price(one)]).filter(Boolean);
  show(
    "weights",
    el(
      "table",
      {},
      el("thead", {}, el("tr", {}, head("Rule"), head("Points now", "num"), el("td", { class: "barcell" }), head("Weight"))),
      el("tbody", {}, ...rows),
      el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, "Score"), el("td", { class: "num" }, set ? points(set.score) : "none"), el("td", {}), el("td", {}))),
    ),
    el(
      "div",
      { class: "group" },
      prices || !set ? null : button("What does each weight cost?", askPrices, { "data-id": "prices" }),
      held || !set ? null : button("What holds the set back?", askHolds, { "data-id": "holds" }),
    ),
    held ? backs() : null,
  );
}

async function askHolds(event) {
  event.target.disabled = true;
  event.target.textContent = "Solving without each rule";
  try {
    held = await ask("/holds");
    drawWeights();
    if (held) document.getElementById("held-head").focus({ preventScroll: true });
  } catch (error) {
    trouble(error.message);
  }
}

// What each hard rule costs, the dearest first.
function backs() {
  const lines = held.holds.map((one) => el("li", {}, one.says));
  const free = held.free ? el("p", { class: "soft" }, `${held.free} ${held.free === 1 ? "rule costs" : "rules cost"} nothing.`) : null;
  return el("div", {}, el("h3", { id: "held-head", tabindex: "-1" }, "What holds the set back"), lines.length ? el("ul", {}, ...lines) : el("p", {}, "No rule costs it anything."), free);
}

async function askPrices(event) {
  event.target.disabled = true;
  event.target.textContent = "Solving without each weight";
  try {
    prices = await ask("/prices");
    drawWeights();
    if (prices) document.getElementById("weights").querySelector("input")?.focus({ preventScroll: true });
  } catch (error) {
    trouble(error.message);
  }
}

// What the set would be without a weight: what its own rule would lose, what the others would gain, who would change.
function price(one) {
  const found = prices?.prices[one.term];
  if (!found) return null;
  const who = found.enter.length ? `Brings ${found.enter.join(", ")} for ${found.leave.join(", ")}: gains ${points(found.gains)}, costs ${points(found.costs)} of the others` : "Changes nobody";
  return el("tr", { class: "price" }, el("td", { colspan: 4, class: "soft" }, `${who}${found.proven ? "" : ", not proven"}`));
}

function head(text, kind) {
  return el("th", { scope: "col", ...(kind ? { class: kind } : {}) }, text);
}

function row(one, most) {
  const set = (event) => {
    const value = Number(event.target.value);
    if (event.target.value === "" || !Number.isFinite(value) || value === one.points) return;
    perform({ do: "weigh", term: one.term, points: value });
  };
  const name = `Weight of ${one.called}`;
  const number = el("input", { type: "number", min: 0, max: 1000, step: "any", value: String(Number(one.points.toPrecision(4))), "aria-label": `${name}, points`, "data-id": `number-${one.term}`, onchange: set });
  const slider = el("input", { type: "range", min: 0, ...scaleOf(one), value: String(one.points), "aria-label": name, "data-id": `slider-${one.term}`, onchange: set });
  slider.addEventListener("input", () => (number.value = slider.value));
  const bar = el("span", { class: (one.now || 0) < 0 ? "bar cost" : "bar" });
  bar.style.width = `${(100 * Math.abs(one.now || 0)) / most}%`;
  return el(
    "tr",
    {},
    el("th", { scope: "row" }, one.called),
    el("td", { class: "num" }, one.now === null ? "none" : points(one.now)),
    el("td", { class: "barcell", "aria-hidden": "true" }, bar),
    el("td", { class: "control" }, slider, number),
  );
}
