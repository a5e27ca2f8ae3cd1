// The ruler: the whole window as one strip of time: jobs made against the plan, then a lane a section, a stroke a stop.
// Method: a chronological chart with time along one scale and a lane a subject (J. Priestley, 1765).

const DAY_TALL = 110;

// How many jobs more or fewer than planned, as lines of [moment, jobs]; all sides of the page have one scale.

const aboveAt = (t, jobs = madeAt(t)) => jobs - plannedAt(t);
const DAY = {
  made: [...FINISHED.flatMap((t, i) => [[t, i], [t, i + 1]]), ...[...side.planned.at, PAGE.length].map((t) => [t, madeAt(t)])]
    .sort((a, b) => a[0] - b[0] || a[1] - b[1]).map(([t, jobs]) => [t, aboveAt(t, jobs)]),
};
if (side.band) for (const name of ["low", "mean", "high"]) DAY[name] = side.band.at.map((t, i) => [t, aboveAt(t, side.band[name][i])]);
{
  const all = Object.values(DAY).flat().map(([, jobs]) => jobs), { high, low } = PAGE.day || { high: 1, low: -1 };
  PAGE.day = { high: Math.max(high, Math.ceil(Math.max(...all))), low: Math.min(low, Math.floor(Math.min(...all))) };
}

/** Draw how many jobs more or fewer than planned are made by when, the band over replications, and three moments. */
function drawDay(root, x, top, left) {
  const { high, low } = PAGE.day;
  const y = (jobs) => top + 6 + ((high - jobs) / (high - low)) * (DAY_TALL - 12), path = (points) => `M${points.map(([t, jobs]) => `${round(x(t))} ${round(y(jobs))}`).join("L")}`;
  const day = svg("g", { class: "day" }, root);
  if (side.band) {
    svg("path", { d: `${path([...DAY.high, ...[...DAY.low].reverse()])}Z`, class: "band" }, day);
    svg("path", { d: path(DAY.mean), class: "mean" }, day);
  }
  line(day, x(0), y(0), x(PAGE.length), y(0), "plan");
  svg("path", { d: path(DAY.made), class: "made" }, day);
  if (left) for (const [jobs, text] of [[high, `+${high} jobs`], [0, side.planned.words === "planned" ? "the plan" : "one a takt"], [low, `−${-low} jobs`]]) {
    if (jobs === 0 && Math.min(y(0) - y(high), y(low) - y(0)) < 14) continue;
    words(day, left - 4, y(jobs) + 4, text, { class: "small", "text-anchor": "end" });
  }
  side.moments.forEach((t, i) => {
    const mark = svg("g", { class: "mark", transform: `translate(${round(x(t))} ${round(y(aboveAt(t)))})` }, day);
    svg("circle", { r: 8 }, mark);
    words(mark, 0, 4, String(i + 1), { "text-anchor": "middle" });
  });
}

function drawRuler(host) {
  const width = roomOf(host), narrow = width < 560;
  const sections = LINE.sections.map((section, s) => ({ ...section, s }));
  const left = narrow ? 0 : Math.min(130, Math.max(64, ...sections.map((s) => widthOf(s.name, LARGE))) + 10);
  const pitch = narrow ? 27 : 17, top = 27, head = top + DAY_TALL + 12, height = head + sections.length * pitch + 4;
  const x = (t) => left + 4 + (t / PAGE.length) * (width - left - 8);
  host.momentAt = (px) => ((px - left - 4) / (width - left - 8)) * PAGE.length;
  const root = sheet(host, width, height, "Ruler of time",
    `${STOPS.length} stops of ${sections.length} sections over ${lasting(PAGE.length)}. The list of stops below names each of them.`);
  const { found, step } = roundMoments(0, PAGE.length, width - left, narrow ? 52 : 64);
  for (const t of found) {
    line(root, x(t), top - 12, x(t), height - 2, "rule");
    words(root, x(t), 11, axisClock(t, step), { class: "axis", "text-anchor": x(t) < left + 16 && narrow ? "start" : x(t) > width - 18 ? "end" : "middle" });
  }
  PAGE.shifts.forEach(([begin, end], i) => {
    if (end <= 0 || begin >= PAGE.length) return;
    line(root, x(Math.max(0, begin)), 2, x(Math.max(0, begin)), height - 2, "edge");
    if (PAGE.shifts.length > 1 && i > 0 && begin > 0) words(root, x(begin) + 3, height - 6, `shift ${i + 1}`, { class: "axis halo" });
  });
  for (const { name, s } of sections) {
    const y = head + s * pitch + (narrow ? 14 : 3), tall = 11;
    if (narrow) words(root, 4, y - 3, fitted(name, width - 8, SMALL), { class: "small halo" });
    else words(root, left - 4, y + 9, fitted(name, left - 8, LARGE), { class: "small", "text-anchor": "end" });
    svg("rect", { x: x(0), y, width: x(PAGE.length) - x(0), height: tall, class: "lane" }, root);
    const duty = DUTY[s];
    duty.at.forEach((t, i) => {
      const until = Math.min(PAGE.length, duty.at[i + 1] ?? PAGE.length);
      if (!duty.is[i]) box(root, x(t), y, x(until) - x(t), tall, "off", false);
    });
    for (const stop of STOPS) {
      if (stop.section !== s) continue;
      const from = x(Math.max(0, stop.begin)), wide = Math.max(1.2, x(Math.min(PAGE.length, stop.end)) - from);
      const mark = stop.passedOn
        ? svg("rect", { x: round(from), y: y + 3.5, width: round(wide), height: 4, class: "passed-on" }, root)
        : svg("rect", { x: round(from), y: y - 1, width: round(wide), height: tall + 2, class: "own" }, root);
      svg("title", {}, mark, `${clock(stop.begin)}, ${lasting(stop.end - stop.begin)}: ${stopPlace(stop)}, ${causeWords(stop)}`);
    }
  }
  drawDay(root, x, top, left);
  const page = svg("rect", { y: head - 5, height: height - head + 3, class: "page" }, root);
  const hand = svg("g", { class: "hand" }, root);
  line(hand, 0, top - 6, 0, height - 1, "");
  svg("path", { d: `M-6 ${top - 13}H6V${top - 7}L0 ${top - 1}L-6 ${top - 7}Z` }, hand);
  return (now, from, to) => {
    made(page, { x: round(x(from)), width: round(Math.max(2, x(to) - x(from))) });
    made(hand, { transform: `translate(${round(x(now))} 0)` });
  };
}
