// The ten best frames for one place: first what each gains where all others stay, then, proven, the best set with it.
// Of frames that repeat each other the best stands for all; the others are shown below it on demand, proven as well.

import { ask } from "./ask.js";
import { board, perform, trouble } from "./board.js";
import { because, button, el, signed } from "./build.js";
import { address, previewing } from "./wall.js";

let last = { name: "", found: null, likes: new Map() }; // what was asked last, so that drawing anew asks nothing anew

export function drawSwaps(holder, print) {
  const name = `${board.state.revision} ${print.frame}`;
  holder.append(el("h3", {}, "In its place"), el("ol", { class: "swaps" }));
  if (last.name === name && last.found) fill(holder, print, last.found);
  if (last.name === name) return;
  last = { name, found: null, likes: new Map() };
  load(print, name);
}

async function load(print, name) {
  try {
    await twice(`/swaps/${print.frame}`, name, (found) => {
      last.found = found;
      redraw(print);
    });
  } catch (error) {
    if (last.name === name) document.getElementById("swaps")?.append(el("p", { class: "soft" }, error.message));
  }
}

// Ask quickly, then for proof; an answer that a change or another print overtook is dropped.
async function twice(path, name, take) {
  for (const query of ["", "proven"]) {
    const found = await ask(`${path}${path.includes("?") ? "&" : "?"}${query}`);
    if (!found || last.name !== name || found.revision !== board.state.revision) return;
    take(found);
  }
}

function redraw(print) {
  const holder = document.getElementById("swaps");
  if (holder && last.found) keepPlace(holder, () => fill(holder, print, last.found));
}

// Show the frames for which one of the ten stands, or fold them away again.
async function unfold(print, swap) {
  const { name, likes } = last;
  if (likes.has(swap.frame)) {
    likes.delete(swap.frame);
    redraw(print);
    return;
  }
  likes.set(swap.frame, null);
  redraw(print);
  try {
    await twice(`/swaps/${print.frame}?like=${swap.frame}`, name, (found) => {
      if (!likes.has(swap.frame)) return;
      likes.set(swap.frame, found);
      redraw(print);
    });
  } catch (error) {
    likes.delete(swap.frame);
    redraw(print);
    trouble(error.message);
  }
}

function keepPlace(holder, draw) {
  const id = holder.contains(document.activeElement) ? document.activeElement.dataset.id : null;
  draw();
  if (id) holder.querySelector(`[data-id="${CSS.escape(id)}"]`)?.focus({ preventScroll: true });
}

function fill(holder, print, found) {
  const rows = found.swaps.flatMap((swap) => [row(print, swap, found.proven), ...repeats(print, swap)]);
  previewing(null); // a row that goes away under the pointer never says that it was left
  if (!rows.length) rows.push(el("li", {}, "No other frame can take this place while the others stay."));
  holder.querySelector("ol").replaceChildren(...rows);
}

function repeats(print, swap) {
  const found = last.likes.get(swap.frame);
  if (found === null) return [el("li", { class: "like" }, el("p", { class: "soft" }, "Looking at what it stands for"))];
  return found ? found.swaps.map((one) => row(print, one, found.proven, "like")) : [];
}

function row(print, swap, proven, kind = "") {
  const look = () => previewing({ place: print.place, picture: swap.picture, says: `${swap.name} for ${print.name}, ${signed(swap.points)} points` });
  const away = () => previewing(null);
  const image = el("img", { alt: "", loading: "lazy", src: address(swap.picture, 240) });
  const put = (others) => () => {
    previewing(null);
    perform({ do: "put", frame: swap.frame, instead: print.frame, others });
  };
  const alone = `${signed(swap.points)} where the others stay`;
  return el(
    "li",
    { class: kind, onmouseenter: look, onmouseleave: away, onfocusin: look, onfocusout: away },
    image,
    el(
      "div",
      {},
      el("p", { class: "name" }, swap.name, el("span", { class: "soft" }, ` ${swap.plays}, ${Math.round(swap.ppi)} ppi`)),
      el("p", {}, alone, swap.because.length ? el("span", { class: "soft" }, ` (${because(swap.because)})`) : null),
      best(swap, proven),
      el(
        "div",
        { class: "group" },
        button("Put it here", put("stay"), { "data-id": `put-${swap.frame}`, "aria-label": `Put it here: ${swap.name}, ${alone}` }),
        swap.others.length
          ? button("Let the others answer", put("answer"), {
              "data-id": `answer-${swap.frame}`,
              "aria-label": `Let the others answer: ${swap.name}, ${signed(swap.best_points)} at best`,
            })
          : null,
        swap.like ? more(print, swap) : null,
      ),
    ),
  );
}

function more(print, swap) {
  const says = `${swap.like} more like it`;
  return button(says, () => unfold(print, swap), {
    "data-id": `like-${swap.frame}`,
    "aria-expanded": String(last.likes.has(swap.frame)),
    "aria-label": `${says}, like ${swap.name}`,
  });
}

function best(swap, proven) {
  if (!proven) return el("p", { class: "soft" }, "The best set with it is being proven");
  if (swap.best_points === null) return el("p", { class: "soft" }, "The best set with it was not found in time");
  const sure = swap.best_proven ? "proven" : "not proven";
  if (!swap.others.length) return el("p", { class: "soft" }, `No set with it does better, ${sure}`);
  const why = swap.best_because.length ? ` (${because(swap.best_because)})` : "";
  return el("p", {}, `${signed(swap.best_points)} at best, with ${swap.others.join(", ")}, ${sure}`, el("span", { class: "soft" }, why));
}
