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
// What if: shows the stored answer of what is chosen, as text.
for (const box of document.querySelectorAll(".what-if")) {
  const data = JSON.parse(box.querySelector("script").textContent);
  const selects = Array.from(box.querySelectorAll("select"));
  const body = box.querySelector("tbody");
  const change = box.querySelector(".change");
  const show = () => {
    const chosen = data.factors.length
      ? data.cases.find((one) => one.levels.every((level, k) => level === data.factors[k][1][selects[k].selectedIndex]))
      : data.cases[selects[0].selectedIndex];
    body.replaceChildren();
    change.textContent = "";
    if (!chosen) {
      change.textContent = "This combination was not simulated.";
      return;
    }
    if (chosen.change) {
      const [figure, difference, interval, verdict] = chosen.change;
      change.textContent = `Against the line as it is: ${difference} ${figure}`
        + (interval ? ` (${interval})` : "") + `, ${verdict}.`;
    }
    for (const [figure, mean, interval] of chosen.figures) {
      const row = body.insertRow();
      const head = document.createElement("th");
      head.scope = "row";
      head.textContent = figure;
      row.append(head);
      for (const text of [mean, interval]) {
        const cell = row.insertCell();
        cell.className = "n";
        cell.textContent = text;
      }
    }
  };
  for (const select of selects) select.addEventListener("change", show);
  box.hidden = false;
  show();
}
// What scrolls can be reached by keyboard, and says what it is; what fits is no stop on the way.
const scrollers = document.querySelectorAll(".scroll");
const mark = () => {
  for (const box of scrollers) {
    if (box.scrollWidth > box.clientWidth + 1) {
      box.tabIndex = 0;
      box.setAttribute("role", "group");
      box.setAttribute("aria-labelledby", box.querySelector("table").getAttribute("aria-labelledby"));
    } else {
      box.removeAttribute("tabindex");
      box.removeAttribute("role");
      box.removeAttribute("aria-labelledby");
    }
  }
};
mark();
addEventListener("resize", mark);
document.addEventListener("toggle", mark, true);
