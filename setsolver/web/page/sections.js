// How the tray lies: sections of frames, each below its heading, in lines of cells; everything in pixels from its top.

export const CELL = { wide: 168, high: 158 };
export const HEAD = 38;

// Return the sections of frames in the order shown: one a scene, each with its heading, or one alone without any.
export function sectionsOf(shown, byScene) {
  if (!byScene) return shown.length ? [{ from: 0, to: shown.length, head: 0, says: "" }] : [];
  const found = [];
  for (const [index, row] of shown.entries()) {
    const last = found[found.length - 1];
    if (last && last.scene === row.scene) last.to = index + 1;
    else found.push({ from: index, to: index + 1, head: HEAD, scene: row.scene });
  }
  for (const one of found) one.says = heading(shown.slice(one.from, one.to));
  return found;
}

// What a scene is called: its number, how many frames of it fit, and when it was taken.
function heading(rows) {
  const count = rows.reduce((sum, row) => sum + 1 + row.hidden, 0);
  const times = rows.filter((row) => row.time !== null).sort((a, b) => a.time - b.time);
  const when = times.length ? between(times[0].taken, times[times.length - 1].taken) : "time unknown";
  const name = rows[0].scene < 0 ? "In no scene" : `Scene ${rows[0].scene + 1}${rows[0].chapter < 0 ? "" : ` of chapter ${rows[0].chapter + 1}`}`;
  return `${name}: ${count} ${count === 1 ? "frame" : "frames"}, ${when}`;
}

// The day once, where both times have the same.
function between(first, last) {
  if (first === last) return first;
  const [day, time] = first.split(", ");
  const [other, until] = last.split(", ");
  return day === other && time && until ? `${day}, ${time} to ${until}` : `${first} to ${last}`;
}

export function layOut(sections, across) {
  let top = 0;
  let line = 0;
  for (const one of sections) {
    const lines = Math.ceil((one.to - one.from) / across);
    Object.assign(one, { top, line, lines, high: one.head + lines * CELL.high });
    top += one.high;
    line += lines;
  }
  return { sections, across, high: top, lines: line };
}

// The number of the last section that begins at or before a place: by "top", by "line", or by "from".
export function sectionAt(layout, key, value) {
  let low = 0;
  let high = layout.sections.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (layout.sections[middle][key] <= value) low = middle;
    else high = middle - 1;
  }
  return low;
}

// Where a frame's line begins within its section, and where the section does.
export function lineOf(layout, index) {
  const section = layout.sections[sectionAt(layout, "from", index)];
  return { section, top: section.head + Math.floor((index - section.from) / layout.across) * CELL.high };
}

// The frame so many lines below another one, or above: in the same column, or the last of a line that is shorter.
export function linesOn(layout, index, by) {
  const { section } = lineOf(layout, index);
  const column = (index - section.from) % layout.across;
  const now = section.line + Math.floor((index - section.from) / layout.across);
  const line = Math.max(0, Math.min(layout.lines - 1, now + by));
  if (line === now) return index;
  const there = layout.sections[sectionAt(layout, "line", line)];
  return Math.min(there.from + (line - there.line) * layout.across + column, there.to - 1);
}

// The first frame of the next section, or of this one and then of the one before.
export function sectionOn(layout, index, by) {
  const number = sectionAt(layout, "from", index);
  const { sections } = layout;
  if (by > 0) return number + 1 < sections.length ? sections[number + 1].from : index;
  return sections[index > sections[number].from ? number : Math.max(0, number - 1)].from;
}
