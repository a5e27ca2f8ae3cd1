// The page of the desk: sends what is done, shows each part as the program has it. Every part comes as HTML
// that the program has escaped; what a person typed is only ever shown as text.
const byId = (id) => document.getElementById(id);
const form = byId("form");
let dragged = null;

// ---- parts ---------------------------------------------------------------------------------------------------

const waiting = new Map();

// What a control is called, so that it is found again when its part is shown anew.
const keyOf = (one) => one.dataset.key || one.id || one.getAttribute("href") || one.getAttribute("aria-label") || one.closest("details")?.id;

function show({ n, name, html }) {
  const part = byId(`part-${name}`);
  if (!part || (n !== undefined && n <= Number(part.dataset.n))) return;
  if (dragged && name === "strip") {
    waiting.set(name, { n, name, html });
    return;
  }
  const held = part.contains(document.activeElement) ? keyOf(document.activeElement) : undefined;
  const folds = new Map(Array.from(part.querySelectorAll("details[id]"), (fold) => [fold.id, fold.open]));
  if (n !== undefined) part.dataset.n = n;
  part.innerHTML = html;
  for (const fold of part.querySelectorAll("details[id]")) if (folds.has(fold.id)) fold.open = folds.get(fold.id);
  if (held !== undefined) {
    const again = Array.from(part.querySelectorAll("a, button, select, summary, [tabindex]")).find((one) => keyOf(one) === held);
    (again ?? part.closest("section") ?? part).focus({ preventScroll: true });
  }
  mark();
}

// What scrolls is marked as on every page (scroll.js), and which station the open form is of; where the answer is
// out of sight, its first line stands at the foot of the window.
function mark() {
  markScrolling();
  byId("brief").textContent = document.querySelector("#part-answer .lead").textContent;
  const open = location.hash.slice(1);
  for (const one of document.querySelectorAll(".station")) {
    if (one.hash.slice(1) === open) one.setAttribute("aria-current", "true");
    else one.removeAttribute("aria-current");
  }
}

// ---- what is done ---------------------------------------------------------------------------------------------

function say(text) {
  byId("said").textContent = text;
}

async function send(address, body, type = "application/json") {
  try {
    const answer = await fetch(address, { method: "POST", headers: { "Content-Type": type }, body });
    const text = await answer.text();
    try {
      return JSON.parse(text);
    } catch {
      return { problems: [{ place: "", says: text }] };
    }
  } catch {
    return { problems: [{ place: "", says: "The desk does not answer; was it closed?" }] };
  }
}

// Shows each problem beside its field, and those without one at the end of the form or on top.
function tell(problems, where) {
  for (const old of where?.querySelectorAll(".wrong") ?? []) old.textContent = "";
  for (const old of where?.querySelectorAll("[aria-invalid]") ?? []) old.removeAttribute("aria-invalid");
  const rest = [];
  let first = null;
  for (const { place, says } of problems) {
    const own = where?.dataset.place ?? "";
    const inside = own === "" ? place : place.startsWith(`${own}.`) ? place.slice(own.length + 1) : "";
    const name = inside.split(/[.[]/)[0];
    const field = name ? Array.from(where?.querySelectorAll("[data-field]") ?? []).find((one) => one.dataset.field === name) : null;
    if (field) {
      const control = field.querySelector("input, select");
      control.setAttribute("aria-invalid", "true");
      const box = field.querySelector(".wrong");
      box.textContent = box.textContent ? `${box.textContent}\n${says}` : says;
      first ??= control;
    } else rest.push(place && place !== own ? `${place}: ${says}` : says);
  }
  if (rest.length) {
    const boxes = Array.from(where?.querySelectorAll(".wrong") ?? []);
    const box = boxes.filter((one) => !one.closest("[data-field]")).at(-1);
    if (box) box.textContent = rest.join("\n");
    else say(rest.join(" "));
  }
  first?.focus();
}

async function act(what, given, where) {
  const found = await send(`/do/${what}`, JSON.stringify(given));
  if (found.problems) {
    tell(found.problems, where);
    return false;
  }
  tell([], where);
  if (found.said) say(found.said);
  if (what !== "look" && what !== "study") await fill();
  return true;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-do]");
  if (button) {
    const { do: what, key, ...given } = button.dataset;
    void act(what, given, button.closest("form"));
  }
  if (event.target.closest("[data-close]")) close();
  if (event.target.closest("[data-open]")) {
    event.preventDefault();
    void open("");
  }
});

