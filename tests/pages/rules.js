// Rules of accessibility and layout, looked at in the open page. Each returns a list of what is wrong.
(() => {
  const visible = (el) => el.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true })
    && el.getClientRects().length > 0;
  const named = (el) => `${el.tagName.toLowerCase()}${el.id ? "#" + el.id : ""} “${(el.textContent || "").trim().slice(0, 40)}”`;
  const colour = (text) => (text.match(/[\d.]+/g) || []).map(Number);
  const luminance = ([r, g, b]) => {
    const part = (v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; };
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  const ratio = (a, b) => {
    const [x, y] = [luminance(a), luminance(b)].sort((p, q) => q - p);
    return (x + 0.05) / (y + 0.05);
  };
  const over = (top, below) => {
    const a = top.length > 3 ? top[3] : 1;
    return [0, 1, 2].map((k) => top[k] * a + below[k] * (1 - a));
  };
  const background = (el) => {
    const layers = [];
    for (let at = el; at; at = at.parentElement) layers.push(colour(getComputedStyle(at).backgroundColor));
    return layers.reverse().reduce((below, top) => over(top, below), [255, 255, 255]);
  };
  const box = (el) => el.getBoundingClientRect();
  const meet = (a, b, slack) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > slack
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > slack;

  window.rules = {
    contrast() {
      const wrong = [];
      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      const seen = new Set();
      while (walker.nextNode()) {
        const el = walker.currentNode.parentElement;
        if (!walker.currentNode.textContent.trim() || seen.has(el) || !el || !visible(el)) continue;
        if (el.closest("script, style, svg, option")) continue;
        seen.add(el);
        const style = getComputedStyle(el);
        const size = parseFloat(style.fontSize);
        const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
        const found = ratio(over(colour(style.color), background(el)), background(el));
        if (found < (large ? 3 : 4.5)) wrong.push(`${named(el)} ${found.toFixed(2)}`);
      }
      return wrong;
    },
    headings() {
      const wrong = [];
      let last = 0;
      const all = Array.from(document.querySelectorAll("h1, h2, h3, h4"));
      for (const head of all) {
        const level = Number(head.tagName[1]);
        if (level > last + 1) wrong.push(`${named(head)} comes after a heading of level ${last}`);
        if (!head.textContent.trim()) wrong.push("an empty heading");
        last = level;
      }
      if (all.filter((head) => head.tagName === "H1").length !== 1) wrong.push("not exactly one h1");
      return wrong;
    },
    names() {
      const wrong = [];
      const label = (el) => {
        const by = el.getAttribute("aria-labelledby");
        if (by) return by.split(/\s+/).map((id) => (document.getElementById(id) || { textContent: "" }).textContent).join(" ").trim();
        return (el.getAttribute("aria-label") || (el.labels && el.labels[0] && el.labels[0].textContent)
          || el.textContent || "").trim();
      };
      for (const el of document.querySelectorAll("button, a[href], select, input, summary, table, section, nav, [role]"))
        if (!label(el)) wrong.push(`${named(el)} has no name`);
      for (const svg of document.querySelectorAll("svg")) {
        if (svg.getAttribute("role") !== "img") wrong.push("a drawing without a role");
        for (const part of ["title", "desc"])
          if (!(svg.querySelector(`:scope > ${part}`) || { textContent: "" }).textContent.trim()) wrong.push(`a drawing without ${part}`);
      }
      for (const img of document.querySelectorAll("img")) if (!img.hasAttribute("alt")) wrong.push(`${named(img)} has no alt text`);
      for (const by of document.querySelectorAll("[aria-labelledby]"))
        for (const id of by.getAttribute("aria-labelledby").split(/\s+/))
          if (!document.getElementById(id)) wrong.push(`nothing is called ${id}`);
      const ids = Array.from(document.querySelectorAll("[id]"), (el) => el.id);
      for (const id of new Set(ids)) if (ids.filter((one) => one === id).length > 1) wrong.push(`two things are called ${id}`);
      if (!document.documentElement.lang) wrong.push("the page has no language");
      if (!document.title) wrong.push("the page has no title");
      return wrong;
    },
    tables() {
      const wrong = [];
      for (const table of document.querySelectorAll("table")) {
        for (const head of table.querySelectorAll("thead th")) if (head.scope !== "col" || !head.textContent.trim()) wrong.push(`${named(head)} heads nothing`);
        for (const row of table.querySelectorAll("tbody tr")) {
          const width = Array.from(table.tHead.rows[0].cells).length;
          if (row.cells.length !== width) wrong.push(`${named(row)} has ${row.cells.length} cells of ${width}`);
        }
      }
      return wrong;
    },
    keyboard() {
      const wrong = [];
      for (const el of document.querySelectorAll("[tabindex]")) if (el.tabIndex > 0) wrong.push(`${named(el)} jumps the order`);
      for (const el of document.querySelectorAll("[onclick]")) wrong.push(`${named(el)} has a handler in its text`);
      return wrong;
    },
    sideways() {
      const root = document.documentElement;
      const wrong = root.scrollWidth > root.clientWidth ? [`the page is ${root.scrollWidth} px wide`] : [];
      for (const el of document.querySelectorAll("main *, header *, nav *")) {
        if (!visible(el) || el.closest(".scroll") || el.closest("svg") !== null && el.tagName !== "svg") continue;
        if (el.matches(".skip")) continue;
        const found = box(el);
        if (found.right > root.clientWidth + 1 || found.left < -1) wrong.push(`${named(el)} reaches from ${found.left} to ${found.right}`);
      }
      return wrong;
    },
    cut() {
      const wrong = [];
      for (const el of document.querySelectorAll("main *")) {
        if (!visible(el) || el.closest("svg")) continue;
        const style = getComputedStyle(el);
        if (["hidden", "clip"].includes(style.overflowX) && el.scrollWidth > el.clientWidth + 1) wrong.push(`${named(el)} is cut`);
      }
      return wrong;
    },
    overlaps() {
      const wrong = [];
      for (const parent of document.querySelectorAll("main, section, figure, figcaption, .tabled, dl, dl > div, tr, form, .what-if")) {
        if (!visible(parent)) continue;
        const children = Array.from(parent.children).filter((el) => visible(el) && el.tagName !== "SCRIPT");
        for (let i = 0; i < children.length; i++)
          for (let k = i + 1; k < children.length; k++)
            if (meet(box(children[i]), box(children[k]), 1)) wrong.push(`${named(children[i])} and ${named(children[k])}`);
      }
      return wrong;
    },
    drawings() {
      const wrong = [];
      for (const svg of document.querySelectorAll("svg")) {
        if (!visible(svg)) continue;
        const frame = box(svg);
        const name = (svg.querySelector("title") || svg).textContent.slice(0, 40);
        const scale = frame.width / svg.viewBox.baseVal.width;
        const texts = Array.from(svg.querySelectorAll("text")).filter((el) => el.textContent.trim() && !/rotate/.test(el.getAttribute("transform") || ""));
        const turned = Array.from(svg.querySelectorAll("text[transform]"));
        for (const el of [...texts, ...turned]) {
          const found = box(el);
          if (found.left < frame.left - 1 || found.right > frame.right + 1 || found.top < frame.top - 2 || found.bottom > frame.bottom + 2)
            wrong.push(`${name}: ${named(el)} is cut`);
        }
        const least = innerWidth >= 1040 ? 11 : innerWidth <= 400 ? 12 : 9;
        const boxes = texts.map(box);
        for (let i = 0; i < texts.length; i++)
          for (let k = i + 1; k < texts.length; k++)
            if (meet(boxes[i], boxes[k], 2.5 * scale)) wrong.push(`${name}: ${named(texts[i])} lies on ${named(texts[k])}`);
        for (const el of texts) {
          const size = Number(el.getAttribute("font-size")) * scale;
          if (size < least - 0.05) wrong.push(`${name}: ${named(el)} is ${size.toFixed(1)} px high`);
        }
      }
      return wrong;
    },
  };
})();
