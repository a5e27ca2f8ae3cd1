// The space-time diagram: time to the right, the line upward, a thread a job; a stop is a flat step in all of them.
// Method: the graphical timetable of trains (C. Ibry for the railway Paris to Le Havre, 1840s; E.-J. Marey,
// La méthode graphique, 1878), put to assembly lines by P. Xu, H. Mei, L. Ren and W. Chen (IEEE TVCG 23, 2017).

/** Return the room for names on the left of the diagrams, one for both so that their times stand below each other. */
function nameRoom(width) {
  const names = [...LINE.stations, ...LINE.buffers, ...LINE.bays].map((thing) => widthOf(thing.name, SMALL));
  return Math.max(44, Math.min(width < 560 ? 58 : 104, Math.max(...names) + 10));
}

/** Return the lanes of the diagram from the bottom: what each shows, its lower end and its height in stations. */
function lanesOf() {
  const lanes = [];
  let y = 0;
  const add = (kind, index, flow, tall) => {
    lanes.push({ kind, index, flow, y, tall });
    y += tall;
  };
  LINE.flows.forEach((flow, f) => {
    if (f) y += 0.8;
    for (const [kind, index] of flow.elements) {
      if (kind === BUFFER) {
        const places = LINE.buffers[index].capacity;
        if (places) add(BUFFER, index, f, Math.min(2.6, Math.max(0.7, 0.36 * places)));
      } else add(SECTION, index, f, LINE.sections[index].stations.length);
    }
    LINE.bays.forEach((bay, b) => {
      if (FLOW_OF[BAY][b] !== f) return;
      y += 0.5;
      add(BAY, b, f, Math.min(2, Math.max(0.7, 0.4 * (bay.waiting + bay.places))));
    });
  });
  return { lanes, tall: y };
}
const LANES = lanesOf();
const laneOf = (kind, index) => LANES.lanes.find((lane) => lane.kind === kind && lane.index === index);

/** Return the corners of a job's thread in one stay between two moments, as [moment, height] in stations. */
function cornersOf(stay, begin, end) {
  const from = Math.max(begin, stay.begin), to = Math.min(end, stay.end);
  if (stay.kind === STATION) {
    const station = LINE.stations[stay.place], lane = laneOf(SECTION, station.section);
    const y = lane.y + station.position + (Math.min(stay.mark, station.places - 1) + 0.5) / station.places;
    return [[from, y], [to, y]];
  }
  const lane = laneOf(stay.kind, stay.place);
  if (stay.kind === BAY) {
    const bay = LINE.bays[stay.place], places = bay.waiting + bay.places;
    const y = lane.y + (lane.tall * (Math.min(stay.mark, places - 1) + 0.5)) / places;
    return [[from, y], [to, y]];
  }
  return stay.kind === BUFFER ? inBuffer(stay, lane, from, to) : onBelt(stay, lane, from, to);
}

function inBuffer(stay, lane, from, to) {
  const ahead = STAYS[BUFFER][stay.place].filter((other) => other.begin <= stay.begin && other !== stay && other.end > from && other.end <= to);
  const y = (t) => {
    const before = STAYS[BUFFER][stay.place].filter((other) => other !== stay && other.end > t && (other.begin < stay.begin || (other.begin === stay.begin && other.end < stay.end))).length;
    const places = LINE.buffers[stay.place].capacity;
    return lane.y + lane.tall * (1 - (Math.min(before, places - 1) + 0.5) / places);
  };
  const corners = [[from, y(from)]];
  for (const t of different(ahead.map((other) => other.end).sort((a, b) => a - b))) {
    if (t < to) corners.push([t, corners[corners.length - 1][1]], [t, y(t)]);
  }
  corners.push([to, corners[corners.length - 1][1]]);
  return corners;
}

function onBelt(stay, lane, from, to) {
  const belt = BELTS[stay.place], within = (t) => from < t && t < to;
  const marks = belt.marks.filter((t) => from < t && t <= to);
  const moments = [from, to, ...belt.at.filter(within)];
  if (belt.indexed) {
    moments.push(...marks);
    const clocks = [...new Set([...marks.map((t) => ranAt(belt, t)), (passedAt(belt, to) + 1) * belt.takt])];
    moments.push(...clocks.map((ran) => whenRan(belt, ran - belt.transfer)).filter(within));
  }
  moments.sort((a, b) => a - b);
  const corners = [];
  let jumped = false;
  for (const t of different(moments)) {
    const place = Math.min(lane.tall, placeOf(belt, stay.mark, t));
    if (belt.indexed && !belt.transfer && marks.includes(t)) {
      corners.push([t, lane.y + place - 1]);
      jumped = t === to;
    }
    if (!jumped) corners.push([t, lane.y + place]);
  }
  return corners;
}

