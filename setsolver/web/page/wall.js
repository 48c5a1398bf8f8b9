// The set to scale in its plan: prints as buttons, mounts and mouldings where the wall has them, a scale bar.

import { ask } from "./ask.js";
import { board, choose, perform } from "./board.js";
import { button, el, points, show } from "./build.js";

let asShot = false;
let preview = null; // { place, picture, name }

export function toggleTone() {
  asShot = !asShot;
  document.getElementById("tone").setAttribute("aria-pressed", String(asShot));
  drawWall();
}

// Another frame in one place for as long as it is looked at; null = the set as it is.
export function previewing(what) {
  preview = what;
  const image = what ? document.querySelector(`[data-place="${what.place}"] img`) : null;
  if (image) image.src = address(what.picture, side(Number(image.dataset.wide)));
  else drawPictures();
}

export function address(picture, wide) {
  return `/print/${picture}/${asShot ? "shot" : "corrected"}/${wide}`;
}

export function drawWall() {
  const { state } = board;
  drawClash(state);
  document.getElementById("tone").hidden = !state.set;
  if (!state.set) {
    show("surround");
    show("under");
    return;
  }
  const plan = state.set.plan;
  const wall = el("div", { class: "plan" });
  wall.style.setProperty("--ratio", plan.width / plan.height);
  for (const page of plan.pages) wall.append(placed(el("div", { class: "page" }), page, plan));
  for (const print of state.set.prints) {
    if (plan.border > 0) frameAround(wall, print, plan);
    wall.append(placed(drawPrint(print, plan), print.box, plan));
  }
  const focused = document.activeElement?.dataset?.id;
  show("surround", wall, scaleBar(plan));
  if (focused) document.querySelector(`#surround [data-id="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
  show("under", `${plan.says}. ${plan.cautions.length ? plan.cautions[0] : ""}`);
}

function drawPrint(print, plan) {
  const pinned = board.state.pinned.includes(print.frame);
  const wide = side((print.box[2] / plan.width) * Math.min(innerWidth, 900) * devicePixelRatio);
  const image = el("img", { alt: "", "data-wide": wide, "data-picture": print.picture, draggable: "false" });
  image.src = address(print.picture, wide);
  const words = [`Print ${print.place}${pinned ? " pinned" : ""}`, print.plays, print.name, `earns ${points(print.earns)} points`];
  return el(
    "button",
    {
      type: "button",
      class: print.frame === board.chosen ? "print on" : "print",
      "data-id": `print-${print.place}`,
      "data-place": print.place,
      "aria-label": words.join(", "),
      "aria-expanded": String(print.frame === board.chosen),
      onclick: () => choose(print.frame, { focus: true }),
    },
    image,
    el("span", { class: "called", "aria-hidden": "true" }, `${print.place}${pinned ? " pinned" : ""}`),
  );
}

function drawPictures() {
  for (const image of document.querySelectorAll("#surround img")) image.src = address(image.dataset.picture, image.dataset.wide);
}

function frameAround(wall, print, plan) {
  const [x, y, w, h] = print.box;
  const outer = [x - plan.border, y - plan.border, w + 2 * plan.border, h + 2 * plan.border];
  const m = plan.moulding;
  wall.append(placed(el("div", { class: "moulding" }), outer, plan));
  const mount = [outer[0] + m, outer[1] + m, outer[2] - 2 * m, outer[3] - 2 * m];
  wall.append(placed(el("div", { class: "mount" }), mount, plan));
}

function placed(node, [x, y, w, h], plan) {
  node.style.left = `${(100 * x) / plan.width}%`;
  node.style.top = `${(100 * y) / plan.height}%`;
  node.style.width = `${(100 * w) / plan.width}%`;
  node.style.height = `${(100 * h) / plan.height}%`;
  return node;
}

function scaleBar(plan) {
  const length = [5, 10, 20, 50, 100, 200].filter((cm) => cm <= plan.width / 3).pop() || 1;
  const bar = el("div", { class: "bar" });
  const holder = el("div", { class: "scalebar" }, bar, `${length} cm`);
  holder.style.setProperty("--ratio", plan.width / plan.height);
  bar.style.width = `${(100 * length) / plan.width}%`;
  return holder;
}

function side(pixels) {
  return pixels <= 240 ? 240 : pixels <= 760 ? 640 : 1400;
}

function drawClash(state) {
  const node = document.getElementById("clash");
  node.hidden = state.status !== "none" && state.status !== "undecided";
  if (node.hidden) return;
  const lines = state.clash.map((c) => el("li", {}, c.says, c.way_out ? el("span", { class: "soft" }, ` Way out: ${c.way_out}.`) : null));
  const way = el("p", {});
  node.replaceChildren(
    el("h3", {}, "These rules cannot hold together"),
    el("ul", {}, ...lines),
    way,
    button("Take back the last change", () => perform({ do: "undo" }), { disabled: state.undo === 0, "data-id": "clash-undo" }),
  );
  offer(way, state.revision);
}

async function offer(way, revision) {
  try {
    const near = await ask("/ways");
    if (!near.says || board.state.revision !== revision) return;
    way.append(`${near.says}. `, button("Take this way", () => perform({ do: "nearest" }), { "data-id": "clash-near" }));
  } catch (error) {
    way.append(error.message);
  }
}
