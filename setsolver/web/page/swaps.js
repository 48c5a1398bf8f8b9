// The ten best frames for one place: first what each gains where all others stay, then, proven, the best set with it.

import { ask } from "./ask.js";
import { board, perform } from "./board.js";
import { because, button, el, signed } from "./build.js";
import { address, previewing } from "./wall.js";

let last = { name: "", found: null }; // what was asked last, so that drawing anew asks nothing anew

export function drawSwaps(holder, print) {
  const name = `${board.state.revision} ${print.frame}`;
  holder.append(el("h3", {}, "In its place"), el("ol", { class: "swaps" }));
  if (last.name === name && last.found) fill(holder, print, last.found);
  if (last.name === name) return;
  last = { name, found: null };
  load(print, name);
}

async function load(print, name) {
  for (const query of ["", "?proven"]) {
    try {
      const found = await ask(`/swaps/${print.frame}${query}`);
      if (last.name !== name || found.revision !== board.state.revision) return;
      last.found = found;
      const holder = document.getElementById("swaps");
      if (holder) keepPlace(holder, () => fill(holder, print, found));
    } catch (error) {
      if (last.name === name) document.getElementById("swaps")?.append(el("p", { class: "soft" }, error.message));
      return;
    }
  }
}

function keepPlace(holder, draw) {
  const id = holder.contains(document.activeElement) ? document.activeElement.dataset.id : null;
  draw();
  if (id) holder.querySelector(`[data-id="${CSS.escape(id)}"]`)?.focus({ preventScroll: true });
}

function fill(holder, print, found) {
  const rows = found.swaps.map((swap) => row(print, swap, found.proven));
  previewing(null); // a row that goes away under the pointer never says that it was left
  if (!rows.length) rows.push(el("li", {}, "No other frame can take this place while the others stay."));
  holder.querySelector("ol").replaceChildren(...rows);
}

function row(print, swap, proven) {
  const look = () => previewing({ place: print.place, picture: swap.picture });
  const away = () => previewing(null);
  const image = el("img", { alt: "", loading: "lazy", src: address(swap.picture, 240) });
  const put = (others) => () => {
    previewing(null);
    perform({ do: "put", frame: swap.frame, instead: print.frame, others });
  };
  const alone = `${signed(swap.points)} where the others stay`;
  return el(
    "li",
    { onmouseenter: look, onmouseleave: away, onfocusin: look, onfocusout: away },
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
      ),
    ),
  );
}

function best(swap, proven) {
  if (!proven) return el("p", { class: "soft" }, "The best set with it is being proven");
  if (swap.best_points === null) return el("p", { class: "soft" }, "The best set with it was not found in time");
  const sure = swap.best_proven ? "proven" : "not proven";
  if (!swap.others.length) return el("p", { class: "soft" }, `No set with it does better, ${sure}`);
  const why = swap.best_because.length ? ` (${because(swap.best_because)})` : "";
  return el("p", {}, `${signed(swap.best_points)} at best, with ${swap.others.join(", ")}, ${sure}`, el("span", { class: "soft" }, why));
}
