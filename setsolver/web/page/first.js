// What the page shows first, asked for while most of its parts are still on their way.

export const first = fetch("/board", { credentials: "same-origin", cache: "no-store" });
first.catch(() => {}); // whoever waits for it says so
