// What clients ticked on proof sheets, several of them together: their files are read here and go to this machine alone.

import { send } from "./ask.js";
import { board, choose, perform, taken, trouble } from "./board.js";
import { button, el, show } from "./build.js";
import { frameOf } from "./frames.js";

export function drawClients() {
  const { clients } = board.state;
  show("client-count", clients.length ? clients.map((one) => one.by).join(", ") : "");
  const file = el("input", { type: "file", multiple: "", accept: ".jsonl,.json", "aria-label": "Files that clients sent back", "data-id": "client-file", onchange: read });
  show(
    "client-list",
    el("p", { class: "soft" }, "A proof sheet saves ticks and notes as a file that a client mails back."),
    el("label", { class: "group" }, el("span", { class: "label" }, "Read files"), file),
    ...clients.map(one),
    clients.length ? together() : null,
  );
}

async function read(event) {
  for (const file of event.target.files) {
    try {
      await taken(await send("/ticks", await file.text()));
      trouble("");
    } catch (error) {
      trouble(`${file.name}: ${error.message}`);
    }
  }
}

function one(client) {
  const words = [];
  if (client.kept.length) words.push(el("p", {}, "Ticked: ", ...names(client.kept)));
  if (client.chosen.length) words.push(el("p", {}, "Prefers the set ", ...names(client.chosen)));
  if (client.gone.length) words.push(el("p", { class: "soft" }, `Not in the catalog any more: ${client.gone.join(", ")}`));
  const notes = client.notes.map((note) => el("li", {}, `${note.about}: ${note.says}`));
  return el(
    "article",
    { "aria-label": client.by },
    el("h3", {}, client.by, el("span", { class: "soft" }, ` ${client.made}`)),
    ...words,
    notes.length ? el("ul", {}, ...notes) : null,
    button("Set aside", () => perform({ do: "set aside", client: client.client }), { "data-id": `aside-${client.client}`, "aria-label": `Set aside: the answer of ${client.by}` }),
  );
}

function names(keys) {
  return keys.flatMap((key, at) => {
    const row = frameOf(key);
    const press = button(row ? row.name : "a frame", () => choose(key, { focus: true }), { class: "plainly" });
    return at ? [", ", press] : [press];
  });
}

// Who is of one mind, and pinning what all ticked.
function together() {
  const { clients, ticked } = board.state;
  const asked = clients.filter((one) => one.kept.length).length;
  const all = Object.entries(ticked).filter(([, by]) => by.length === asked).map(([frame]) => frame);
  if (asked < 2 && !all.length) return null;
  const word = asked > 2 ? `All ${asked} ticked ` : asked === 2 ? "Both ticked " : "Ticked: ";
  const line = all.length ? el("p", {}, word, ...names(all)) : el("p", {}, "No frame was ticked by all.");
  const press = all.length ? button(asked > 2 ? "Pin what all ticked" : asked === 2 ? "Pin what both ticked" : "Pin what was ticked", () => perform({ do: "pin many", frames: all }), { "data-id": "pin-ticked" }) : null;
  return el("div", { class: "together" }, line, press);
}
