// What every side of the page shares: its data, rows of numbers, moments as a clock tells them.

const PAGE = JSON.parse(document.getElementById("data").textContent);
const NONE = -1;

/** Return how many entries of a sorted row are not after `t`. */
function upTo(row, t) {
  let low = 0, high = row.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (row[middle] <= t) low = middle + 1; else high = middle;
  }
  return low;
}

/** Return the running sums of steps. */
function sums(steps) {
  let at = 0;
  return steps.map((step) => (at += step));
}
const different = (row) => row.filter((t, i) => i === 0 || t !== row[i - 1]);

/** Return the record with its rows of numbers, see `pack.py`. */
async function unpacked(rest, text) {
  const packed = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  let at = 0;
  const number = () => {
    let found = 0, place = 1;
    for (; bytes[at] > 127; place *= 128) found += (bytes[at++] & 127) * place;
    found += bytes[at++] * place;
    return found % 2 ? -(found + 1) / 2 : found / 2;
  };
  const filled = (value) => {
    if (value === true) return Array.from({ length: number() }, number);
    if (Array.isArray(value)) return value.map(filled);
    return value && typeof value === "object" ? Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, filled(inner)])) : value;
  };
  return filled(rest);
}

const two = (n) => String(n).padStart(2, "0");
function hms(ms) {
  const s = Math.floor(Math.abs(ms) / 1000 + 1e-9);
  return `${ms < 0 ? "-" : ""}${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}
/** Return a moment as shift and time in it, or as time of the run where no shift is. */
function clock(t) {
  const i = PAGE.shifts.findIndex(([begin, end]) => begin <= t && t <= end && !(t === end && t < PAGE.length));
  return i < 0 ? `run ${hms(t + PAGE.start)}` : `shift ${i + 1}, ${hms(t - PAGE.shifts[i][0])}`;
}
const shortClock = (t) => clock(t).replace("shift ", "s").replace(", ", " ");
/** Return a length of time as people say it. */
function lasting(ms) {
  if (ms < 60000) return `${(ms / 1000).toFixed(ms < 10000 ? 1 : 0)} s`;
  return ms < 3600000 ? `${(ms / 60000).toFixed(1)} min` : `${(ms / 3600000).toFixed(2)} h`;
}
const number = (job) => `#${job + 1}`;
const listed = (words) => (words.length < 2 ? words.join("") : `${words.slice(0, -1).join(", ")} and ${words[words.length - 1]}`);

/** Return round moments for an axis: about one every `room` px. */
function roundMoments(begin, end, width, room) {
  const steps = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400].map((s) => s * 1000);
  const step = steps.find((s) => (s / (end - begin)) * width >= room) || steps[steps.length - 1];
  const shift = [...PAGE.shifts].reverse().find(([from]) => from <= begin), zero = shift ? shift[0] : -PAGE.start;
  const found = [];
  for (let t = zero + Math.ceil((begin - zero) / step) * step; t <= end; t += step) found.push(t);
  return { found, step };
}
/** Return a moment for an axis: time in the shift, seconds only where they matter. */
function axisClock(t, step) {
  const text = clock(t).replace(/^(shift \d+, |run )/, "");
  return step % 60000 ? text : text.replace(/:\d\d$/, "");
}
