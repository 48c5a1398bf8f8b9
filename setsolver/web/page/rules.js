// The rules that can be changed here: each a value, sent when it is left or Enter is pressed.

import { ask } from "./ask.js";
import { board, perform, trouble } from "./board.js";
import { button, el, show } from "./build.js";

export function drawRules() {
  const groups = new Map();
  for (const rule of board.state.rules) groups.set(rule.group, [...(groups.get(rule.group) || []), rule]);
  const open = new Set([...document.querySelectorAll("#rules details[open]")].map((one) => one.dataset.group));
  show("rules", ...[...groups].map(([name, rules]) => group(name, rules, open.has(name))));
}

function group(name, rules, open) {
  const rows = rules.map((rule) => el("tr", {}, el("th", { scope: "row" }, rule.called), el("td", { class: "control num" }, control(rule))));
  const summary = el("summary", { "data-id": `rules-${name}` }, name, el("span", { class: "soft" }, ` ${inShort(name, rules)}`));
  const fold = el("details", { "data-group": name }, summary, el("table", {}, el("tbody", {}, ...rows)));
  fold.open = open;
  return fold;
}

// What a folded group holds, so that it need not be opened to be known.
function inShort(name, rules) {
  const value = (key) => rules.find((rule) => rule.key === key)?.value;
  const said = {
    Set: () => `${value("size")} prints`,
    Prints: () => `${value("print_cm")} cm, ${value("aspect")}, ${value("min_ppi")} pixels per inch`,
    Slots: () => `${rules.length} numbers`,
    Repeats: () => `${value("repeats.moment")} of a moment, ${value("repeats.scene") ?? "any number"} of a scene`,
    Tone: () => `${value("tone.treatment")}, slack and reach`,
    Layout: () => `${value("layout.kind")}, ${value("layout.gap_cm")} cm apart`,
  };
  return said[name]?.() ?? "";
}

async function change(rule, value) {
  const done = await perform({ do: "change", key: rule.key, value });
  drawRules();
  if (!done && rule.whole && Number.isInteger(value)) offer(rule, value);
}

// A count that contradicts another one of the brief: by which other count it would hold, each as a button.
async function offer(rule, value) {
  const says = document.getElementById("trouble").textContent;
  let ways;
  try {
    ({ ways } = await ask(`/mendings/${encodeURIComponent(rule.key)}?value=${value}`));
  } catch {
    return; // what went wrong is said already
  }
  const take = (way) => () => perform({ do: "change", key: rule.key, value, besides: way.besides });
  if (ways.length) trouble(says, el("div", { class: "group" }, ...ways.map((way, at) => button(way.says, take(way), { "data-id": `mend-${at + 1}` }))));
}

function control(rule) {
  const set = (event) => {
    const text = event.target.value.trim();
    const value = text === "" ? null : rule.text ? text : Number(text);
    if (value === rule.value || (value === null && !rule.may_be_empty) || Number.isNaN(value)) {
      event.target.value = rule.value ?? "";
      return;
    }
    change(rule, value);
  };
  const common = { "aria-label": `${rule.group}: ${rule.called}`, "data-id": `rule-${rule.key}`, onchange: set };
  if (rule.options.length) {
    const select = el("select", common, ...rule.options.map((option) => el("option", { value: option }, option)));
    select.value = rule.value;
    return select;
  }
  const kind = rule.text ? { type: "text", size: 6 } : { type: "number", min: 0, step: rule.whole ? 1 : "any" };
  return el("input", { ...kind, ...common, value: String(rule.value ?? ""), placeholder: rule.may_be_empty ? "any" : "" });
}
