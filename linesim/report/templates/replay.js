// The reader's hand: steps, plays, turns pages, follows a job, on every side of the page at once.

const WORLDS = [];
for (const side of PAGE.sides) WORLDS.push(await worldOf(side));
const MINUTE = 60000;
const merged = (rows) => different(rows.flat().sort((a, b) => a - b));
const INSTANTS = merged(WORLDS.map((world) => world.INSTANTS)), MARKS = merged(WORLDS.map((world) => world.MARKS));
const STOPS = WORLDS.flatMap((world) => world.STOPS.map((stop) => ({ ...stop, world })));
const TAKT = Math.max(...WORLDS.flatMap((world) => world.LINE.sections.map((section) => section.takt)));
const state = { now: 0, from: 0, to: 0, followed: null, playing: false, stations: WORLDS.map((world) => world.DRIFTING[0] ?? NONE) };
const drawings = WORLDS.map(() => ({ drawn: "" }));

const worstStop = PAGE.worst === null ? null : STOPS[PAGE.worst];
const which = () => id("which").value;
const countsAsStop = (stop) => which() === "every" || (which() === "own" ? !stop.passedOn : stop.end - stop.begin >= MINUTE);
const only = () => id("only").checked && state.followed !== null;
let instants = INSTANTS;

function usualLength() {
  const least = worstStop ? 2.5 * (worstStop.end - worstStop.begin) : 0;
  return Math.min(PAGE.length, Math.max(least, Math.min(40 * MINUTE, Math.max(5 * MINUTE, 8 * TAKT))));
}
function turnTo(middle, length) {
  const long = Math.min(PAGE.length, Math.max(10000, length));
  state.from = Math.max(0, Math.min(PAGE.length - long, middle - long / 2));
  state.to = state.from + long;
}
/** Show a moment; the page of the diagram is turned when the moment leaves it. */
function goTo(t) {
  state.now = Math.max(0, Math.min(PAGE.length, t));
  const long = state.to - state.from;
  if (state.now < state.from || state.now > state.to) {
    const start = Math.floor(state.now / long) * long;
    state.from = Math.max(0, Math.min(PAGE.length - long, start));
    state.to = state.from + long;
  }
  show();
}
function show() {
  const { now, from, to, followed } = state;
  WORLDS.forEach((world, i) => {
    const parts = drawings[i], station = state.stations[i], wanted = `${from} ${to} ${followed} ${station}`;
    parts.ruler(now, from, to);
    parts.strip(now, followed);
    if (wanted !== parts.drawn) {
      parts.paths = world.drawPaths(world.id("paths"), from, to, followed, follow);
      parts.drift = station === NONE ? () => {} : world.drawDrift(world.id("drift"), station, from, to);
      parts.drawn = wanted;
    }
    parts.paths(now);
    parts.drift(now);
    const slider = world.id("ruler");
    slider.setAttribute("aria-valuenow", Math.round(now / 1000));
    slider.setAttribute("aria-valuetext", clock(now));
    world.tellCount(now);
  });
  id("page-told").textContent = `${clock(from)} to ${clock(to)}`;
  id("clock").textContent = clock(now);
  id("run-time").textContent = clock(now).startsWith("run") ? "" : `${hms(now + PAGE.start)} of the run; diagrams: ${clock(from).replace(/^.*, /, "")} to ${clock(to).replace(/^.*, /, "")}`;
  id("clock").dataset.tick = Math.round(now + PAGE.start);
  if (!state.playing || performance.now() - (show.told || 0) > 250) tellAll();
}
function tellAll() {
  show.told = performance.now();
  for (const world of WORLDS) {
    world.tellMoment(state.now, state.followed, only());
    if (world.id("stations-fold").open) world.tellStations(state.now);
    if (world.id("people-fold").open) world.tellPeople(state.now);
    if (state.followed !== null) world.tellJob(state.followed, state.now);
  }
}

// Steps

