// The tab "Section": the boat cut across at any place, drawn to scale, with the figures of every land there.
const LAND_HEADS = ["land", "bevel", "take-off", "planed on", "edge left", "gap before", "gerald"];
const LABEL = 7.6; // width of the column of figures, in letters
const cutting = { x: 0, from: 0, to: 0, land: null };

// A land's figures at x, read between the rows of its table; null where the land does not reach.
function landFigures(land, x) {
  const rows = data.land_tables[land - 1], at = rows.x;
  if (x < at[0] - 1e-6 || x > at.at(-1) + 1e-6) return null;
  let high = at.findIndex((one) => one >= x);
  if (high === -1) high = at.length - 1;
  const low = Math.max(high - 1, 0), share = high === low ? 0 : (x - at[low]) / (at[high] - at[low]);
  const read = (name) => rows[name][low] + share * (rows[name][high] - rows[name][low]);
  const figures = Object.fromEntries(["bevel", "take_off", "edge_left", "gap_before", "gerald_depth"].map((name) => [name, read(name)]));
  return { ...figures, hollow: Boolean(rows.hollow[share < 0.5 ? low : high]) };
}

// The outline of each strake at x, [[half-breadth, height], …] round from the outside of its lower edge; null where it does not reach.
function sectionAt(x) {
  return data.nodes.map((nodes) => cut(railsOf(nodes), x));
}

// The outlines of the timbers, of what goes inside, and of a mould that the plane at x cuts, [{kind, outline}, …].
function timbersAt(x) {
  const flat = (rail) => rail.map(([, y, z]) => [y, z]), other = (points) => points.map(([y, z]) => [-y, z]);
  return data.timbers.flatMap(({ kind, form, rails }) => {
    const isMet = rails.some((rail) => (rail[0][0] - x) * (rails[0][0][0] - x) <= 0);
    if (form === "along") return { kind, outline: cut([...rails, ...[...rails].reverse().map((rail) => rail.map(mirrored))], x) };
    if (kind === "transom") return cutAcross(rails, x).map((outline) => ({ kind, outline }));
    if (form === "across" && isMet) return { kind, outline: [...flat(rails[0]), ...other(flat(rails[0])).reverse()] };
    const half = form === "ring" ? cut(rails, x) : form === "frame" && isMet ? [...flat(rails[1]), ...flat(rails[0]).reverse()] : null;
    return [half, half && other(half)].map((outline) => ({ kind, outline }));
  }).filter(({ outline }) => outline);
}

// The triangles of one half of a timber, each as the [rail, point] of its corners: the strips between its rails, and its
// two ends, where the second half of the rails lies opposite the first. It is open on the centreplane.
function halfTriangles(rails) {
  const last = rails.length - 1, found = [];
  const quad = (a, b, c, d) => found.push([a, b, c], [c, b, d]);
  for (let rail = 0; rail < last; rail += 1)
    for (let i = 0; i + 1 < rails[0].length; i += 1) quad([rail, i], [rail + 1, i], [rail, i + 1], [rail + 1, i + 1]);
  for (const i of [0, rails[0].length - 1])
    for (let rail = 0; rail + 1 < last - rail; rail += 1) quad([rail, i], [rail + 1, i], [last - rail, i], [last - rail - 1, i]);
  return found;
}

// The outlines of a timber, both halves, that the plane at x cuts in any direction, such as a raked or bowed transom's.
function cutAcross(rails, x) {
  const isAft = ([rail, i]) => rails[rail][i][0] > x, links = new Map(), points = new Map();
  const key = (one, other) => [one, other].map(String).sort().join(" ");
  for (const corners of halfTriangles(rails)) {
    const crossed = [[0, 1], [1, 2], [2, 0]].map(([i, j]) => [corners[i], corners[j]]).filter(([one, other]) => isAft(one) !== isAft(other));
    const keys = crossed.map(([one, other]) => key(one, other));
    crossed.forEach(([one, other], i) => points.set(keys[i], between(...[one, other].map(([rail, at]) => rails[rail][at]), x)));
    keys.forEach((one, i) => links.set(one, [...(links.get(one) ?? []), keys[1 - i]]));
  }
  const other = (outline) => outline.map(([y, z]) => [-y, z]);
  return chains(links).flatMap(({ keys, isOpen }) => {
    const half = keys.map((one) => points.get(one));
    return isOpen ? [[...half, ...other(half).reverse()]] : [half, other(half)];
  });
}