document.addEventListener("submit", async (event) => {
  event.preventDefault();
  const sent = event.target;
  const values = Object.fromEntries(Array.from(new FormData(sent)).filter(([, value]) => typeof value === "string"));
  if (sent.id === "bring") return bring(sent);
  if (sent.dataset.confirm) return confirmed(sent, event.submitter);
  const { do: what, fields, ...given } = sent.dataset;
  const done = await act(what, fields ? { ...given, [fields]: values } : { ...given, ...values }, sent);
  if (done && sent.classList.contains("row")) sent.reset();
});

// ---- the form of one thing: its place is the address -----------------------------------------------------------

let opened = null;

async function open(place, { focus = true } = {}) {
  const answer = await fetch(`/form?place=${encodeURIComponent(place)}`);
  const html = await answer.text();
  if (!answer.ok) return say(html);
  const held = form.contains(document.activeElement) ? document.activeElement.id : "";
  opened = place;
  form.innerHTML = html;
  form.hidden = false;
  mark();
  if (focus) {
    form.scrollIntoView({ block: "nearest" });
    form.focus({ preventScroll: true });
  } else if (held) (byId(held) ?? form).focus({ preventScroll: true });
}

function close() {
  opened = null;
  form.hidden = true;
  form.replaceChildren();
  history.pushState(null, "", location.pathname);
  mark();
}

// After a change the open form says what is now, and the focus stays where it was.
async function fill() {
  if (opened !== null) await open(opened, { focus: false });
}

const named = (hash) => /^#[\w-]+(\.[\w-]+)*$/u.test(hash) && !byId(hash.slice(1));
function follow() {
  const hash = decodeURIComponent(location.hash);
  if (named(hash)) void open(hash.slice(1));
}
addEventListener("hashchange", follow);

// ---- a task is dragged to a station ----------------------------------------------------------------------------

const station = (event) => event.target.closest?.("[data-drop]");
document.addEventListener("dragstart", (event) => {
  const task = event.target.closest?.("[data-task]");
  if (!task) return;
  dragged = task.dataset.task;
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", dragged);
});
document.addEventListener("dragover", (event) => {
  if (dragged && station(event)) {
    event.preventDefault();
    station(event).classList.add("over-it");
  }
});
document.addEventListener("dragleave", (event) => station(event)?.classList.remove("over-it"));
document.addEventListener("drop", (event) => {
  const target = station(event);
  if (!dragged || !target) return;
  event.preventDefault();
  target.classList.remove("over-it");
  void act("change", { place: dragged, at: target.dataset.drop }, null);
});
document.addEventListener("dragend", () => {
  dragged = null;
  for (const part of waiting.values()) show(part);
  waiting.clear();
});

// ---- a file is brought in --------------------------------------------------------------------------------------

async function bring(sent) {
  const [file] = byId("a-file").files;
  if (!file) return tell([{ place: "", says: "Choose a file first." }], sent);
  const found = await send(`/upload?name=${encodeURIComponent(file.name)}`, file, "application/octet-stream");
  if (found.problems) return tell(found.problems, sent);
  tell([], sent);
  show({ name: found.part, html: found.html });
}

async function confirmed(sent, button) {
  const inputs = Array.from(sent.querySelectorAll("input"));
  const told = inputs.filter((one) => (one.type === "checkbox" ? one.checked : one.value !== one.dataset.was));
  const values = Object.fromEntries(told.map((one) => [one.name, one.value]));
  const write = button?.dataset.write ?? "no";
  const found = await send("/confirm", JSON.stringify({ write, values }));
  if (found.problems) return tell(found.problems, sent);
  if (found.said) say(found.said);
  show({ name: found.part, html: found.html });
}

// ---- one stream for all open pages -----------------------------------------------------------------------------

// A browser opens few connections to one address, so one page listens and tells the others; when it is closed,
// another listens.
const others = new BroadcastChannel("desk");
const silent = "The desk does not answer; was it closed?";
others.onmessage = ({ data }) => (data.silent ? say(silent) : show(data));
void navigator.locks.request("desk-stream", () => new Promise(() => {
  const stream = new EventSource("/events");
  stream.onmessage = ({ data }) => {
    const part = JSON.parse(data);
    show(part);
    others.postMessage(part);
  };
  stream.onerror = () => {
    say(silent);
    others.postMessage({ silent: true });
  };
  stream.onopen = () => {
    if (byId("said").textContent === silent) say("");
  };
}));

addEventListener("focus", () => void act("look", {}, null));
mark();
follow();
