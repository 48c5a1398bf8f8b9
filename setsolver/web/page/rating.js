// Stars at reading speed: they show at once, and those given while an answer is worked out are sent together.

import { perform } from "./board.js";
import { repaint } from "./tray.js";

const PAUSE = 400; // milliseconds in which further stars count as one rating
const MOST = 150; // frames that one act may rate
let given = new Map();
let timer = null;
let sending = false;

export function rate(row, by) {
  give(row, Math.max(0, Math.min(5, (row.stars ?? 0) + by)));
}

export function give(row, stars) {
  row.stars = stars;
  given.set(row.frame, stars);
  repaint();
  clearTimeout(timer);
  timer = setTimeout(send, PAUSE);
  if (given.size >= MOST) send();
}

// Stars that wait to be sent; a list that comes meanwhile must not take them back.
export function waitingStars() {
  return given;
}

export async function send() {
  clearTimeout(timer);
  if (sending || !given.size) return;
  const stars = Object.fromEntries(given);
  given = new Map();
  sending = true;
  await perform({ do: "rate many", stars });
  sending = false;
  if (given.size) send();
}

addEventListener("pagehide", () => send());