// Links between keys as chains of keys: the open ones first, then those that close.
function chains(links) {
  const found = [], left = new Set(links.keys());
  const starts = [...[...links].filter(([, next]) => next.length === 1).map(([one]) => one), ...links.keys()];
  for (const start of starts) {
    if (!left.has(start)) continue;
    const keys = [];
    for (let at = start; at !== undefined; at = links.get(at).find((one) => left.has(one))) {
      keys.push(at);
      left.delete(at);
    }
    found.push({ keys, isOpen: links.get(start).length === 1 });
  }
  return found;
}

// What is drawn as a path, y to the right and z up.
const pathOf = (outline, side = 1) => `M${outline.map(([y, z]) => `${(side * y).toFixed(2)} ${(-z).toFixed(2)}`).join("L")}Z`;

// Draws the section; a land that was chosen is drawn large.
function drawSection() {
  const svg = byId("section"), x = cutting.x;
  svg.replaceChildren();
  const strakes = sectionAt(x), box = sectionBox(strakes);
  svg.setAttribute("viewBox", `${box.left} ${box.top} ${box.width} ${box.height}`);
  shape("path", { class: "axis", d: `M0 ${box.top}V${box.top + box.height}` }, svg);
  if (data.waterline !== null) shape("path", { class: "axis", "stroke-dasharray": "6 4", d: `M${box.left} ${-data.waterline}h${box.width}` }, svg);
  for (const { kind, outline } of timbersAt(x)) shape("path", { class: `timber ${kind}`, d: pathOf(outline) }, svg);
  strakes.forEach((outline, index) => {
    if (!outline) return;
    for (const side of data.side ? [1] : [1, -1]) shape("path", { class: `cutting ${index % 2 ? "second" : ""}`, d: pathOf(outline, side), "data-strake": index + 1 }, svg);
  });
  if (!cutting.land) labelLands(svg, box);
  scaleBar(svg, box);
}

// The part of the plane that is drawn: the whole section, half of it on a phone, or a few laps around one land.
function sectionBox(strakes) {
  const pixels = byId("section").clientWidth || 700, corner = cutting.land && insideCorner(cutting.land);
  if (corner) {
    const reach = 4 * data.lap;
    return { left: corner[0] - 1.3 * reach, top: -corner[1] - 0.8 * reach, width: 2.6 * reach, height: 1.6 * reach, letters: (2.6 * reach * 16) / pixels };
  }
  const half = cutting.half, left = pixels < 600 ? -0.2 * half : -1.06 * half;
  const share = 1 - (16 * LABEL) / pixels, width = (1.06 * half - left) / share, letters = (width * 16) / pixels;
  const points = strakes.filter(Boolean).flat(), low = Math.min(cutting.low, ...points.map((p) => p[1])) - 2 * letters;
  const top = -cutting.high - Math.max(60, 0.06 * half);
  return { left, top, width, height: -low - top, letters, column: 1.06 * half };
}

// The upper inside corner of a land's lower strake where the boat is cut, [half-breadth, height].
const insideCorner = (land) => crossing(data.nodes[land - 1].map((column) => column[4]), cutting.x);

// Writes number, bevel and take-off of every land in a column on the port side, each with a line to its land.
function labelLands(svg, box) {
  let last = -Infinity;
  for (let land = data.nodes.length - 1; land >= 1; land -= 1) {
    const corner = insideCorner(land), figures = landFigures(land, cutting.x);
    if (!corner || !figures) continue;
    const size = box.letters, level = Math.max(-corner[1], last + 1.15 * size);
    last = level;
    shape("path", { class: "leader", d: `M${corner[0] + 2.5 * Math.max(...data.thickness)} ${-corner[1]}L${box.column - 0.3 * size} ${level}` }, svg);
    const texts = [[String(land), 0.7], [`${tenth(figures.bevel)}°`, 4.4], [notation.depth(figures.take_off), 7]];
    for (const [text, at] of texts) {
      shape("text", { class: "section-text", x: box.column + at * size, y: level + 0.35 * size, "font-size": size, "text-anchor": "end" }, svg, text);
    }
    const hit = shape("circle", { class: "hit-land", cx: corner[0], cy: -corner[1], r: 1.5 * size, "data-land": land }, svg);
    hit.addEventListener("click", () => chooseLand(land));
  }
}

