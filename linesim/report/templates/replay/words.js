// What happens, in words.

const unit = (flow, job) => (flow ? `${LINE.flows[flow].name} unit ${number(job)}` : number(job));
const people = (who) => listed(who.map((o) => LINE.operators[o]));
const causeWords = (stop) => LINE.causes[stop.cause][stop.station === NONE ? "of_section" : "words"];
const stopPlace = (stop) => (stop.station === NONE ? LINE.sections[stop.section].name : LINE.stations[stop.station].name);

function placeName(kind, place) {
  return [LINE.sections, LINE.stations, LINE.buffers, LINE.bays][kind][place].name;
}
function taskWords(piece) {
  const task = LINE.tasks[piece.task];
  const name = piece.fault === NONE ? task.name : `putting right ${LINE.faults[piece.fault]}`;
  return LINE.tasks[piece.task].station === piece.station ? name : `${name} (of ${LINE.stations[task.station].name})`;
}
function byWhom(piece) {
  const who = piece.who.map((o) => LINE.operators[o]);
  if (piece.fault === NONE && LINE.tasks[piece.task].station === piece.station) who.push(...LINE.tasks[piece.task].robots);
  return who.length ? `, ${listed(who)}` : "";
}

const FINISHED = NOTES.filter((note) => note.what === "line-off" && note.t > 0).map((note) => note.t);
const madeAt = (t) => upTo(FINISHED, t);
/** Return how many jobs the plan has by a moment. */
function plannedAt(t) {
  const { at, jobs } = side.planned, i = Math.min(at.length - 1, upTo(at, t));
  if (!i) return jobs[0];
  return jobs[i - 1] + ((jobs[i] - jobs[i - 1]) * Math.min(1, (t - at[i - 1]) / Math.max(1, at[i] - at[i - 1])));
}

// Everything that happens, in order: [moment, rank within it, job of the main line or NONE, what makes its words].

