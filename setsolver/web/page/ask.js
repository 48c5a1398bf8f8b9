// Questions and acts: everything that leaves this page goes through here, to this machine.

// Null where there is nothing new, or a change overtook the question: what is shown then is asked for anew.
export async function ask(path) {
  const answer = await fetch(path, { credentials: "same-origin", cache: "no-store" });
  if (answer.status === 204) return null;
  return read(answer);
}

export async function act(what) {
  const answer = await fetch("/act", {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(what),
  });
  return read(answer);
}

// Let the act end that is being worked out: nothing is changed by it then.
export async function stop() {
  await fetch("/stop", { method: "POST", credentials: "same-origin", headers: { "Content-Type": "application/json" }, body: "{}" });
}

// A file that somebody sent, as text; the board reads it line by line.
export async function send(path, text) {
  const answer = await fetch(path, {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ lines: text }),
  });
  return read(answer);
}

async function read(answer) {
  const text = await answer.text();
  if (answer.ok) return JSON.parse(text);
  throw new Error(sentence(answer, text));
}

function sentence(answer, text) {
  if ((answer.headers.get("content-type") || "").startsWith("application/json")) return JSON.parse(text).says;
  return text.trim();
}