/** Draw the diagram between two moments; return what moves its hand. */
function drawPaths(host, begin, end, followed, follow) {
  const width = roomOf(host), narrow = width < 560, onPaper = document.body.classList.contains("on-paper");
  const left = nameRoom(width);
  const pane = onPaper ? null : host.closest(".pane"), isFixed = pane && getComputedStyle(pane).overflowY === "auto";
  const room = onPaper ? 430 : isFixed ? pane.clientHeight - 80 : 560;
  const size = Math.min(narrow && !isFixed ? 20 : 30, Math.max(onPaper || isFixed ? 9 : narrow ? 11 : 15, room / LANES.tall));
  const top = 8, foot = top + LANES.tall * size, height = foot + 34, right = width - 6;
  const x = (t) => left + ((t - begin) / (end - begin)) * (right - left), y = (place) => foot - place * size;
  const shown = STOPS.filter((stop) => stop.begin < end && stop.end > begin);
  const root = sheet(host, width, height, "Space-time diagram", `From ${clock(begin)} to ${clock(end)}, ${shown.length} stops. A thread is a job on its way up the line; where a section stands, all its threads are flat.`);
  svg("rect", { x: left, y: top, width: right - left, height: foot - top, class: "lane" }, root);
  const { found, step } = roundMoments(begin, end, right - left, narrow ? 52 : 70);
  for (const t of found) {
    line(root, x(t), top, x(t), foot + 4, "rule");
    words(root, x(t), foot + 16, axisClock(t, step), { class: "axis", "text-anchor": x(t) > right - 20 ? "end" : "middle" });
  }
  words(root, left, foot + 30, fitted(`time, h:min${step % 60000 ? ":s" : ""} of ${clock(begin).startsWith("run") ? "the run" : clock(begin).split(",")[0]}`, right - left, SMALL), { class: "axis" });
  const clip = svg("clipPath", { id: `window-of-time${side.suffix}` }, svg("defs", {}, root));
  svg("rect", { x: left, y: top, width: right - left, height: foot - top }, clip);
  const inside = svg("g", { "clip-path": `url(#window-of-time${side.suffix})` }, root);
  for (const lane of LANES.lanes) drawLane(root, inside, lane, { x, y, left, right, size, begin, end, shown });
  const threads = svg("g", { "clip-path": `url(#window-of-time${side.suffix})`, class: "threads" }, root);
  const labels = svg("g", {}, root), taken = [];
  const all = JOBS.flatMap((jobs, f) => [...jobs].map(([job, stays]) => [f, job, stays.filter((stay) => stay.begin <= end && stay.end >= begin)]));
  all.sort((a, b) => (a[0] === 0 && a[1] === followed) - (b[0] === 0 && b[1] === followed)); // the followed one on top
  for (const [f, job, parts] of all) if (parts.length) thread(threads, labels, taken, f, job, parts, { x, y, begin, end, left, right, followed, follow });
  for (const stop of shown) stopName(labels, stop, { x, y, begin, end, size });
  for (const lane of LANES.lanes) laneName(root, lane, { y, left, right, size });
  const hand = svg("g", { class: "hand" }, root);
  line(hand, 0, top, 0, foot + 4, "");
  svg("path", { d: "M-5 0H5L0 7Z", transform: `translate(0 ${top - 7})` }, hand);
  return (now) => {
    hand.classList.toggle("hidden", now < begin || now > end);
    made(hand, { transform: `translate(${round(x(now))} 0)` });
  };
}

