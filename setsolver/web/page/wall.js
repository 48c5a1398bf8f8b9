// The set to scale in its plan: prints as buttons, mounts and mouldings where the wall has them, a scale bar.

import { ask } from "./ask.js";
import { board, choose, perform } from "./board.js";
import { button, el, points, show } from "./build.js";

let asShot = false;
let wholeWall = false;
let preview = null; // { place, picture, says, revision }: tried on the wall, nothing is changed by it

const [CALLED, CALLED_SMALL] = [22, 15]; // pixels that what stands below a print needs
const FRAME = "application/x-setsolver-frame";

export function toggleTone() {
  asShot = !asShot;
  document.getElementById("tone").setAttribute("aria-pressed", String(asShot));
  drawWall();
}

export function toggleWall() {
  wholeWall = !wholeWall;
  document.getElementById("whole").setAttribute("aria-pressed", String(wholeWall));
  drawWall();
}

// The plan, or the whole wall with what stands before it, as a plan whose corner is the wall's.
function framedBy(plan) {
  document.getElementById("whole").hidden = !plan.wall;
  if (!plan.wall || !wholeWall) return { ...plan, left: 0, top: 0 };
  const [left, top, width, height] = plan.wall.box;
  return { ...plan, left, top, width, height, clear: plan.wall.clear };
}

// Another picture in one place for as long as it is looked at, said in words; null = the set as it is.
export function previewing(what) {
  preview = what && { ...what, revision: board.state.revision };
  drawTried();
}

function drawTried() {
  if (preview && preview.revision !== board.state.revision) preview = null;
  for (const print of document.querySelectorAll("#surround .print")) {
    const here = preview !== null && Number(print.dataset.place) === preview.place;
    const image = print.querySelector("img");
    const source = address(here ? preview.picture : image.dataset.picture, here ? side(Number(image.dataset.wide)) : image.dataset.wide);
    if (image.getAttribute("src") !== source) image.src = source;
    print.classList.toggle("tried", here);
    callIt(print, here ? `${print.dataset.place} only tried` : print.dataset.called);
  }
  show("tried", preview ? `Only tried in place ${preview.place}: ${preview.says}. Nothing is changed yet.` : "");
}

export function address(picture, wide) {
  return `/print/${picture}/${asShot ? "shot" : "corrected"}/${wide}`;
}

function drawFreeing(pinned) {
  const node = document.getElementById("free-all");
  node.hidden = pinned.length === 0;
  node.textContent = pinned.length === 1 ? "Free the pinned frame" : `Free all ${pinned.length} pinned`;
}