const HAPPENINGS = [];
const tell = (t, rank, flow, job, words) => {
  if (t >= 0 && t <= PAGE.length) HAPPENINGS.push([t, rank, flow === 0 ? job : NONE, words]);
};
function noteWords(note) {
  const at = note.station === NONE ? "" : ` at ${LINE.stations[note.station].name}`, job = number(note.job);
  const task = note.task === NONE ? "" : LINE.tasks[note.task].name;
  switch (note.what) {
    case "line-on": return `${unit(note.where + 1, note.job)} comes onto the line`;
    case "line-off": return `${job} leaves the line as finished`;
    case "scrap": return `${unit(note.where + 1, note.job)} is scrapped`;
    case "merge": return `${job} takes its unit of ${LINE.flows[note.where + 1].name}`;
    case "redo": return `${job}${at}: ${task} went wrong and is done again`;
    case "open work": return `${job} has open work from ${LINE.stations[note.station].name}`;
    case "fault": return `${job}${at}: a fault is left, ${LINE.faults[note.where]}`;
    case "found": return `${job}${at}: a fault is found, ${LINE.faults[note.where]}`;
    case "put right": return `${job}${at}: ${note.where === NONE ? task : LINE.faults[note.where]} is put right`;
    case "bay in": return `${job} goes into ${LINE.bays[note.where].name}`;
    case "bay out": return `${job} leaves ${LINE.bays[note.where].name}`;
    case "call": return `${LINE.stations[note.station].name} calls for help with ${job}`;
    case "help": return `${LINE.operators[note.who]} comes to help${at} with ${job}`;
    case "fail": return `failure begins: ${LINE.modes[note.where]}`;
    case "repaired": return `failure over: ${LINE.modes[note.where]}`;
    case "on": return `working time begins: ${LINE.calendars[note.where]}`;
    default: return `working time ends: ${LINE.calendars[note.where]}`;
  }
}
for (const note of NOTES) {
  const flow = note.what === "line-on" || note.what === "scrap" ? note.where + 1 : note.station === NONE ? 0 : FLOW_OF[STATION][note.station];
  tell(note.t, note.what === "on" || note.what === "off" ? 0 : 2, flow, note.job, () => noteWords(note));
}
for (const { pieces } of WORK) for (const p of pieces) {
  const flow = FLOW_OF[STATION][p.station], at = LINE.stations[p.station].name, what = () => `${taskWords(p)} on ${number(p.job)}`;
  if (p.walk < p.begin && p.who.length) tell(p.walk, 6, flow, p.job, () => `${at}: ${people(p.who)} ${p.who.length > 1 ? "set" : "sets"} out to ${number(p.job)}`);
  if (p.begin < p.end) tell(p.begin, 7, flow, p.job, () => `${at}: ${what()} begins${byWhom(p)}`);
  for (const [rests, goesOn] of p.pauses) {
    tell(rests, 1, flow, p.job, () => `${at}: ${what()} rests`);
    tell(goesOn, 7, flow, p.job, () => `${at}: ${what()} goes on`);
  }
  tell(p.end, 1, flow, p.job, () => `${at}: ${what()} is ${p.left ? "broken off" : "done"}${byWhom(p)}`);
}
BELTS.forEach((belt, s) => belt && belt.marks.forEach((t) => tell(t, 4, NONE, NONE, () => `${LINE.sections[s].name}: mark, every job passes on`)));
for (const kind of STAYS) for (const place of kind) for (const stay of place) {
  const flow = FLOW_OF[stay.kind][stay.place], name = placeName(stay.kind, stay.place);
  if (stay.kind !== BAY) tell(stay.begin, 5, flow, stay.job, () => `${unit(flow, stay.job)} comes to ${name}`);
}
for (const stop of STOPS) {
  const name = LINE.sections[stop.section].name;
  tell(stop.begin, 8, NONE, NONE, () => `${name} stands: ${stopPlace(stop)}, ${causeWords(stop)}`);
  if (!STOPS.some((next) => next.section === stop.section && next.begin === stop.end)) {
    tell(stop.end, 8, NONE, NONE, () => (isAt(DUTY[stop.section], stop.end) ? `${name} goes on` : `${name} is off duty`));
  }
}
HAPPENINGS.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
const HAPPEN_AT = HAPPENINGS.map((h) => h[0]);
const INSTANTS = different(HAPPEN_AT);
const MARKS = different(BELTS.flatMap((belt) => (belt ? belt.marks : [])).sort((a, b) => a - b));
const happeningsAt = (t) => HAPPENINGS.slice(upTo(HAPPEN_AT, t - 0.5), upTo(HAPPEN_AT, t));

/** Return the moments at which something happens to one job. */
function instantsOf(job) {
  const belts = (JOBS[0].get(job) || []).filter((stay) => stay.kind === SECTION);
  const moves = belts.flatMap((stay) => BELTS[stay.place].marks.filter((t) => stay.begin < t && t <= stay.end));
  return different([...HAPPENINGS.filter((h) => h[2] === job).map((h) => h[0]), ...moves].sort((a, b) => a - b));
}

/** Return what happens to one job at a moment, in words; at a mark also where it passes into. */
function happeningsTo(job, t) {
  const told = happeningsAt(t).filter((h) => h[2] === job).map((h) => h[3]());
  const stay = stayOf(0, job, t), belt = stay && stay.kind === SECTION ? BELTS[stay.place] : null;
  if (belt && stay.begin < t && belt.marks.includes(t)) told.unshift(`${number(job)} passes on and is ${whereIs(0, job, t)}`);
  return told;
}

/** Return where a job is, in words. */
function whereIs(flow, job, t) {
  const stay = stayOf(flow, job, t);
  if (!stay) return "not on the line";
  if (stay.kind !== SECTION) return `${stay.kind === STATION ? "at" : "in"} ${placeName(stay.kind, stay.place)}`;
  const stations = LINE.sections[stay.place].stations;
  const at = Math.min(stations.length - 1, stationOf(BELTS[stay.place], stay.mark, t));
  return `at ${LINE.stations[stations[at]].name}`;
}
