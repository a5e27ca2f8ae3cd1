// Drift at one station: where between its borders work on each job begins and ends.
// Method: the station-length diagram of mixed-model sequencing, operators moving between the borders of their
// station and overload beyond them (C. A. Yano and R. Rachamadugu, Management Science 37, 1991; L.-H. Tsai,
// Management Science 41, 1995).

const DRIFTING = LINE.stations.map((_, k) => k).filter((k) => BELTS[LINE.stations[k].section]);

/** Return where work at a station is at a moment, in stations from its upstream border. */
function driftAt(station, job, t) {
  const { section, position } = LINE.stations[station], belt = BELTS[section];
  const stay = (JOBS[FLOW_OF[SECTION][section]].get(job) || []).find((found) => found.kind === SECTION && found.place === section && found.begin <= t && t <= found.end);
  return stay ? ranAt(belt, t) / belt.takt - stay.mark - position : null;
}

function drawDrift(host, station, begin, end) {
  const width = roomOf(host), narrow = width < 560, { early, late, section, name } = LINE.stations[station];
  const left = nameRoom(width);
  const right = width - 6, top = 16, tall = narrow ? 130 : 150, foot = top + tall, height = foot + 24;
  const low = -Math.max(0.12, early + 0.08), high = Math.max(1.15, 1 + late + 0.12);
  const x = (t) => left + ((t - begin) / (end - begin)) * (right - left), y = (place) => foot - ((place - low) / (high - low)) * tall;
  const belt = BELTS[section], pieces = WORK[station].pieces.filter((p) => p.walk <= end && Math.min(p.end, PAGE.length) >= begin);
  const root = sheet(host, width, height, `Drift at ${name}`, `Where in the station work begins and ends on ${new Set(pieces.map((p) => p.job)).size} jobs, in percent of the station's length.`);
  svg("rect", { x: left, y: top, width: right - left, height: tall, class: "lane" }, root);
  const { found, step } = roundMoments(begin, end, right - left, narrow ? 52 : 70);
  for (const t of found) {
    line(root, x(t), top, x(t), foot + 4, "rule");
    words(root, x(t), foot + 16, axisClock(t, step), { class: "axis", "text-anchor": x(t) > right - 20 ? "end" : "middle" });
  }
  const clip = svg("clipPath", { id: `window-of-drift${side.suffix}` }, svg("defs", {}, root));
  svg("rect", { x: left, y: top, width: right - left, height: tall }, clip);
  const inside = svg("g", { "clip-path": `url(#window-of-drift${side.suffix})` }, root);
  for (const stop of STOPS.filter((s) => s.section === section && s.begin < end && s.end > begin)) {
    const band = box(inside, x(stop.begin), top, x(stop.end) - x(stop.begin), tall, stop.passedOn ? "passed" : "own", false);
    svg("title", {}, band, `${stopPlace(stop)}, ${causeWords(stop)}`);
    if (stop.station === station && x(stop.end) - x(stop.begin) > 116) words(inside, x(Math.max(begin, stop.begin)) + 3, y(0.5), "stands because of it", { class: "small halo" });
  }
  const borders = [[0, "0 %", "ink"], [1, "100 %", "ink"]];
  if (early) borders.push([-early, `${Math.round(-100 * early)} %`, "limit"]);
  if (late) borders.push([1 + late, `${Math.round(100 * (1 + late))} %`, "limit"]);
  const written = [];
  for (const [place, text, style] of borders) {
    line(root, left, y(place), right, y(place), style);
    const beside = written.find((other) => Math.abs(other - y(place)) < 11);
    const at = beside === undefined ? y(place) : beside + (y(place) < beside ? -11 : 11);
    written.push(at);
    words(root, left - 4, at + 3.5, text, { class: "axis", "text-anchor": "end" });
  }
  drawWork(root, inside, station, pieces, belt, { x, y, begin, end, left, right });
  for (const note of NOTES.filter((n) => n.station === station && (n.what === "call" || n.what === "help") && begin <= n.t && n.t <= end)) {
    const place = driftAt(station, note.job, note.t);
    if (place === null) continue;
    const px = x(note.t), py = y(place);
    svg("path", { d: note.what === "call" ? `M${round(px)} ${round(py - 6)}l6 10h-12z` : `M${round(px)} ${round(py - 6)}l6 6l-6 6l-6-6z`, class: "signal" }, inside);
    words(inside, px + 8, py + 4, note.what, { class: "small halo" });
  }
  words(root, left, 11, fitted(`${name}: place in the station, % of its length${belt.indexed ? " (time since the mark, as jobs stand still)" : ""}`, right - left, SMALL), { class: "axis" });
  const hand = svg("g", { class: "hand" }, root);
  line(hand, 0, top, 0, foot + 4, "");
  return (now) => {
    hand.classList.toggle("hidden", now < begin || now > end);
    made(hand, { transform: `translate(${round(x(now))} 0)` });
  };
}

function drawWork(root, inside, station, pieces, belt, { x, y, begin, end, left, right }) {
  const path = (job, from, to) => {
    const moments = [from, to, ...belt.at.filter((t) => from < t && t < to)].sort((a, b) => a - b);
    const corners = moments.map((t) => [t, driftAt(station, job, t)]).filter(([, place]) => place !== null);
    return corners.map(([t, place], i) => `${i ? "L" : "M"}${round(x(t))} ${round(y(place))}`).join("");
  };
  const named = new Set();
  let lastLabel = -100;
  for (const piece of pieces) {
    const until = Math.min(piece.end, end), from = Math.max(piece.begin, begin);
    if (piece.walk < piece.begin) {
      svg("path", { d: path(piece.job, Math.max(piece.walk, begin), Math.min(piece.begin, piece.end, end)), class: "walk" }, inside);
    }
    if (from >= until) continue;
    const found = svg("path", { d: path(piece.job, from, until), class: piece.who.length ? "work" : "work robot" }, inside);
    svg("title", {}, found, `${number(piece.job)}: ${taskWords(piece)}${byWhom(piece)}, ${lasting(Math.min(piece.end, PAGE.length) - piece.begin)}`);
    const place = driftAt(station, piece.job, from);
    if (!named.has(piece.job) && place !== null && x(from) - lastLabel > 30 && x(from) < right - 30) {
      words(inside, x(from) + 2, Math.max(26, y(place) + 12), number(piece.job), { class: "job halo" });
      lastLabel = x(from);
    }
    named.add(piece.job);
    for (const [t, isEnd] of [[piece.begin, false], [piece.end, true]]) {
      const at = driftAt(station, piece.job, t);
      if (at !== null && begin <= t && t <= end) svg("circle", { cx: round(x(t)), cy: round(y(at)), r: isEnd ? 2.6 : 2.2, class: isEnd ? "ends" : "begins" }, inside);
    }
  }
}
