// The reader's hand: steps, plays, turns pages, follows a job.

const MINUTE = 60000;
const TAKT = Math.max(...LINE.sections.map((section) => section.takt));
const state = { now: 0, from: 0, to: 0, followed: null, playing: false, station: DRIFTING[0] ?? NONE };
const parts = { ruler: null, strip: null, paths: null, drift: null };
let drawn = "";

const worstStop = D.worst === null ? null : STOPS[D.worst];
const which = () => id("which").value;
const countsAsStop = (stop) => which() === "every" || (which() === "own" ? !stop.passedOn : stop.end - stop.begin >= MINUTE);
const only = () => id("only").checked && state.followed !== null;
let instants = INSTANTS;

function usualLength() {
  const least = worstStop ? 2.5 * (worstStop.end - worstStop.begin) : 0;
  return Math.min(D.length, Math.max(least, Math.min(40 * MINUTE, Math.max(5 * MINUTE, 8 * TAKT))));
}
function turnTo(middle, length) {
  const long = Math.min(D.length, Math.max(10000, length));
  state.from = Math.max(0, Math.min(D.length - long, middle - long / 2));
  state.to = state.from + long;
}
/** Show a moment; the page of the diagram is turned when the moment leaves it. */
function goTo(t) {
  state.now = Math.max(0, Math.min(D.length, t));
  const long = state.to - state.from;
  if (state.now < state.from || state.now > state.to) {
    const start = Math.floor(state.now / long) * long;
    state.from = Math.max(0, Math.min(D.length - long, start));
    state.to = state.from + long;
  }
  show();
}
function show() {
  const { now, from, to, followed, station } = state;
  parts.ruler(now, from, to);
  parts.strip(now, followed);
  const wanted = `${from} ${to} ${followed} ${station}`;
  if (wanted !== drawn) {
    parts.paths = drawPaths(id("paths"), from, to, followed, follow);
    parts.drift = station === NONE ? () => {} : drawDrift(id("drift"), station, from, to);
    id("page-told").textContent = `${clock(from)} to ${clock(to)}`;
    drawn = wanted;
  }
  parts.paths(now);
  parts.drift(now);
  const slider = id("ruler");
  slider.setAttribute("aria-valuenow", Math.round(now / 1000));
  slider.setAttribute("aria-valuetext", clock(now));
  if (!state.playing || performance.now() - (show.told || 0) > 250) tellAll();
}
function tellAll() {
  show.told = performance.now();
  tellMoment(state.now, state.followed, only());
  if (id("stations-fold").open) tellStations(state.now);
  if (id("people-fold").open) tellPeople(state.now);
  if (state.followed !== null && show.told) tellJob(state.followed, state.now);
}

// Steps

function step(row, forward) {
  const at = forward ? upTo(row, state.now) : upTo(row, state.now - 0.5) - 1;
  if (at < 0 || at >= row.length) say(forward ? "No later one in this window." : "No earlier one in this window.");
  else { say(""); goTo(row[at]); }
}
const stopBegins = () => different(STOPS.filter((stop) => countsAsStop(stop) && stop.begin >= 0).map((stop) => stop.begin));
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
  if (DRIFTING.includes(stop.station)) state.station = Number((id("station").value = stop.station));
  goTo(Math.max(0, stop.begin));
}

// Playing: so much of the line's time a second, or an event or mark a second as one leafs through a pad.

let last = 0, spent = 0;
function play(on) {
  if (on && state.now >= D.length) state.now = 0;
  state.playing = on;
  id("play").textContent = on ? "Hold" : "Play on";
  id("play").setAttribute("aria-pressed", String(on));
  id("moment").setAttribute("aria-live", on ? "off" : "polite");
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
    if (state.now >= D.length) return play(false);
  }
  requestAnimationFrame(tick);
}
/** Return the moment, or the next at which any section is on duty: nights are leafed over. */
function workingTimeAt(t) {
  if (t >= D.length || DUTY.some((duty) => isAt(duty, t))) return t;
  const next = DUTY.flatMap((duty) => duty.at.filter((at, i) => at > t && duty.is[i]));
  return Math.min(D.length, ...next);
}

// Following a job

function follow(job) {
  state.followed = job;
  id("follow").value = job === null ? "" : job + 1;
  id("only").disabled = job === null;
  if (job === null) {
    id("only").checked = false;
    id("followed").hidden = true;
  }
  chooseInstants();
  const stays = job === null ? [] : JOBS[0].get(job) || [];
  if (stays.length && !stays.some((stay) => stay.begin <= state.to && stay.end >= state.from)) goTo(Math.max(0, stays[0].begin));
  else show();
  tellAll();
}
function chooseInstants() {
  instants = only() ? instantsOf(state.followed) : INSTANTS;
}
function followTyped() {
  const text = id("follow").value.trim().replace(/^#/, "");
  if (text === "") return follow(null);
  const job = Number(text) - 1;
  if (!JOBS[0].has(job)) {
    const known = [...JOBS[0].keys()];
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
  else if (button.dataset.stop) {
    showStop(STOPS[Number(button.dataset.stop)]);
    id("moment").scrollIntoView({ block: "start" });
  }
});
id("ruler").addEventListener("keydown", (event) => {
  const steps = { ArrowRight: 10000, ArrowUp: 10000, ArrowLeft: -10000, ArrowDown: -10000, PageDown: -5 * MINUTE, PageUp: 5 * MINUTE };
  if (event.key in steps) goTo(state.now + steps[event.key]);
  else if (event.key === "Home") goTo(0);
  else if (event.key === "End") goTo(D.length);
  else return;
  event.preventDefault();
});
id("ruler").addEventListener("pointerdown", (event) => {
  const go = (e) => goTo(Math.round(rulerAt(e.clientX - id("ruler").getBoundingClientRect().left)));
  go(event);
  id("ruler").setPointerCapture(event.pointerId);
  id("ruler").onpointermove = go;
  id("ruler").onpointerup = id("ruler").onpointercancel = () => (id("ruler").onpointermove = null);
});
id("follow").addEventListener("change", followTyped);
id("follow").addEventListener("keydown", (event) => { if (event.key === "Enter") followTyped(); });
id("unfollow").addEventListener("click", () => follow(null));
id("only").addEventListener("change", () => { chooseInstants(); tellAll(); });
id("station").addEventListener("change", () => { state.station = Number(id("station").value); show(); });
id("which").addEventListener("change", listStops);
for (const fold of ["stations-fold", "people-fold"]) id(fold).addEventListener("toggle", tellAll);
function listStops() {
  let n = 0;
  for (const row of document.querySelectorAll("#stops tbody tr")) {
    row.hidden = !countsAsStop(STOPS[Number(row.dataset.stop)]);
    n += !row.hidden;
  }
  id("listed").textContent = `${n} of ${STOPS.length} stops`;
}

// Beginning, and beginning again when the window is another size

function layOut() {
  parts.ruler = drawRuler(id("ruler"));
  parts.strip = drawStrip(id("strip"), follow);
  drawn = "";
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
id("ruler").setAttribute("aria-valuemax", Math.round(D.length / 1000));
for (const k of DRIFTING) html("option", { value: k }, id("station"), LINE.stations[k].name);
id("drift-part").hidden = !DRIFTING.length;
id("people-fold").hidden = !LINE.operators.length;
if (matchMedia("(prefers-reduced-motion: reduce)").matches) id("pace").value = "event";
turnTo(0, usualLength());
layOut();
if (worstStop) showStop(worstStop);
if (STOPS.length) listStops();
document.body.dataset.ready = "yes";
