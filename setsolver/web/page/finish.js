// Prints made from here: begun, followed as they are made, and stopped.

import { board, perform } from "./board.js";
import { button, el, show } from "./build.js";

const FORMATS = [["tiff", "TIFF, 16 bits"], ["jpeg", "JPEG"], ["proof", "small JPEGs for a message"]];
let format = "tiff";
let book = "";
let job = null;

export function drawFinish(told) {
  job = told === undefined ? board.state.finish : told;
  const section = document.getElementById("finish");
  section.hidden = !board.state.set && !job;
  const running = job?.state === "running";
  show("finish-short", running ? far(job) : job?.state === "failed" ? "could not be made" : "");
  const made = document.getElementById("finish-made");
  made.hidden = !job;
  if (job) {
    const bar = document.getElementById("finish-bar");
    bar.hidden = !running;
    bar.max = Math.max(1, job.total);
    if (job.total) bar.value = job.done;
    else bar.removeAttribute("value"); // nobody knows how far it is
    const folder = job.state === "failed" ? "" : ` ${job.folder}`;
    document.getElementById("finish-says").textContent = `${job.says.replace(/\.$/, "")}.${running && job.total ? ` ${far(job)}.` : ""}${folder}`;
  }
  if (document.activeElement?.dataset?.id === "finish-format") return;
  const kinds = el("select", { "data-id": "finish-format", "aria-label": "Format of the prints", onchange: (event) => (format = event.target.value) }, ...FORMATS.map(([value, text]) => el("option", { value }, text)));
  kinds.value = format;
  const begin = button("Make the prints", make, { "data-id": "finish-begin", disabled: running || !board.state.set });
  const stop = button("Stop", () => perform({ do: "stop finish" }), { "data-id": "finish-stop" });
  show("finish-how", kinds, begin, running ? stop : null);
  if (document.activeElement?.dataset?.id === "album-brief") return;
  const books = el("select", { "data-id": "album-brief", "aria-label": "Kind of book", onchange: (event) => (book = event.target.value) }, ...board.state.albums.map((name) => el("option", { value: name }, name)));
  if (book) books.value = book;
  const bind = button("Make a book", () => perform({ do: "album", brief: books.value }), { "data-id": "album-begin", disabled: running });
  show("album-how", books, bind, el("p", { class: "soft" }, "Of the whole shoot; what is pinned is in, what is barred is out."));
}

function far(job) {
  return job.total ? `${job.done} of ${job.total}` : "being made";
}

function make() {
  perform({ do: "finish", format: format === "tiff" ? "tiff" : "jpeg", proof: format === "proof" });
}