function drawLane(root, inside, lane, { x, y, left, right, size, begin, end, shown }) {
  const top = y(lane.y + lane.tall), tall = lane.tall * size;
  if (lane.kind === SECTION) {
    const duty = DUTY[lane.index];
    duty.at.forEach((t, i) => {
      const until = duty.at[i + 1] ?? PAGE.length;
      if (duty.is[i] || until <= begin || t >= end) return;
      box(inside, x(t), top, x(until) - x(t), tall, "off", false);
      if (x(Math.min(until, end)) - x(Math.max(t, begin)) > 30) words(inside, x(Math.max(t, begin)) + 3, top + tall - 5, "off", { class: "small" });
    });
    for (const stop of shown.filter((found) => found.section === lane.index)) {
      const band = box(inside, x(stop.begin), top, x(stop.end) - x(stop.begin), tall, stop.passedOn ? "passed" : "own", false);
      svg("title", {}, band, `${LINE.sections[stop.section].name} stands ${lasting(stop.end - stop.begin)}: ${stopPlace(stop)}, ${causeWords(stop)}`);
      for (const edge of [stop.begin, stop.end]) line(inside, x(edge), top, x(edge), top + tall, stop.passedOn ? "soft" : "ink");
    }
    LINE.sections[lane.index].stations.forEach((k, p) => {
      const station = LINE.stations[k], middle = y(lane.y + p + 0.5);
      if (p) line(root, left, y(lane.y + p), right, y(lane.y + p), "rule");
      if (p % Math.ceil(11 / size)) return; // lower lanes than letters: every second name
      const text = words(root, left - 4, middle + 3.5, fitted(station.name, left - 6, SMALL), { class: "axis", "text-anchor": "end" });
      svg("title", {}, text, station.name);
    });
  } else {
    svg("rect", { x: left, y: round(top), width: right - left, height: round(tall), class: "store" }, root);
  }
  for (const edge of [lane.y, lane.y + lane.tall]) line(root, left, y(edge), right, y(edge), "edge");
}

/** Write why a section stands into its band, at the station that holds it, where there is room. */
function stopName(parent, stop, { x, y, begin, end, size }) {
  const from = x(Math.max(begin, stop.begin)), room = x(Math.min(end, stop.end)) - from - 6, lane = laneOf(SECTION, stop.section);
  const place = stop.station === NONE ? lane.tall / 2 : LINE.stations[stop.station].position + 0.5;
  const text = `${stopPlace(stop)}: ${causeWords(stop)}`, short = stopPlace(stop);
  if (room < Math.min(widthOf(short, SMALL, 650), 40)) return;
  words(parent, from + 3, y(lane.y + place) + Math.min(4, size / 4), fitted(widthOf(text, SMALL, 650) <= room ? text : short, room, SMALL, 650), { class: "stop-name halo" });
}

function laneName(root, lane, { y, left, right, size }) {
  const name = placeName(lane.kind, lane.index);
  if (lane.kind === SECTION) {
    const text = `${name}${lane.flow ? ` (feeder ${LINE.flows[lane.flow].name})` : ""}`;
    words(root, right - 4, y(lane.y + lane.tall) + 12, fitted(text, right - left - 8, LARGE, 650), { class: "name halo", "text-anchor": "end" });
  } else {
    words(root, left - 4, y(lane.y + lane.tall / 2) + 3.5, fitted(name, left - 6, SMALL), { class: "axis store-name", "text-anchor": "end" });
  }
}

function thread(threads, labels, taken, flow, job, parts, { x, y, begin, end, left, right, followed, follow }) {
  let d = "", before = null;
  for (const stay of parts) {
    const corners = cornersOf(stay, begin, end);
    const joins = before && before.kind !== BAY && stay.kind !== BAY && stay.begin === before.end;
    corners.forEach(([t, place], i) => (d += `${i || joins ? "L" : "M"}${round(x(t))} ${round(y(place))}`));
    before = stay;
    const [t, place] = corners[0], px = x(t) + 3, py = y(place) - 3;
    const goes = stay.kind !== BUFFER && stay.kind !== BAY && px < right - 30;
    if (goes && !taken.some(([ax, ay]) => Math.abs(ax - px) < 32 && Math.abs(ay - py) < 11)) {
      if (taken.some(([, , who]) => who === `${flow}:${job}`)) continue;
      taken.push([px, py, `${flow}:${job}`]);
      words(labels, px, py, number(job), { class: "job halo" });
    }
  }
  const isFollowed = flow === 0 && job === followed;
  const path = svg("path", { d, class: isFollowed ? "thread followed" : "thread" }, threads);
  if (flow === 0) {
    const touch = svg("path", { d, class: "touch" }, threads);
    touch.addEventListener("click", () => follow(job));
    svg("title", {}, touch, `${number(job)} ${orderOf(job)}`);
  } else svg("title", {}, path, unit(flow, job));
}