function step(row, forward) {
  const at = forward ? upTo(row, state.now) : upTo(row, state.now - 0.5) - 1;
  if (at < 0 || at >= row.length) say(forward ? "No later one in this window." : "No earlier one in this window.");
  else { say(""); goTo(row[at]); }
}
const stopBegins = () => merged([STOPS.filter((stop) => countsAsStop(stop) && stop.begin >= 0).map((stop) => stop.begin)]);
function say(text) {
  id("said").textContent = text;
}
const ACTS = {
  "previous-event": () => step(instants, false), "next-event": () => step(instants, true),
  "previous-mark": () => step(MARKS, false), "next-mark": () => step(MARKS, true),
  "previous-stop": () => step(stopBegins(), false), "next-stop": () => step(stopBegins(), true),
  play: () => play(!state.playing),
  earlier: () => turnPage(-1), later: () => turnPage(1),
  closer: () => { turnTo(middleOfPage(), (state.to - state.from) / 2); show(); },
  wider: () => { turnTo(middleOfPage(), (state.to - state.from) * 2); show(); },
  "around-now": () => { turnTo(state.now, usualLength()); show(); },
  "around-worst": () => showStop(worstStop),
};
function middleOfPage() {
  const { now, from, to } = state;
  return from <= now && now <= to ? now : (from + to) / 2;
}
function turnPage(way) {
  const long = state.to - state.from;
  turnTo((state.from + state.to) / 2 + way * long, long);
  if (state.now < state.from || state.now > state.to) state.now = way > 0 ? state.from : state.to;
  show();
}
function showStop(stop) {
  if (!stop) return;
  turnTo((stop.begin + stop.end) / 2, Math.max(usualLength(), 2.5 * (stop.end - stop.begin)));
  if (stop.world.DRIFTING.includes(stop.station)) state.stations[WORLDS.indexOf(stop.world)] = Number((stop.world.id("station").value = stop.station));
  goTo(Math.max(0, stop.begin));
}
/** Show a moment with what is around it. */
function showMoment(t) {
  turnTo(t, usualLength());
  goTo(t);
}

// Playing: so much of the line's time a second, or an event or mark a second as one leafs through a pad.

let last = 0, spent = 0;
function play(on) {
  if (on && state.now >= PAGE.length) state.now = 0;
  state.playing = on;
  id("play").textContent = on ? "Hold" : "Play on";
  id("play").setAttribute("aria-pressed", String(on));
  for (const world of WORLDS) world.id("moment").setAttribute("aria-live", on ? "off" : "polite");
  last = performance.now();
  spent = 0;
  if (on) requestAnimationFrame(tick);
  else show();
}
function tick(at) {
  if (!state.playing) return;
  const passed = Math.max(0, Math.min(250, at - last)), pace = id("pace").value;
  last = at;
  if (pace === "event" || pace === "mark") {
    spent += passed;
    const row = pace === "event" ? instants : MARKS;
    if (spent >= 1000) {
      spent = 0;
      if (upTo(row, state.now) >= row.length) return play(false);
      goTo(row[upTo(row, state.now)]);
    }
  } else {
    goTo(workingTimeAt(state.now + passed * Number(pace)));
    if (state.now >= PAGE.length) return play(false);
  }
  requestAnimationFrame(tick);
}
/** Return the moment, or the next at which any section is on duty: nights are leafed over. */
function workingTimeAt(t) {
  const duties = WORLDS.flatMap((world) => world.DUTY);
  if (t >= PAGE.length || duties.some((duty) => duty.is[Math.max(0, upTo(duty.at, t) - 1)])) return t;
  const next = duties.flatMap((duty) => duty.at.filter((at, i) => at > t && duty.is[i]));
  return Math.min(PAGE.length, ...next);
}

// Following a job

