// The strip of the line at one moment: sections in line order, a rail each, job tags hanging over it.
// Method: the strip map of a route (J. Ogilby, Britannia, 1675): the way unrolled straight and cut into
// scrolls, places along it in order, not to scale.

const STATES = LINE.station_states, OPERATOR_STATES = LINE.operator_states;
const MOST_SLOTS = 12;
const TAG = { wide: 46, tall: 18 };
const CHIP_MARKS = { works: "●", walks: "→", helps: "+", waits: "○" }; // what people do, without a colour

function drawStrip(host, follow) {
  host.replaceChildren();
  const updates = [];
  LINE.flows.forEach((flow, f) => {
    if (f) html("p", { class: "feeder" }, host, `Feeder ${flow.name}, joins ${LINE.sections[flow.joins].name}`);
    for (const [kind, index] of flow.elements) {
      updates.push(kind === BUFFER ? bank(host, index, f, follow) : sectionOf(host, index, f, follow));
      if (kind === BUFFER) continue;
      LINE.bays.forEach((bay, b) => bay.section === index && updates.push(bayOf(host, b, f, follow)));
    }
  });
  const away = html("p", { class: "away" }, host);
  updates.push((now) => {
    const busy = LINE.operators.map((name, o) => [name, operatorAt(o, now)]).filter(([, at]) => OPERATOR_STATES[at.state].word === "repairing");
    away.textContent = busy.length ? `Repairing: ${listed(busy.map(([name, at]) => `${name}, for ${lasting(now - at.since)}`))}.` : "";
  });
  return (now, followed) => updates.forEach((update) => update(now, followed));
}

function jobButton(layerOf, flow, job, follow) {
  return layerOf.get(`${flow}:${job}`, () => {
    const button = html("button", { type: "button", class: "slot", title: orderOf(job) }, null, number(job));
    if (flow === 0) button.addEventListener("click", () => follow(job));
    return button;
  });
}

function bank(host, index, flow, follow) {
  const buffer = LINE.buffers[index];
  const row = html("div", { class: "bank" }, host);
  html("b", {}, row, buffer.name);
  const told = html("span", { class: "told" }, row), slots = html("span", { class: "slots" }, row), jobs = layer(slots);
  const few = buffer.capacity <= MOST_SLOTS;
  return (now, followed) => {
    const inside = staysAt(BUFFER, index, now);
    const full = inside.length >= buffer.capacity ? ", full" : inside.length ? "" : ", empty";
    told.textContent = buffer.capacity ? `${inside.length} of ${buffer.capacity}${full}${inside.length > MOST_SLOTS && !few ? `, the next ${MOST_SLOTS} to go` : ""}` : "no places, handed over directly";
    jobs.begin();
    for (let i = few ? buffer.capacity - inside.length : 0; i > 0; i--) jobs.get(`free ${i}`, () => html("i", { class: "slot free" }, null, "free"));
    const shown = few ? inside : inside.slice(0, MOST_SLOTS);
    shown.forEach((stay, i) => {
      const slot = jobButton(jobs, flow, stay.job, follow);
      slot.style.order = 100 - i; // the oldest stands next to the way out, on the right
      slot.classList.toggle("followed", flow === 0 && stay.job === followed);
    });
    jobs.end();
  };
}

function bayOf(host, index, flow, follow) {
  const bay = LINE.bays[index], row = html("div", { class: "bank bay" }, host);
  html("b", {}, row, bay.name);
  const told = html("span", { class: "told" }, row), slots = html("span", { class: "slots" }, row), jobs = layer(slots);
  return (now, followed) => {
    const inside = staysAt(BAY, index, now), room = bay.waiting + bay.places;
    const who = LINE.operators.filter((_, o) => {
      const at = operatorAt(o, now);
      return bay.crews.includes(LINE.crew_of[o]) && OPERATOR_STATES[at.state].word === "working" && !at.piece;
    });
    told.textContent = `rework beside the line, ${inside.length} of ${room}${who.length ? `, ${listed(who)} at work` : ""}`;
    jobs.begin();
    for (const stay of inside) jobButton(jobs, flow, stay.job, follow).classList.toggle("followed", flow === 0 && stay.job === followed);
    jobs.end();
  };
}

