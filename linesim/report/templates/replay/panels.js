// What is told in words: this moment, everybody and every station at it, and the job that is followed.

function tellMoment(now, followed, only) {
  const found = only ? happeningsTo(followed, now) : happeningsAt(now).map((h) => h[3]());
  const host = id("happens");
  host.replaceChildren();
  if (!found.length) html("li", { class: "quiet" }, host, "Nothing begins or ends at this moment.");
  found.forEach((h) => html("li", {}, host, h));
}

function fillTable(body, rows) {
  body.replaceChildren(...rows.map((cells) => {
    const row = html("tr", {});
    cells.forEach((cell, i) => html(i ? "td" : "th", i ? {} : { scope: "row" }, row, cell));
    return row;
  }));
}

function tellStations(now) {
  fillTable(id("stations-now"), LINE.sections.flatMap((section, s) => section.stations.map((k, p) => {
    const jobs = BELTS[s]
      ? staysAt(SECTION, s, now).filter((stay) => Math.min(section.stations.length - 1, stationOf(BELTS[s], stay.mark, now)) === p)
      : staysAt(STATION, k, now);
    const work = workAt(k, now).map((piece) => {
      const rests = piece.pauses.some(([from, to]) => from <= now && now < to), comes = now < piece.begin;
      return `${taskWords(piece)} on ${number(piece.job)}${comes ? ", people on their way" : rests ? ", resting" : ""}${byWhom(piece)}`;
    });
    const state = STATES[isAt(STATION_RUNS[k], now)].long;
    return [LINE.stations[k].name, jobs.map((stay) => number(stay.job)).join(" "), `${state}, for ${lasting(now - sinceAt(STATION_RUNS[k], now))}`, work.join("; ")];
  })));
}

function tellPeople(now) {
  fillTable(id("people-now"), LINE.operators.map((name, o) => {
    const at = operatorAt(o, now), piece = at.piece;
    const where = at.station === NONE ? "" : LINE.stations[at.station].name;
    return [name, OPERATOR_STATES[at.state].word, lasting(now - at.since), where, piece ? `${taskWords(piece)} on ${number(piece.job)}` : ""];
  }));
}

function tellJob(job, now) {
  const stays = JOBS[0].get(job) || [], host = id("followed");
  host.hidden = false;
  id("followed-name").textContent = `${number(job)}${orderOf(job) ? `, ${orderOf(job)}` : ""}`;
  id("followed-now").textContent = stays.length ? `${number(job)} is ${whereIs(0, job, now)}.` : `${number(job)} is not on the line in this window.`;
  const until = (t) => (t === Infinity || t > PAGE.length ? "still there at the end" : clock(t));
  fillTable(id("followed-stays"), stays.filter((stay) => stay.end > stay.begin).map((stay) => [
    placeName(stay.kind, stay.place), stay.begin < 0 ? "before this window" : clock(stay.begin), until(stay.end),
    stay.end === Infinity ? "" : lasting(stay.end - stay.begin),
  ]));
  const work = WORK.flatMap(({ pieces }) => pieces.filter((p) => p.job === job && FLOW_OF[STATION][p.station] === 0 && p.begin < p.end));
  work.sort((a, b) => a.begin - b.begin);
  fillTable(id("followed-work"), work.map((p) => [
    `${LINE.stations[p.station].name}: ${taskWords(p)}`, p.begin < 0 ? "before this window" : clock(p.begin),
    p.end === Infinity ? "" : `${lasting(p.end - p.begin)}${p.left ? ", broken off" : ""}`, byWhom(p).slice(2),
  ]));
}
