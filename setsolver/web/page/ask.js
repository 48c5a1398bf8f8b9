// Questions and acts: everything that leaves this page goes through here, to this machine.

// Null where there is nothing new, or a change overtook the question: what is shown then is asked for anew.
export async function ask(path) {
  return answered(await fetch(path, { credentials: "same-origin", cache: "no-store" }));
}

export async function answered(answer) {
  return answer.status === 204 ? null : read(answer);
}

// token: by which this act alone can be stopped.
export async function act(what, token) {
  return read(await post("/act", { ...what, token }));
}

// Let an act end, or never begin: nothing is changed by it then.
export async function stop(token) {
  await post("/stop", { token });
}

// 16 hexadecimal digits that no other act has, of this page or another.
export function newToken() {
  return [...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

// A file that somebody sent, as text; the board reads it line by line.
export async function send(path, text) {
  return read(await post(path, { lines: text }));
}

function post(path, document) {
  return fetch(path, {
    method: "POST",
    credentials: "same-origin",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(document),
  });
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
