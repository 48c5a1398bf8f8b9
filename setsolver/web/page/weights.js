// What counts: each rule's points in this set beside the weight that makes them, as a control.

import { board, perform } from "./board.js";
import { el, points, show } from "./build.js";

const USUAL = 100; // points at the right end of a slider; the number beside it goes to 1000

export function drawWeights() {
  const { weights, set } = board.state;
  const most = Math.max(1, ...weights.map((one) => Math.abs(one.now || 0)));
  const rows = weights.map((one) => row(one, most));
  show(
    "weights",
    el(
      "table",
      {},
      el("thead", {}, el("tr", {}, head("Rule"), head("Points now", "num"), el("td", { class: "barcell" }), head("Weight"))),
      el("tbody", {}, ...rows),
      el("tfoot", {}, el("tr", {}, el("th", { scope: "row" }, "Score"), el("td", { class: "num" }, set ? points(set.score) : "none"), el("td", {}), el("td", {}))),
    ),
  );
}

// The rules that can be changed here: each a value, sent when it is left or Enter is pressed.
export function drawRules() {
  const rows = board.state.rules.map((rule) => {
    const set = (event) => {
      const text = event.target.value.trim();
      const value = text === "" ? null : rule.text ? text : Number(text);
      if (value === rule.value || (value === null && !rule.may_be_empty) || Number.isNaN(value)) {
        event.target.value = rule.value ?? "";
        return;
      }
      perform({ do: "change", key: rule.key, value }).then(drawRules);
    };
    const kind = rule.text ? { type: "text", size: 6 } : { type: "number", min: 0, step: rule.whole ? 1 : "any" };
    const input = el("input", { ...kind, value: String(rule.value ?? ""), "aria-label": rule.called, "data-id": `rule-${rule.key}`, placeholder: rule.may_be_empty ? "any" : "", onchange: set });
    return el("tr", {}, el("th", { scope: "row" }, rule.called), el("td", { class: "control num" }, input));
  });
  show("rules", el("table", {}, el("tbody", {}, ...rows)));
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
  const number = el("input", { type: "number", min: 0, max: 1000, step: "any", value: String(Math.round(one.points * 100) / 100), "aria-label": `${name}, points`, "data-id": `number-${one.term}`, onchange: set });
  const slider = el("input", { type: "range", min: 0, max: Math.max(USUAL, one.points), step: 1, value: String(one.points), "aria-label": name, "data-id": `slider-${one.term}`, onchange: set });
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
