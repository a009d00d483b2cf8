// Drawings in the plane: body plan, flat strakes, bevel along a land.
const SVG = "http://www.w3.org/2000/svg";

function shape(name, attributes, parent, text) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  parent.append(node);
  return node;
}

function element(name, parent, text, className) {
  const node = document.createElement(name);
  if (text !== undefined) node.textContent = text;
  if (className) node.className = className;
  parent.append(node);
  return node;
}

const tenth = (value) => (Math.abs(value) < 0.05 ? 0 : value).toFixed(1);

function bodyPlan(svg, data, onPick) {
  const all = data.sections.flatMap((section) => section.planks.flat());
  const half = Math.max(...all.map((p) => p[0])), low = Math.min(0, ...all.map((p) => p[1])), high = Math.max(...all.map((p) => p[1]));
  const widest = data.sections.reduce((best, s, i) => (s.marks.at(-1)[0] > data.sections[best].marks.at(-1)[0] ? i : best), 0);
  svg.setAttribute("viewBox", `${-half - 40} ${-high - 60 - 0.06 * half} ${2 * half + 80} ${high - low + 80 + 0.06 * half}`);
  shape("path", { class: "axis", d: `M0 ${-high - 20}V${-low}M${-half} 0H${half}` }, svg);
  if (data.waterline !== null) shape("path", { class: "axis", "stroke-dasharray": "6 4", d: `M${-half} ${-data.waterline}H${half}` }, svg);
  const dots = [], letters = half * 0.06, names = [];
  data.sections.forEach((section, index) => {
    const sides = index === widest ? [1, -1] : [index < widest ? 1 : -1];
    for (const side of sides) {
      section.planks.forEach((plank, k) => {
        const path = shape("path", { class: "plank", d: `M${plank.map((p) => `${side * p[0]} ${-p[1]}`).join("L")}Z`, "data-strake": k + 1, "data-station": section.station }, svg);
        const wide = shape("path", { class: "hit", d: path.getAttribute("d") }, svg);
        for (const target of [path, wide]) target.addEventListener("click", () => onPick({ strake: k + 1 }));
      });
      section.marks.slice(0, -1).forEach((mark, k) => dots.push([side * mark[0], -mark[1], k + 1, section.station]));
      const [y, z] = section.marks.at(-1);
      let top = -z - 0.4 * letters;
      while (names.some(([x, at]) => Math.abs(x - side * y) < 1.5 * letters && Math.abs(at - top) < letters)) top -= 0.2 * letters;
      names.push([side * y, top]);
      shape("text", { x: side * y, y: top, "font-size": letters, "text-anchor": "middle" }, svg, section.station);
    }
  });
  for (const [x, y, land, station] of dots) {
    shape("circle", { class: "dot", cx: x, cy: y, r: 4 }, svg);
    const dot = shape("circle", { class: "land", cx: x, cy: y, r: 15, "data-land": land, "data-station": station }, svg);
    dot.addEventListener("click", () => onPick({ land }));
  }
}

function pickOnBodyPlan(svg, strake, land) {
  for (const plank of svg.querySelectorAll(".plank")) plank.classList.toggle("picked", Number(plank.dataset.strake) === strake);
  for (const dot of svg.querySelectorAll(".land")) dot.classList.toggle("picked", Number(dot.dataset.land) === land);
}

// The flat strake to scale, and once more with its breadth stretched; the land's edge in another colour.
function flatShape(parent, strake, emphasis) {
  const { lower, aft, upper, fore } = strake.outline;
  const loop = [...lower, ...aft.slice(1, -1), ...[...upper].reverse(), ...fore.slice(1, -1).reverse()];
  const xs = loop.map((p) => p[0]), ys = loop.map((p) => p[1]);
  const left = Math.min(...xs), right = Math.max(...xs), low = Math.min(...ys), high = Math.max(...ys);
  for (const stretch of [1, 4]) {
    const figure = element("figure", parent);
    const letters = (right - left) * 0.026, room = 1.6 * letters;
    const svg = shape("svg", { class: "flatshape", viewBox: `${left - 20} ${-high * stretch - room} ${right - left + 40} ${(high - low) * stretch + 2 * room}` }, figure);
    const path = (points) => points.map((p) => `${p[0]} ${-p[1] * stretch}`).join("L");
    shape("path", { class: "flat", d: `M${path(loop)}Z` }, svg);
    for (const mark of strake.marks) {
      shape("path", { class: "tick", d: `M${path([mark.lower, mark.upper])}` }, svg);
      if (stretch > 1) shape("text", { x: mark.upper[0], y: -mark.upper[1] * stretch - 0.4 * letters, "font-size": letters, "text-anchor": "middle" }, svg, mark.station);
    }
    if (emphasis) shape("path", { class: "emphasis", d: `M${path(strake.outline[emphasis])}` }, svg);
    element("figcaption", figure, stretch === 1 ? "Laid flat, to scale: port strake from outside, bow left." : "The same, with the breadth drawn four times as large.");
  }
}

function bevelChart(parent, land) {
  const at = land.at, width = 600, height = 160;
  const first = at[0].x, last = at.at(-1).x;
  const bevels = at.map((p) => p.bevel);
  const low = Math.min(0, ...bevels), high = Math.max(1, ...bevels);
  const x = (p) => 40 + ((p.x - first) / (last - first)) * (width - 60);
  const y = (b) => 20 + ((high - b) / (high - low)) * (height - 50);
  const figure = element("figure", parent);
  const svg = shape("svg", { viewBox: `0 0 ${width} ${height}` }, figure);
  shape("path", { class: "axis", d: `M40 ${y(0)}H${width - 20}` }, svg);
  shape("path", { class: "emphasis", d: `M${at.map((p) => `${x(p)} ${y(p.bevel)}`).join("L")}` }, svg);
  for (const p of at) {
    shape("circle", { cx: x(p), cy: y(p.bevel), r: 4 }, svg);
    shape("text", { x: x(p), y: height - 4, "font-size": 17, "text-anchor": "middle" }, svg, p.place);
    shape("text", { x: x(p), y: y(p.bevel) - 8, "font-size": 16, "text-anchor": "middle" }, svg, `${tenth(p.bevel)}°`);
  }
  element("figcaption", figure, "True bevel at the ends and the stations, joined by straight lines.");
}
