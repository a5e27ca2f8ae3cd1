// Pieces that every drawing is made of.

const SVG = "http://www.w3.org/2000/svg";
const PAINT = PAGE.paint;

function made(element, attributes, parent, text) {
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text !== undefined) element.textContent = text;
  if (parent) parent.append(element);
  return element;
}
const svg = (tag, attributes, parent, text) => made(document.createElementNS(SVG, tag), attributes, parent, text);
const html = (tag, attributes, parent, text) => made(document.createElement(tag), attributes, parent, text);
const id = (name) => document.getElementById(name);
const round = (x) => Math.round(x * 10) / 10;

const RULER = document.createElement("canvas").getContext("2d");
const LETTERS = getComputedStyle(document.body).fontFamily;
const WIDTHS = new Map();
function widthOf(text, size, weight = 400) {
  const key = `${size} ${weight} ${text}`;
  if (!WIDTHS.has(key)) {
    RULER.font = `${weight} ${size}px ${LETTERS}`;
    WIDTHS.set(key, RULER.measureText(text).width);
  }
  return WIDTHS.get(key);
}
/** Return text that fits into a width, cut and ended with … if it must be. */
function fitted(text, room, size, weight) {
  if (widthOf(text, size, weight) <= room) return text;
  let n = text.length;
  while (n > 1 && widthOf(`${text.slice(0, n)}…`, size, weight) > room) n--;
  return `${text.slice(0, n)}…`;
}
/** Return a name that fits into a width; one that ends with a number keeps it, so that names stay apart. */
function fittedName(text, room, size) {
  const tail = text.match(/[ -]?\d+$/);
  if (!tail || widthOf(text, size) <= room) return fitted(text, room, size);
  return fitted(text.slice(0, -tail[0].length), room - widthOf(tail[0], size), size) + tail[0];
}

const PAPER = 700;
const SMALL = document.documentElement.clientWidth < 740 ? 12 : 11, LARGE = 12; // heights of letters, as replay.css has them
/** Return the width that a drawing has: its host's, and on paper one that fits a page. */
function roomOf(host) {
  return document.body.classList.contains("on-paper") ? PAPER : Math.max(280, host.clientWidth);
}

/** Keep the elements of a layer that is drawn again and again, by a key each. */
function layer(parent) {
  const kept = new Map();
  let seen = new Set();
  return {
    begin() { seen = new Set(); },
    get(key, make) {
      seen.add(key);
      if (!kept.has(key)) {
        const element = make();
        parent.append(element);
        kept.set(key, element);
      }
      return kept.get(key);
    },
    end() {
      for (const [key, element] of kept) if (!seen.has(key)) {
        element.remove();
        kept.delete(key);
      }
    },
  };
}

/** Return a filling: a colour, or a pattern that the page defines. */
const fill = (name) => (PAINT[name].hatch ? `url(#fill-${name})` : PAINT[name].face);
function box(parent, x, y, width, height, name, outline = true) {
  const element = svg("rect", { x: round(x), y: round(y), width: round(Math.max(0, width)), height: round(height), fill: fill(name) }, parent);
  if (outline) made(element, { stroke: PAINT[name].edge, "stroke-width": 0.8 });
  return element;
}
function line(parent, x1, y1, x2, y2, name, attributes = {}) {
  return svg("line", { x1: round(x1), y1: round(y1), x2: round(x2), y2: round(y2), class: name, ...attributes }, parent);
}
function words(parent, x, y, text, attributes = {}) {
  return svg("text", { x: round(x), y: round(y), ...attributes }, parent, text);
}
function sheet(host, width, height, title, says) {
  host.replaceChildren();
  const root = svg("svg", { class: "sheet", viewBox: `0 0 ${round(width)} ${round(height)}`, width: round(width), height: round(height), role: "img", "aria-label": `${title}. ${says}` }, host);
  return root;
}
