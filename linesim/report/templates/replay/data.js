// What is where at a moment. Times are milliseconds from the start of the window.

const LINE = side.line;
const RECORD = await unpacked(side.record, side.rows);

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
function staysOf([jobs = [], begins = [], lengths = [], marks = []], kind, place) {
  const begun = sums(begins);
  return sums(jobs).map((job, i) => ({
    job, kind, place, begin: begun[i], end: lengths[i] === NONE ? Infinity : begun[i] + lengths[i], mark: marks[i],
  }));
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

const STOPS = sums(RECORD.stops[1]).map((begin, i) => {
  const [section, , lasts, station, cause] = RECORD.stops.map((column) => column[i]);
  return { section, begin, end: begin + lasts, station, cause, passedOn: LINE.causes[cause].passed_on };
});
const stopAt = (section, t) => STOPS.find((stop) => stop.section === section && stop.begin <= t && t < stop.end);

const LEFT = 1, FAULT = 2, PAUSED = 4;
function workOf([after, before, lengths, jobs, tasks, flags, people, who, faults, pauses], station) {
  const numbers = sums(jobs);
  let last = 0, person = 0, fault = 0, pause = 0;
  return numbers.map((job, i) => {
    const walk = last + after[i], begin = before[i] === NONE ? Infinity : walk + before[i];
    const end = lengths[i] === NONE ? Infinity : begin + lengths[i];
    const piece = { station, job, task: tasks[i], who: who.slice(person, person += people[i]), walk, begin, end, left: Boolean(flags[i] & LEFT), fault: NONE, pauses: [] };
    if (flags[i] & FAULT) piece.fault = faults[fault++];
    if (flags[i] & PAUSED) {
      for (let k = pauses[pause++]; k > 0; k--) {
        const from = begin + pauses[pause++], rest = pauses[pause++];
        piece.pauses.push([from, rest === NONE ? Infinity : from + rest]);
      }
    }
    last = walk + Math.max(0, before[i]) + Math.max(0, lengths[i]);
    return piece;
  });
}
const WORK = RECORD.work.map((row, station) => {
  const pieces = workOf(row, station);
  const longest = Math.max(0, ...pieces.map((p) => (p.end === Infinity ? PAGE.length : p.end) - p.walk));
  return { pieces, walks: pieces.map((p) => p.walk), longest };
});
function workAt(station, t) {
  const { pieces, walks, longest } = WORK[station], found = [];
  for (let i = upTo(walks, t) - 1; i >= 0 && walks[i] >= t - longest; i--) if (t < pieces[i].end) found.push(pieces[i]);
  return found.reverse();
}
/** Return what something is from when on; most changes happen at a moment of the work beside it. */
function runOf([is, when], pieces) {
  const moments = pieces.flatMap((p) => [p.walk, p.begin, p.end]).filter((t) => 0 < t && t <= PAGE.length).sort((a, b) => a - b);
  const known = moments.filter((t, i) => i === 0 || t !== moments[i - 1]), at = [0];
  for (const code of when) {
    const now = at[at.length - 1];
    at.push(code % 2 ? now + (code - 1) / 2 : known[upTo(known, now) + code / 2]);
  }
  return { at, is };
}
const OF = LINE.operators.map(() => []);
for (const { pieces } of WORK) for (const piece of pieces) for (const o of piece.who) OF[o].push(piece);
const STATION_RUNS = RECORD.stations.map((columns, k) => runOf(columns, WORK[k].pieces));
const OPERATOR_RUNS = RECORD.operators.map((columns, o) => runOf(columns, OF[o]));

const NOTES = sums(RECORD.notes[0]).map((t, i) => {
  const [, what, job, station, task, where, who] = RECORD.notes.map((column) => column[i]);
  return { t, what: RECORD.told[what], job, station, task, where, who };
});

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
