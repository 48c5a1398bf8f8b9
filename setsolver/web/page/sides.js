// Two sets one above the other, large and to one scale: the one on the wall and another, with what that gains and loses.
// Or the one on the wall alone.

import { board } from "./board.js";
import { button, el, points, signed } from "./build.js";
import { address, placed, side } from "./wall.js";

let dialog = null;
let others = []; // { name, prints, plan, points, differs, more, act: { says, press } }
let at = 0;
let from = null; // what had the focus, by its data-id

export function lookAtTwo(sets, index) {
  [others, at] = [sets, index];
  from = document.activeElement?.dataset?.id;
  if (!dialog) {
    dialog = el("dialog", { class: "sides", "aria-labelledby": "sides-name", onkeydown: keys, onclose: close });
    document.body.append(dialog);
    addEventListener("resize", () => dialog.open && draw());
  }
  dialog.showModal();
  draw();
  dialog.querySelector("[data-id='sides-close']").focus();
}

export function lookAtWall() {
  lookAtTwo([], 0);
}

// The set on the wall has changed: what stood beside it is compared anew where it is asked for again.
export function leaveSides() {
  if (dialog?.open) dialog.close();
}

function close() {
  document.querySelector(`[data-id="${CSS.escape(from ?? "")}"]`)?.focus({ preventScroll: true });
}

function draw() {
  const wall = board.state.set;
  const other = others[at];
  const { scale, beside } = laid(other ? [wall, other] : [wall]);
  const own = new Set(wall.prints.map((print) => print.frame));
  const focused = document.activeElement?.dataset?.id;
  const title = el("h2", { id: "sides-name" }, other ? `On the wall, and ${other.name}` : "On the wall");
  const head = el("div", { class: "head" }, title, button("Close", () => dialog.close(), { "data-id": "sides-close" }));
  if (other) drawTwo(head, wall, other, own, scale, beside);
  else dialog.replaceChildren(head, figure("", wall, own, scale, `${points(wall.score)} points`));
  if (focused) (dialog.querySelector(`[data-id="${CSS.escape(focused)}"]:not(:disabled)`) || dialog.querySelector("[data-id='sides-close']")).focus();
}

function drawTwo(head, wall, other, own, scale, beside) {
  const theirs = new Set(other.prints.map((print) => print.frame));
  dialog.replaceChildren(
    head,
    el(
      "div",
      { class: beside ? "both beside" : "both" },
      figure("On the wall", wall, theirs, scale, `${points(wall.score)} points`),
      figure(other.name.replace(/^set /, "Set "), other, own, scale, other.points === null ? "no points under this brief" : `${points(wall.score + other.points)} points`),
    ),
    el("div", { class: "gains" }, ...account(other), ...frames(wall, other, own, theirs)),
    el(
      "div",
      { class: "group" },
      button(other.act.says, () => (dialog.close(), other.act.press()), { "data-id": "sides-act" }),
      others.length > 1 ? button("Before", () => go(-1), { "data-id": "sides-before", disabled: at === 0 }) : null,
      others.length > 1 ? button("Next", () => go(1), { "data-id": "sides-next", disabled: at === others.length - 1 }) : null,
    ),
  );
}

// Pixels a centimetre, and whether the two stand beside each other: tall ones do where that shows them larger. Below
// each other both are in sight where that leaves them large enough.
function laid(sets) {
  const [wide, high] = [dialog.clientWidth - 76, innerHeight - (sets.length > 1 ? 330 : 190)];
  const sums = (key) => sets.reduce((sum, set) => sum + set.plan[key], 0);
  const most = (key) => Math.max(...sets.map((set) => set.plan[key]));
  const below = wide / most("width");
  const both = Math.min(below, high / sums("height"));
  if (sets.length < 2) return { scale: both, beside: false };
  const beside = Math.min((wide - 50) / sums("width"), (high + 60) / most("height"));
  return beside > both && wide > 700 ? { scale: beside, beside: true } : { scale: Math.max(both, 0.55 * below), beside: false };
}

function figure(name, set, shared, scale, says) {
  const plan = { ...set.plan, left: 0, top: 0 };
  const hung = el("div", { class: "hung" });
  Object.assign(hung.style, { width: `${plan.width * scale}px`, height: `${plan.height * scale}px` });
  for (const page of plan.pages) hung.append(placed(el("div", { class: "page" }), page, plan));
  for (const print of set.prints) {
    const alone = !shared.has(print.frame);
    const image = el("img", { alt: `${print.name}, ${print.plays}${alone ? ", only here" : ""}`, src: address(print.picture, side(print.box[2] * scale * devicePixelRatio)) });
    hung.append(placed(el("div", { class: alone ? "hangs alone" : "hangs" }, image), print.box, plan));
  }
  return el("figure", {}, el("figcaption", {}, el("strong", {}, name), el("span", { class: "soft" }, ` ${says}`)), el("div", { class: "surround" }, hung));
}

function account(other) {
  if (other.points === null) return [];
  const row = (says, parts) => (parts.length ? el("p", {}, el("span", { class: "label" }, says), parts.map((part) => `${part.rule.toLowerCase()} ${signed(part.points)}`).join(", ")) : null);
  return [
    el("p", {}, el("strong", {}, `${signed(other.points)} points`), ` against the wall.${other.more ? ` ${other.more}` : ""}`),
    row("Gains ", other.differs.filter((part) => part.points > 0)),
    row("Loses ", other.differs.filter((part) => part.points < 0)),
  ].filter(Boolean);
}

function frames(wall, other, own, theirs) {
  const names = (set, not) => set.prints.filter((print) => !not.has(print.frame)).map((print) => print.name).join(", ");
  const [leave, enter] = [names(wall, theirs), names(other, own)];
  if (!leave && !enter) return [el("p", {}, "The same frames.")];
  return [el("p", {}, el("span", { class: "label" }, "Only on the wall "), leave || "none"), el("p", {}, el("span", { class: "label" }, "Only in the other "), enter || "none")];
}

function go(by) {
  at = Math.max(0, Math.min(others.length - 1, at + by));
  draw();
}

function keys(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || others.length < 2) return;
  const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (!by) return;
  go(by);
  event.preventDefault();
}
