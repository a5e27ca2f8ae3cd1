// The ruler: the whole window as one strip of time, a lane a section, a stroke a stop.
// Method: a chronological chart with time along one scale and a lane a subject (J. Priestley, 1765).

let rulerAt = () => 0;
function drawRuler(host) {
  const width = roomOf(host), narrow = width < 560;
  const sections = LINE.sections.map((section, s) => ({ ...section, s }));
  const left = narrow ? 0 : Math.min(130, Math.max(...sections.map((s) => widthOf(s.name, 11.5))) + 10);
  const pitch = narrow ? 27 : 17, head = 27, height = head + sections.length * pitch + 4;
  const x = (t) => left + 4 + (t / D.length) * (width - left - 8);
  rulerAt = (px) => ((px - left - 4) / (width - left - 8)) * D.length;
  const root = sheet(host, width, height, "Ruler of time",
    `${STOPS.length} stops of ${sections.length} sections over ${lasting(D.length)}. The list of stops below names each of them.`);
  const { found, step } = roundMoments(0, D.length, width - left, narrow ? 52 : 64);
  for (const t of found) {
    line(root, x(t), head - 12, x(t), height - 2, "rule");
    words(root, x(t), 11, axisClock(t, step), { class: "axis", "text-anchor": x(t) < left + 16 && narrow ? "start" : x(t) > width - 18 ? "end" : "middle" });
  }
  D.shifts.forEach(([begin, end], i) => {
    if (end <= 0 || begin >= D.length) return;
    line(root, x(Math.max(0, begin)), 2, x(Math.max(0, begin)), height - 2, "edge");
    if (D.shifts.length > 1 && i > 0 && begin > 0) words(root, x(begin) + 3, height - 6, `shift ${i + 1}`, { class: "axis halo" });
  });
  for (const { name, s } of sections) {
    const y = head + s * pitch + (narrow ? 14 : 3), tall = 11;
    if (narrow) words(root, 4, y - 3, fitted(name, width - 8, 11), { class: "small halo" });
    else words(root, left - 4, y + 9, fitted(name, left - 8, 11.5), { class: "small", "text-anchor": "end" });
    svg("rect", { x: x(0), y, width: x(D.length) - x(0), height: tall, class: "lane" }, root);
    const duty = DUTY[s];
    duty.at.forEach((t, i) => {
      const until = Math.min(D.length, duty.at[i + 1] ?? D.length);
      if (!duty.is[i]) box(root, x(t), y, x(until) - x(t), tall, "off", false);
    });
    for (const stop of STOPS) {
      if (stop.section !== s) continue;
      const from = x(Math.max(0, stop.begin)), wide = Math.max(1.2, x(Math.min(D.length, stop.end)) - from);
      const mark = stop.passedOn
        ? svg("rect", { x: round(from), y: y + 3.5, width: round(wide), height: 4, class: "passed-on" }, root)
        : svg("rect", { x: round(from), y: y - 1, width: round(wide), height: tall + 2, class: "own" }, root);
      svg("title", {}, mark, `${clock(stop.begin)}, ${lasting(stop.end - stop.begin)}: ${stopPlace(stop)}, ${causeWords(stop)}`);
    }
  }
  const page = svg("rect", { y: head - 5, height: height - head + 3, class: "page" }, root);
  const hand = svg("g", { class: "hand" }, root);
  line(hand, 0, head - 6, 0, height - 1, "");
  svg("path", { d: `M-6 ${head - 13}H6V${head - 7}L0 ${head - 1}L-6 ${head - 7}Z` }, hand);
  return (now, from, to) => {
    made(page, { x: round(x(from)), width: round(Math.max(2, x(to) - x(from))) });
    made(hand, { transform: `translate(${round(x(now))} 0)` });
  };
}
