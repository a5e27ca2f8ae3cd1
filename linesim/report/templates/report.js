"use strict";
// Sorting: a click on a heading sorts by its column, a second click turns the order round.
for (const table of document.querySelectorAll("table.sorts")) {
  const body = table.tBodies[0];
  if (body.rows.length < 2) continue;
  const heads = Array.from(table.tHead.rows[0].cells);
  heads.forEach((head, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    button.title = "Sort by this column";
    head.replaceChildren(button);
    button.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending"
        || (!head.hasAttribute("aria-sort") && head.classList.contains("n"));
      for (const other of heads) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const key = (row) => {
        const cell = row.cells[column];
        return cell.dataset.v === undefined ? cell.textContent : Number(cell.dataset.v);
      };
      const rows = Array.from(body.rows);
      rows.sort((one, other) => {
        const a = key(one), b = key(other);
        const blank = (value) => value === "" || value === "–";
        if (blank(a) || blank(b)) return Number(blank(a)) - Number(blank(b));
        const order = typeof a === "number" && typeof b === "number"
          ? a - b : String(a).localeCompare(String(b), "en", { numeric: true });
        return down ? -order : order;
      });
      body.append(...rows);
    });
  });
}
// What if: shows what was simulated for a choice; other prices are put into its kept means and covariances.
for (const box of document.querySelectorAll(".what-if")) {
  const data = JSON.parse(box.querySelector("script").textContent);
  const selects = Array.from(box.querySelectorAll("select"));
  const [margin, wage] = Array.from(box.querySelectorAll("input"));
  const say = (name, text) => { box.querySelector(`.${name}`).textContent = text; };
  const [low, high] = data.span;
  const at = (value) => 3 + 94 * (value - low) / (high - low || 1);
  const place = (name, from, to) => {
    const mark = box.querySelector(`.${name}`);
    mark.hidden = from === null;
    mark.style.left = `${from}%`;
    if (to !== undefined) mark.style.width = `${to - from}%`;
  };
  const draw = (name, [mean, from, to]) => {
    place(name, at(mean));
    place(`${name}-range`, from === null ? null : at(from), from === null ? 0 : at(to));
  };
  const amount = (value, half) => {
    const order = half >= 1 ? 10 ** Math.floor(Math.log10(half)) : 1;
    const step = half >= 1 ? Math.max(1, half / order <= 3.5 ? order / 10 : order) : 1;
    const whole = Math.round(value / step) * step;
    const sign = whole > 0 ? "+" : whole < 0 ? "-" : "";
    const gap = /[\p{L}\p{N}]$/u.test(data.currency) ? " " : "";
    return `${sign}${data.currency}${gap}${Math.abs(whole).toLocaleString("en", { maximumFractionDigits: 0 })}`;
  };
  const worth = (chosen) => {
    const own = Number(margin.value) === data.margin && Number(wage.value) === data.wage;
    if (own && chosen.net) return chosen.net;
    if (!chosen.moments || margin.value === "") return ["–", margin.value === "" ? "say what a job brings" : ""];
    const { means, covariance, reach } = chosen.moments;
    const by = [Number(margin.value), 1, -Number(wage.value), 1];
    const mean = means.reduce((sum, value, i) => sum + by[i] * value, 0);
    const spread = covariance.reduce((sum, row, i) => sum + row.reduce((part, c, k) => part + by[i] * by[k] * c, 0), 0);
    const half = reach * Math.sqrt(Math.max(0, spread));
    return [amount(mean, half), half ? `${amount(mean - half, half)} to ${amount(mean + half, half)}` : "each time"];
  };
  const show = () => {
    const chosen = data.factors.length
      ? data.choices.find((one) => one.levels.every((level, k) => level === data.factors[k][1][selects[k].selectedIndex]))
      : data.choices[selects[0].selectedIndex];
    const found = chosen || { makes: ["not simulated", ""], change: ["–", ""], met: ["–", ""], net: ["–", ""] };
    for (const name of ["makes", "change", "met"]) {
      say(name, found[name][0]);
      say(`${name}-range`, found[name][1]);
    }
    const [net, range] = chosen ? worth(chosen) : found.net;
    say("net", net);
    say("net-range", range);
    if (chosen) {
      const [from, to] = [data.now[0], chosen.at[0]].map(at).sort((a, b) => a - b);
      place("gap", from, to);
      draw("then", chosen.at);
    } else {
      for (const name of ["gap", "then", "then-range"]) place(name, null);
    }
    for (const button of box.querySelectorAll("button")) {
      const select = button.parentElement.querySelector("select");
      const next = select.selectedIndex + Number(button.dataset.by);
      button.disabled = next < 0 || next >= select.options.length;
    }
  };
  draw("now", data.now);
  say("low", data.ends[0]);
  say("high", data.ends[1]);
  say("plan", data.target === null ? "" : `broken line: plan ${data.target}`);
  place("target", data.target === null ? null : at(data.target));
  for (const one of [...selects, margin, wage]) one.addEventListener("input", show);
  box.querySelector("form").addEventListener("submit", (event) => event.preventDefault());
  for (const button of box.querySelectorAll("button")) {
    button.addEventListener("click", () => {
      button.parentElement.querySelector("select").selectedIndex += Number(button.dataset.by);
      show();
    });
  }
  box.hidden = false;
  show();
}
// One station: chosen on the map or from the list, everything of other stations steps back in every drawing and table.
const map = document.querySelector("#figure-strip");
if (map) {
  const stations = new Set(Array.from(map.querySelectorAll(".wide [data-at]"), (part) => part.dataset.at));
  const label = document.createElement("label");
  const list = document.createElement("select");
  for (const name of ["all stations", ...stations]) list.append(new Option(name));
  label.className = "only";
  label.append("Show only", list);
  map.querySelector("figcaption").after(label);
  const rows = Array.from(document.querySelectorAll("tbody tr"), (row) => [row, row.cells[0].textContent.split(/[.:]/)[0]])
    .filter(([, name]) => stations.has(name));
  const choose = () => {
    const chosen = list.selectedIndex ? list.value : null;
    for (const part of document.querySelectorAll("svg [data-at]")) {
      part.classList.toggle("aside", chosen !== null && part.dataset.at !== chosen);
    }
    for (const [row, name] of rows) row.hidden = chosen !== null && name !== chosen;
  };
  list.addEventListener("change", choose);
  map.addEventListener("click", (event) => {
    const part = event.target.closest("[data-at]");
    if (!part) return;
    list.value = list.value === part.dataset.at ? "all stations" : part.dataset.at;
    choose();
  });
}
// Copies of a drawing: as SVG, as PNG, or its numbers with tabs between them; as a file where nothing can be copied.
for (const figure of document.querySelectorAll("figure")) {
  const fold = figure.querySelector("details:last-of-type");
  const line = document.createElement("p");
  const said = document.createElement("span");
  line.className = "copy";
  line.append("Copy as");
  said.setAttribute("aria-live", "polite");
  const picture = () => {
    const drawing = figure.querySelector(".wide svg").cloneNode(true);
    const { x, y, width, height } = drawing.viewBox.baseVal;
    drawing.setAttribute("font-family", "DejaVu Sans, Verdana, sans-serif");
    const ground = document.createElementNS(drawing.namespaceURI, "rect");
    for (const [key, value] of Object.entries({ x, y, width, height, fill: "#ffffff" })) ground.setAttribute(key, value);
    drawing.prepend(ground);
    return [new XMLSerializer().serializeToString(drawing), width, height];
  };
  const save = (name, address) => {
    const link = document.createElement("a");
    link.href = address;
    link.download = name;
    link.click();
    said.textContent = `saved as ${name}`;
  };
  const name = figure.id.replace("figure-", "");
  const text = (content, type, ending) => navigator.clipboard.writeText(content)
    .then(() => { said.textContent = "copied"; })
    .catch(() => save(`${name}.${ending}`, `data:${type};charset=utf-8,${encodeURIComponent(content)}`));
  const ways = {
    SVG: () => text(picture()[0], "image/svg+xml", "svg"),
    PNG: () => {
      const [content, width, height] = picture();
      const image = new Image();
      image.onload = () => {
        const canvas = document.createElement("canvas");
        canvas.width = 2 * width;
        canvas.height = 2 * height;
        canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
        canvas.toBlob((blob) => Promise.resolve().then(() => navigator.clipboard.write([new ClipboardItem({ "image/png": blob })]))
          .then(() => { said.textContent = "copied"; })
          .catch(() => save(`${name}.png`, canvas.toDataURL("image/png"))));
      };
      image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(content)}`;
    },
    numbers: () => text(Array.from(fold.querySelector("table").rows, (row) => Array.from(row.cells,
      (cell) => cell.textContent.trim()).join("\t")).join("\n"), "text/tab-separated-values", "tsv"),
  };
  for (const [way, copy] of Object.entries(ways)) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = way;
    button.addEventListener("click", copy);
    line.append(button);
  }
  line.append(said);
  fold.append(line);
}
