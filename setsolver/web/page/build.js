// Elements and words. Text is only ever set as text, so that a file's name or a brief can say anything and do nothing.

const MINUS = "\u2212";

export function el(tag, options = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (name === "class") node.className = value;
    else if (name === "value" || name === "disabled" || name === "hidden") node[name] = value;
    else if (value !== null && value !== undefined) node.setAttribute(name, String(value));
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

export function button(text, press, options = {}) {
  return el("button", { type: "button", onclick: press, ...options }, text);
}

// Buttons under one label, which stays at their left however many lines they need.
export function labelled(label, ...buttons) {
  return el("div", { class: "group", role: "group", "aria-label": label }, el("span", { class: "label" }, label), el("div", { class: "of" }, ...buttons));
}

export function show(id, ...children) {
  const node = document.getElementById(id);
  node.replaceChildren(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

export function points(value) {
  return value.toFixed(1).replace("-0.0", "0.0").replace("-", MINUS);
}

export function signed(value) {
  const text = points(value);
  return Number(value.toFixed(1)) > 0 ? `+${text}` : text;
}

export function because(parts) {
  return parts.map((part) => `${part.rule.toLowerCase()} ${signed(part.points)}`).join(", ");
}

// Draw anew without losing the keyboard's place: what had the focus gets it again, by its data-id.
export function keepingFocus(draw) {
  const id = document.activeElement?.dataset?.id;
  draw();
  if (!id || document.activeElement?.dataset?.id === id) return;
  const again = document.querySelector(`[data-id="${CSS.escape(id)}"]`);
  again?.focus({ preventScroll: true });
}