function sectionOf(host, s, flow, follow) {
  const section = LINE.sections[s], n = section.stations.length, belt = BELTS[s];
  const block = html("div", { class: "section" }, host), head = html("p", { class: "head" }, block);
  html("b", {}, head, section.name);
  html("span", { class: "told" }, head, section.told);
  const status = html("strong", { class: "status" }, head);
  const rails = html("div", { class: "rails" }, block);
  const CHIP = { tall: SMALL + 3, text: SMALL };
  const width = roomOf(rails), pad = TAG.wide / 2 + 1;
  const most = Math.max(1, Math.floor((width - 2 * pad) / (width < 560 ? 63 : 56))), rows = Math.ceil(n / most), perRow = Math.ceil(n / rows);
  const pitch = Math.min(128, (width - 2 * pad) / perRow);
  const stalls = Math.min(3, Math.max(...section.stations.map((k) => LINE.stations[k].places)));
  const tags = 18 + stalls * (TAG.tall + 3), rail = tags + 7;
  const height = rail + 32 + section.chips * (CHIP.tall + 2) + (section.chips ? 8 : 0);
  const parts = [];
  for (let r = 0; r < rows; r++) {
    const first = r * perRow, last = Math.min(n, first + perRow);
    const root = sheet(html("div", {}, rails), 2 * pad + perRow * pitch, height, `Section ${section.name}`, "The tables below say the same in words.");
    root.removeAttribute("role");
    root.setAttribute("aria-hidden", "true");
    const long = (last - first) * pitch;
    const band = svg("rect", { x: pad, y: 16, width: round(long), height: rail - 11, fill: fill("own"), class: "stands" }, root);
    line(root, pad, rail, pad + long, rail, belt ? "rail" : "rail free");
    const leaders = svg("g", {}, root), cells = [];
    for (let p = first; p < last; p++) {
      const station = LINE.stations[section.stations[p]], x = pad + (p - first) * pitch;
      const name = words(root, x + pitch / 2, 12, fitted(station.name, pitch - 4, LARGE, 650), { class: "name", "text-anchor": "middle" });
      svg("title", {}, name, station.name);
      line(root, x, rail - 6, x, rail + 6, "edge");
      const holds = svg("rect", { x: round(x + 1.5), y: 1.5, width: round(pitch - 3), height: rail + 26, class: "holds" }, root);
      const swatch = svg("rect", { x: round(x + 3), y: rail + 8, width: round(pitch - 6), height: 5 }, root);
      const state = words(root, x + pitch / 2, rail + 24, "", { class: "state halo", "text-anchor": "middle" });
      cells.push({ k: section.stations[p], x, holds, swatch, state });
    }
    line(root, pad + long, rail - 6, pad + long, rail + 6, "edge");
    if (last < n) words(root, pad + long + 3, rail + 4, "▸", { class: "state" });
    parts.push({ first, last, band, cells, x: (place) => pad + (place - first) * pitch, tags: layer(svg("g", {}, root)), leaders: layer(leaders), chips: layer(svg("g", {}, root)) });
  }

  /** Return job -> [place, position among the stalls] of the jobs on the section. */
  function jobsAt(now) {
    const found = new Map();
    if (belt) for (const stay of staysAt(SECTION, s, now)) found.set(stay.job, [Math.min(n, placeOf(belt, stay.mark, now)), 0]);
    else section.stations.forEach((k, p) => staysAt(STATION, k, now).forEach((stay) => found.set(stay.job, [p + 0.5, stay.mark])));
    return found;
  }

  function tagOf(part, job, place, slot, followed) {
    const tag = part.tags.get(job, () => {
      const g = svg("g", { class: "tag" });
      svg("path", { d: `M-${TAG.wide / 2} 0H${TAG.wide / 2}V${TAG.tall}H5L0 ${TAG.tall + 6}L-5 ${TAG.tall}H-${TAG.wide / 2}Z` }, g);
      words(g, 0, 13, fitted(number(job), TAG.wide - 4, 12, 650), { "text-anchor": "middle" });
      svg("title", {}, g, `${number(job)} ${orderOf(job)}`);
      if (flow === 0) g.addEventListener("click", () => follow(job));
      return g;
    });
    const y = tags - (TAG.tall + 3) * (Math.min(slot, stalls - 1) + 1);
    tag.setAttribute("transform", `translate(${round(part.x(place))} ${round(y)})`);
    tag.classList.toggle("followed", flow === 0 && job === followed);
  }

  return (now, followed) => {
    const stop = stopAt(s, now), onDuty = isAt(DUTY[s], now);
    block.classList.toggle("standing", Boolean(stop));
    status.textContent = stop ? `STANDS ${now > stop.begin ? `for ${lasting(now - stop.begin)}` : "from now on"}: ${stopPlace(stop)}, ${causeWords(stop)}` : onDuty ? "" : "off duty";
    const jobs = jobsAt(now);
    for (const part of parts) {
      part.band.setAttribute("fill", stop ? fill(stop.passedOn ? "passed" : "own") : onDuty ? "none" : fill("off"));
      part.tags.begin();
      for (const [job, [place, slot]] of jobs) {
        if (place >= part.first && (place < part.last || part.last === n)) tagOf(part, job, place, slot, followed);
      }
      part.tags.end();
      part.leaders.begin();
      part.chips.begin();
      for (const cell of part.cells) {
        const state = STATES[isAt(STATION_RUNS[cell.k], now)];
        made(cell.swatch, { fill: fill(state.paint), stroke: PAINT[state.paint].edge, "stroke-width": 0.6 });
        cell.state.textContent = fitted(state.word, pitch - 2, SMALL);
        cell.holds.classList.toggle("shown", Boolean(stop) && stop.station === cell.k);
        chipsOf(part, cell, now, jobs);
      }
      part.chips.end();
      part.leaders.end();
    }
  };

  function chipsOf(part, cell, now, jobs) {
    if (!section.chips) return;
    const here = LINE.operators.map((_, o) => [o, operatorAt(o, now)]).filter(([, at]) => at.station === cell.k && OPERATOR_STATES[at.state].word !== "repairing" && OPERATOR_STATES[at.state].word !== "off");
    here.sort((a, b) => Boolean(b[1].piece) - Boolean(a[1].piece) || a[0] - b[0]);
    const y = rail + 36;
    here.slice(0, section.chips).forEach(([o, at], i) => {
      const kind = OPERATOR_STATES[at.state].chip, last = i === section.chips - 1 && here.length > section.chips;
      const chip = part.chips.get(`${o} ${kind} ${last} ${here.length}`, () => {
        const g = svg("g", { class: `chip ${kind}` });
        svg("rect", { x: -(pitch / 2 - 3), y: 0, width: round(pitch - 6), height: CHIP.tall, rx: CHIP.tall / 2 }, g);
        const text = last ? `+ ${here.length - i} more` : `${CHIP_MARKS[kind]} ${LINE.operators[o]}`;
        words(g, 0, CHIP.tall - 3, fittedName(text, pitch - 12, CHIP.text), { "text-anchor": "middle" });
        svg("title", {}, g, `${LINE.operators[o]}: ${OPERATOR_STATES[at.state].word}`);
        return g;
      });
      made(chip, { transform: `translate(${round(cell.x + pitch / 2)} ${y + i * (CHIP.tall + 2)})` });
      const job = at.piece && jobs.get(at.piece.job);
      if (!job || job[0] < part.first || job[0] > part.last) return;
      const leader = part.leaders.get(`${at.piece.job} ${cell.k}`, () => svg("line", { class: "leader" }));
      made(leader, { x1: round(part.x(job[0])), y1: rail + 2, x2: round(cell.x + pitch / 2), y2: y + 2 });
    });
  }
}