export function drawWall() {
  const { state } = board;
  drawFreeing(state.pinned);
  drawClash(state);
  for (const id of ["tone", "large"]) document.getElementById(id).hidden = !state.set;
  document.getElementById("whole").hidden = !state.set?.plan.wall;
  if (!state.set) {
    show("surround");
    show("under");
    show("tried");
    return;
  }
  const plan = framedBy(state.set.plan);
  const wall = el("div", { class: wholeWall && state.set.plan.wall ? "plan whole-wall" : "plan" });
  wall.style.setProperty("--ratio", plan.width / plan.height);
  for (const part of plan.clear || []) wall.append(placed(el("div", { class: "clear" }, el("span", {}, part.what)), part.box, plan));
  for (const page of plan.pages) wall.append(placed(el("div", { class: "page" }), page, plan));
  for (const print of state.set.prints) {
    if (plan.border > 0) frameAround(wall, print, plan);
    wall.append(placed(drawPrint(print, plan), print.box, plan));
  }
  const focused = document.activeElement?.dataset?.id;
  underneath(wall);
  show("surround", wall, scaleBar(plan));
  fitCalled();
  if (focused) document.querySelector(`#surround [data-id="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
  drawTried();
  show("under", `${plan.says}. ${plan.cautions.length ? plan.cautions[0] : ""}`);
}

// A print toned anew shows what it was until it has come, or cannot: nine grey fields would tell nobody what changed.
function underneath(wall) {
  const before = new Map([...document.querySelectorAll("#surround .print")].map((print) => [print.dataset.frame, print.querySelector("img")]));
  for (const print of wall.querySelectorAll(".print")) {
    const [image, old] = [print.querySelector("img"), before.get(print.dataset.frame)];
    if (!old?.naturalWidth || old.src === image.src) continue;
    image.style.background = `center / cover no-repeat url("${old.src}")`;
    for (const over of ["load", "error"]) image.addEventListener(over, () => (image.style.background = ""), { once: true });
  }
}

// What stands below a print must not lie behind the next one: small where that is near, on the print where it touches.
export function fitCalled() {
  const boxes = [...document.querySelectorAll("#surround .print")].map((print) => print.getBoundingClientRect());
  const below = (a) => boxes.filter((b) => b.top > a.top + 1 && b.left < a.right && a.left < b.right).map((b) => b.top - a.bottom);
  const room = Math.min(...boxes.flatMap(below), Infinity);
  const plan = document.querySelector("#surround .plan");
  plan?.classList.toggle("tight", room < CALLED);
  plan?.classList.toggle("touching", room < CALLED_SMALL);
}

// What stands below a print and what it is called for those who hear the page say the same.
function callIt(print, called) {
  print.querySelector(".called").textContent = called;
  print.setAttribute("aria-label", `Print ${called}, ${print.dataset.says}`);
}

function drawPrint(print, plan) {
  const pinned = board.state.pinned.includes(print.frame);
  const wide = side((print.box[2] / plan.width) * Math.min(innerWidth, 900) * devicePixelRatio);
  const image = el("img", { alt: "", "data-wide": wide, "data-picture": print.picture, draggable: "false" });
  image.addEventListener("error", () => callIt(image.parentElement, `${print.place} cannot be read`));
  image.src = address(print.picture, wide);
  const called = `${print.place}${pinned ? " pinned" : ""}`;
  const words = [print.plays, print.name, `earns ${points(print.earns)} points`, `${Math.round(print.ppi)} pixels per inch`];
  return el(
    "button",
    {
      type: "button",
      class: print.frame === board.chosen ? "print on" : "print",
      "data-id": `print-${print.place}`,
      "data-place": print.place,
      "data-frame": print.frame,
      "data-called": called,
      "data-says": words.join(", "),
      "aria-label": `Print ${called}, ${words.join(", ")}`,
      "aria-expanded": String(print.frame === board.chosen),
      onclick: () => choose(print.frame, { focus: true }),
      ondragover: (event) => event.dataTransfer.types.includes(FRAME) && event.preventDefault(),
      ondragenter: (event) => event.currentTarget.classList.add("over"),
      ondragleave: (event) => event.currentTarget.classList.remove("over"),
      ondrop: (event) => dropped(event, print),
    },
    image,
    el("span", { class: "called", "aria-hidden": "true" }, called),
  );
}

// A frame of the tray that is let go over a print takes its place; the others stay.
function dropped(event, print) {
  const frame = event.dataTransfer.getData(FRAME);
  event.currentTarget.classList.remove("over");
  if (!frame) return;
  event.preventDefault();
  if (frame !== print.frame) perform({ do: "put", frame, instead: print.frame, others: "stay" });
}

function frameAround(wall, print, plan) {
  const [x, y, w, h] = print.box;
  const outer = [x - plan.border, y - plan.border, w + 2 * plan.border, h + 2 * plan.border];
  const m = plan.moulding;
  wall.append(placed(el("div", { class: "moulding" }), outer, plan));
  const mount = [outer[0] + m, outer[1] + m, outer[2] - 2 * m, outer[3] - 2 * m];
  wall.append(placed(el("div", { class: "mount" }), mount, plan));
}

export function placed(node, [x, y, w, h], plan) {
  node.style.left = `${(100 * (x - plan.left)) / plan.width}%`;
  node.style.top = `${(100 * (y - plan.top)) / plan.height}%`;
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

export function side(pixels) {
  return pixels <= 240 ? 240 : pixels <= 760 ? 640 : 1400;
}

function drawClash(state) {
  const node = document.getElementById("clash");
  node.hidden = state.status !== "none" && state.status !== "undecided";
  if (node.hidden) return;
  const lines = state.clash.map((c) => el("li", {}, c.says, c.way_out ? el("span", { class: "soft" }, ` Way out: ${c.way_out}.`) : null));
  const way = el("div", { class: "ways", role: "status" }, el("p", { class: "soft" }, "Looking for the ways out"));
  node.replaceChildren(
    el("h3", {}, "These rules cannot hold together"),
    el("ul", {}, ...lines),
    button("Take back the last change", () => perform({ do: "undo" }), { "data-id": "clash-undo", disabled: state.undo === 0 }),
    way,
  );
  offer(way, state.revision);
}

async function offer(way, revision) {
  try {
    const found = await ask("/ways");
    if (!found || board.state.revision !== revision) return;
    const take = (one) =>
      el("li", {}, button(one.says, () => perform({ do: "way", number: one.number, revision }), { "data-id": `way-${one.number}` }));
    way.replaceChildren(
      el("p", {}, found.ways.length ? "Or go on one step away from this brief:" : "No small change of the brief leads to a set."),
      el("ul", { class: "plain" }, ...found.ways.map(take)),
    );
  } catch (error) {
    way.replaceChildren(el("p", {}, error.message));
  }
}