const JOBS = (job) => WORLDS.flatMap((world) => world.JOBS[0].get(job) || []);
function follow(job) {
  state.followed = job;
  id("follow").value = job === null ? "" : job + 1;
  id("only").disabled = job === null;
  if (job === null) {
    id("only").checked = false;
    for (const world of WORLDS) world.id("followed").hidden = true;
  }
  chooseInstants();
  const stays = job === null ? [] : JOBS(job);
  if (stays.length && !stays.some((stay) => stay.begin <= state.to && stay.end >= state.from)) goTo(Math.max(0, stays[0].begin));
  else show();
  tellAll();
}
function chooseInstants() {
  instants = only() ? merged(WORLDS.map((world) => world.instantsOf(state.followed))) : INSTANTS;
}
function followTyped() {
  const text = id("follow").value.trim().replace(/^#/, "");
  if (text === "") return follow(null);
  const job = Number(text) - 1;
  if (!JOBS(job).length) {
    const known = WORLDS.flatMap((world) => [...world.JOBS[0].keys()]);
    return say(known.length ? `There is no job ${text} in this window; it has #${Math.min(...known) + 1} to #${Math.max(...known) + 1}.` : "No job comes in this window.");
  }
  say("");
  follow(job);
}

// Keys, and everything else that is pressed

const KEYS = {
  n: "next-event", p: "previous-event", m: "next-mark", M: "previous-mark", s: "next-stop", S: "previous-stop",
  " ": "play", "[": "earlier", "]": "later", "+": "closer", "-": "wider", w: "around-worst",
};
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
  const at = event.target, typing = at.matches("input:not([type=checkbox]), select, textarea");
  if (typing || (event.key === " " && at.matches("button, summary, input, a"))) return;
  if (!id("keys").checked) return;
  if (event.key === "f") id("follow").focus();
  else if (KEYS[event.key]) ACTS[KEYS[event.key]]();
  else return;
  event.preventDefault();
});
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.act) ACTS[button.dataset.act]();
  else if (button.dataset.sort) sortStops(button);
  else if (button.dataset.stop || button.dataset.moment) {
    if (button.dataset.stop) showStop(STOPS[Number(button.dataset.stop)]);
    else showMoment(Number(button.dataset.moment));
    id("sides").scrollIntoView({ block: "start" });
  }
});
for (const world of WORLDS) {
  const ruler = world.id("ruler");
  ruler.addEventListener("keydown", (event) => {
    const steps = { ArrowRight: 10000, ArrowUp: 10000, ArrowLeft: -10000, ArrowDown: -10000, PageDown: -5 * MINUTE, PageUp: 5 * MINUTE };
    if (event.key in steps) goTo(state.now + steps[event.key]);
    else if (event.key === "Home") goTo(0);
    else if (event.key === "End") goTo(PAGE.length);
    else return;
    event.preventDefault();
  });
  ruler.addEventListener("pointerdown", (event) => {
    const go = (e) => goTo(Math.round(ruler.momentAt(e.clientX - ruler.getBoundingClientRect().left)));
    go(event);
    ruler.setPointerCapture(event.pointerId);
    ruler.onpointermove = go;
    ruler.onpointerup = ruler.onpointercancel = () => (ruler.onpointermove = null);
  });
  ruler.setAttribute("aria-valuemax", Math.round(PAGE.length / 1000));
  world.id("unfollow").addEventListener("click", () => follow(null));
  world.id("station").addEventListener("change", () => { state.stations[WORLDS.indexOf(world)] = Number(world.id("station").value); show(); });
  for (const fold of ["stations-fold", "people-fold"]) world.id(fold).addEventListener("toggle", tellAll);
  for (const k of world.DRIFTING) html("option", { value: k }, world.id("station"), world.LINE.stations[k].name);
  world.id("drift-part").hidden = !world.DRIFTING.length;
  world.id("people-fold").hidden = !world.LINE.operators.length;
}
id("follow").addEventListener("change", followTyped);
id("follow").addEventListener("keydown", (event) => { if (event.key === "Enter") followTyped(); });
id("only").addEventListener("change", () => { chooseInstants(); tellAll(); });
id("which").addEventListener("change", listStops);
function listStops() {
  let n = 0;
  for (const row of document.querySelectorAll("#stops tbody tr")) {
    row.hidden = !countsAsStop(STOPS[Number(row.dataset.stop)]);
    n += !row.hidden;
  }
  id("listed").textContent = `${n} of ${STOPS.length} stops`;
}
/** Sort the list of stops by a column; pressed again, the other way round. Lengths begin with the longest. */
function sortStops(button) {
  const head = button.closest("th"), place = [...head.parentElement.children].indexOf(head), body = document.querySelector("#stops tbody");
  const was = head.getAttribute("aria-sort"), first = button.dataset.sort === "length" ? "descending" : "ascending";
  const now = !was ? first : was === "ascending" ? "descending" : "ascending";
  for (const other of head.parentElement.children) other.removeAttribute("aria-sort");
  head.setAttribute("aria-sort", now);
  const stopOf = (row) => STOPS[Number(row.dataset.stop)];
  const order = {
    begin: (a, b) => stopOf(a).begin - stopOf(b).begin,
    length: (a, b) => stopOf(a).end - stopOf(a).begin - (stopOf(b).end - stopOf(b).begin),
    words: (a, b) => a.children[place].textContent.localeCompare(b.children[place].textContent, "en", { numeric: true }),
  }[button.dataset.sort];
  const rows = [...body.rows].sort((a, b) => (now === "ascending" ? 1 : -1) * order(a, b));
  body.append(...rows);
}

// Beginning, and beginning again when the window is another size

function layOut() {
  const [leaf, tools] = ["desk", "tools"].map((name) => (getComputedStyle(id(name)).position === "sticky" ? id(name).offsetHeight : 0));
  document.documentElement.style.setProperty("--leaf", `${leaf}px`);
  document.documentElement.style.setProperty("--desk", `${leaf + tools}px`);
  WORLDS.forEach((world, i) => {
    drawings[i].ruler = world.drawRuler(world.id("ruler"));
    drawings[i].strip = world.drawStrip(world.id("strip"), follow);
    drawings[i].drawn = "";
  });
  show();
}
let wide = document.documentElement.clientWidth;
addEventListener("resize", () => {
  if (document.documentElement.clientWidth === wide) return;
  wide = document.documentElement.clientWidth;
  layOut();
});
addEventListener("beforeprint", () => { play(false); document.body.classList.add("on-paper"); layOut(); });
addEventListener("afterprint", () => { document.body.classList.remove("on-paper"); layOut(); });

id("bare").hidden = true;
if (matchMedia("(prefers-reduced-motion: reduce)").matches) id("pace").value = "event";
turnTo(0, usualLength());
layOut();
if (worstStop) showStop(worstStop);
if (STOPS.length) listStops();
document.body.dataset.ready = "yes";