// A bar of a round length in the units of the boat.
function scaleBar(svg, box) {
  const sizes = data.notation.units === "mm" ? [5, 10, 20, 50, 100, 200, 500] : [1 / 4, 1 / 2, 1, 3, 6, 12, 24].map((inches) => inches * INCH);
  const length = sizes.filter((size) => size < box.width / 4).at(-1) || sizes[0], x = box.left + 0.03 * box.width, y = box.top + box.height - 0.03 * box.width;
  shape("path", { class: "bar-scale", d: `M${x} ${y}h${length}` }, svg);
  shape("text", { class: "section-text", x, y: y - 0.5 * box.letters, "font-size": box.letters }, svg, notation.spoken(length));
}

// Lists the figures of all lands at x; the first column is a button that draws the land large.
function listLands() {
  const box = byId("cut-figures"), rows = [], lands = [];
  for (let land = 1; land < data.nodes.length; land += 1) {
    const figures = landFigures(land, cutting.x);
    if (!figures) continue;
    lands.push(land);
    rows.push(["", `${tenth(figures.bevel)}°`, notation.depth(figures.take_off), figures.hollow ? "upper" : "lower",
      ...["edge_left", "gap_before", "gerald_depth"].map((name) => notation.depth(figures[name]))]);
  }
  box.replaceChildren();
  const body = table(box, LAND_HEADS, rows);
  [...body.rows].forEach((row, i) => {
    const button = element("button", row.cells[0], String(lands[i]));
    button.type = "button";
    button.setAttribute("aria-label", `Draw land ${lands[i]} large`);
    button.setAttribute("aria-pressed", String(cutting.land === lands[i]));
    button.addEventListener("click", () => chooseLand(lands[i]));
  });
  element("p", box, `Depths in ${data.figures.depths}. Where the bevel is negative, the land is hollow. Figures between the stations are those of the templates within 0.05° and 0.1 mm.`, "small");
}

// Draws a land large, or the whole section again.
function chooseLand(land) {
  cutting.land = cutting.land === land ? null : land;
  byId("cut-whole").hidden = !cutting.land;
  drawSection();
  listLands();
}

// Cuts the boat at x, mm; where it snaps, a station that is nearer than half a millimetre is met exactly.
function cutAt(x, snaps = true) {
  const station = snaps && data.stations.find((one) => Math.abs(one.x - x) <= 0.5);
  cutting.x = Math.min(Math.max(station ? station.x : x, cutting.from), cutting.to);
  byId("cut").value = cutting.x;
  byId("cut-words").textContent = `${notation.place(cutting.x)} · ${notation.spoken(cutting.x)} from the datum`;
  byId("cut").setAttribute("aria-valuetext", byId("cut-words").textContent);
  drawSection();
  listLands();
}

// Cuts at the next station forward (-1) or aft (1).
function cutAtNext(way) {
  const beyond = data.stations.filter((one) => way * (one.x - cutting.x) > 0.6);
  if (beyond.length) cutAt((way > 0 ? beyond[0] : beyond.at(-1)).x);
}

// Makes the tab work; it begins amidships.
function startSection() {
  const points = data.nodes.flat(2), every = (axis) => points.map((point) => point[axis]);
  const [x, y, z] = [0, 1, 2].map(every);
  const least = (all) => all.reduce((a, b) => Math.min(a, b)), most = (all) => all.reduce((a, b) => Math.max(a, b));
  Object.assign(cutting, { from: Math.ceil(least(x)), to: Math.floor(most(x)), half: most(y), low: least(z) - 30, high: most(z) });
  Object.assign(byId("cut"), { min: cutting.from, max: cutting.to, step: "any" });
  byId("cut").addEventListener("input", () => cutAt(Math.round(Number(byId("cut").value))));
  byId("cut").addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 50, PageDown: -50 }[event.key];
    if (!step) return;
    event.preventDefault();
    cutAt(Math.round(cutting.x + step), false);
  });
  new ResizeObserver(() => drawSection()).observe(byId("section"));
  byId("cut-fore").addEventListener("click", () => cutAtNext(-1));
  byId("cut-aft").addEventListener("click", () => cutAtNext(1));
  byId("cut-whole").addEventListener("click", () => chooseLand(cutting.land));
  cutAt(data.stations[Math.floor(data.stations.length / 2)].x);
}
