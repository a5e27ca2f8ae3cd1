// What is where at a moment. Times are milliseconds from the start of the window.

const D = JSON.parse(document.getElementById("data").textContent);
const NONE = -1;
const RECORD = D.record, LINE = D.line;

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

/** Return where something that goes on and off was switched, and what it is from then on. */
function switched(row) {
  const at = [0, ...sums(row.slice(1))];
  return { at, is: at.map((_, i) => (row[0] + i) % 2) };
}

const isAt = (run, t) => run.is[Math.max(0, upTo(run.at, t) - 1)];
const sinceAt = (run, t) => run.at[Math.max(0, upTo(run.at, t) - 1)];

/** A conveyor: knots of its running time, and its marks. The same rules as `belts.py`. */
function beltOf(raw) {
  if (!raw) return null;
  const runs = switched(raw.runs), ran = [raw.ran];
  for (let i = 1; i < runs.at.length; i++) ran.push(ran[i - 1] + runs.is[i - 1] * (runs.at[i] - runs.at[i - 1]));
  return { ...raw, at: runs.at, is: runs.is, ranThen: ran, marks: sums(raw.marks) };
}
function ranAt(belt, t) {
  const i = Math.max(0, upTo(belt.at, t) - 1);
  return belt.ranThen[i] + belt.is[i] * (t - belt.at[i]);
}
/** Return the first moment at which the conveyor has run so long. */
function whenRan(belt, ran) {
  let i = belt.at.length - 1;
  while (i > 0 && belt.ranThen[i] >= ran) i--;
  return belt.at[i] + (ran - belt.ranThen[i]);
}
const passedAt = (belt, t) => belt.passed + upTo(belt.marks, t);
const stationOf = (belt, mark, t) => passedAt(belt, t) - mark;
function placeOf(belt, mark, t) {
  const ran = ranAt(belt, t);
  if (!belt.indexed) return ran / belt.takt - mark;
  const station = stationOf(belt, mark, t);
  if (!belt.transfer) return station + 0.5;
  const moved = 1 + (ran - (mark + station + 1) * belt.takt) / belt.transfer;
  return station + 0.5 + Math.min(1, Math.max(0, moved));
}

const BELTS = RECORD.belts.map(beltOf);
const DUTY = RECORD.duty.map(switched);

// Stays: which job is in which place.

const SECTION = 0, STATION = 1, BUFFER = 2, BAY = 3;
const FLOW_OF = [LINE.sections.map((s) => s.flow), LINE.stations.map((s) => LINE.sections[s.section].flow),
  LINE.buffers.map((b) => b.flow), LINE.bays.map((b) => LINE.sections[b.section].flow)];
const JOBS = LINE.flows.map(() => new Map()); // by flow and number: stays in order of time
function staysOf(row, kind, place) {
  const found = [];
  let job = 0, begin = 0;
  for (let i = 0; i < row.length; i += 4) {
    job += row[i];
    begin += row[i + 1];
    const end = row[i + 2] === NONE ? Infinity : begin + row[i + 2];
    found.push({ job, kind, place, begin, end, mark: row[i + 3] });
  }
  return found;
}
const STAYS = [RECORD.in_section, RECORD.in_station, RECORD.in_buffer, RECORD.in_bay].map((rows, kind) =>
  FLOW_OF[kind].map((_, place) => staysOf(rows[place] || [], kind, place)));
for (const kind of STAYS) for (const place of kind) for (const stay of place) {
  const jobs = JOBS[FLOW_OF[stay.kind][stay.place]];
  if (!jobs.has(stay.job)) jobs.set(stay.job, []);
  jobs.get(stay.job).push(stay);
}
for (const jobs of JOBS) for (const stays of jobs.values()) stays.sort((a, b) => a.begin - b.begin || a.end - b.end);
const staysAt = (kind, place, t) => STAYS[kind][place].filter((stay) => stay.begin <= t && t < stay.end);
const stayOf = (flow, job, t) => (JOBS[flow].get(job) || []).find((stay) => stay.begin <= t && t < stay.end);
const orderOf = (job) => RECORD.orders[RECORD.order_of[job - RECORD.first_job]] || "";

// Stops, work, states, and what else is told.

const STOPS = [];
for (let i = 0, begin = 0; i < RECORD.stops.length; i += 5) {
  const [section, step, lasts, station, cause] = RECORD.stops.slice(i, i + 5);
  begin += step;
  STOPS.push({ section, begin, end: begin + lasts, station, cause, passedOn: LINE.causes[cause].passed_on });
}
const stopAt = (section, t) => STOPS.find((stop) => stop.section === section && stop.begin <= t && t < stop.end);

const LEFT = 1, FAULT = 2, PAUSED = 4;
function workOf(row, station) {
  const found = [];
  for (let i = 0, walk = 0, job = 0; i < row.length;) {
    walk += row[i++];
    const before = row[i++], lasts = row[i++];
    job += row[i++];
    const task = row[i++], flags = row[i++], n = row[i++];
    const who = row.slice(i, i += n);
    const begin = before === NONE ? Infinity : walk + before;
    const piece = { station, job, task, who, walk, begin, left: Boolean(flags & LEFT), fault: NONE, pauses: [] };
    piece.end = lasts === NONE ? Infinity : begin + lasts;
    if (flags & FAULT) piece.fault = row[i++];
    if (flags & PAUSED) {
      for (let k = row[i++]; k > 0; k--) {
        const from = begin + row[i++], rest = row[i++];
        piece.pauses.push([from, rest === NONE ? Infinity : from + rest]);
      }
    }
    found.push(piece);
  }
  return found;
}
const WORK = RECORD.work.map((row, station) => {
  const pieces = workOf(row, station);
  const longest = Math.max(0, ...pieces.map((p) => (p.end === Infinity ? D.length : p.end) - p.walk));
  return { pieces, walks: pieces.map((p) => p.walk), longest };
});
function workAt(station, t) {
  const { pieces, walks, longest } = WORK[station], found = [];
  for (let i = upTo(walks, t) - 1; i >= 0 && walks[i] >= t - longest; i--) if (t < pieces[i].end) found.push(pieces[i]);
  return found.reverse();
}
function runOf(row) {
  const at = [0], is = [row[0]];
  for (let i = 1; i < row.length; i += 2) {
    at.push(at[at.length - 1] + row[i]);
    is.push(row[i + 1]);
  }
  return { at, is };
}
const STATION_RUNS = RECORD.stations.map(runOf), OPERATOR_RUNS = RECORD.operators.map(runOf);

const NOTES = [];
for (let i = 0, now = 0; i < RECORD.notes.length; i += 7) {
  const [step, what, job, station, task, where, who] = RECORD.notes.slice(i, i + 7);
  now += step;
  NOTES.push({ t: now, what: RECORD.told[what], job, station, task, where, who });
}

// Where operators are when they are at nothing: where they last were.

const BEEN = LINE.operators.map((_, o) => ({ at: [-1], station: [RECORD.last_at[o]], piece: [null] }));
{
  const moves = [];
  for (const { pieces } of WORK) for (const p of pieces) for (const o of p.who) moves.push([p.walk, o, p.station, p]);
  for (const note of NOTES) if (note.what === "help") moves.push([note.t, note.who, note.station, null]);
  moves.sort((a, b) => a[0] - b[0]);
  for (const [t, o, station, piece] of moves) {
    BEEN[o].at.push(t);
    BEEN[o].station.push(station);
    BEEN[o].piece.push(piece);
  }
}
/** Return state, station and piece of work of an operator; the piece is null while there is none. */
function operatorAt(o, t) {
  const i = upTo(BEEN[o].at, t) - 1, piece = BEEN[o].piece[i];
  return {
    state: isAt(OPERATOR_RUNS[o], t),
    since: sinceAt(OPERATOR_RUNS[o], t),
    station: BEEN[o].station[i],
    piece: piece && t < piece.end ? piece : null,
  };
}
