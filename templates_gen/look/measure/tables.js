// The fields to be filled in: one for each place of a strake that hangs, two for each point of a spiling.

const SHEER_OR_KEEL = [["sheer", "toward sheer"], ["keel", "toward keel"]];
const UP_OR_DOWN = [["up", "above line"], ["down", "below line"]];
const SIDE_HEADS = { port: "Port, going aft", starboard: "Starboard, going forward", both: "Both sides" };

// A field: its name, what it holds, the directions that it may have, and its button on the page.
class Field {
  // `about` holds name, ways, zero, isFine, isLong; `cell` is the object of the record that it fills.
  constructor(about, cell, key = "text") {
    Object.assign(this, { ways: [], zero: "", isFine: false, isLong: false, unit: "", place: "", farthest: null }, about, { cell, key });
  }

  // What it holds.
  get() {
    return { text: this.cell[this.key], way: this.ways.length ? this.cell.way : "" };
  }

  // Puts a text and a direction into it; what was sure is so no longer.
  put(text, way) {
    this.cell[this.key] = text;
    if (!this.ways.length) return;
    this.cell.way = way;
    this.cell.sure = false;
  }

  // Its button, in a parent.
  drawn(parent, select) {
    this.node = button(parent, undefined, "field", () => select(this));
    this.node.addEventListener("focus", () => select(this));
    this.refresh("");
    return this.node;
  }

  // Shows what it holds; `doubt` is why it is marked, "" if it is not.
  refresh(doubt) {
    const { text, way } = this.get(), words = this.ways.find((one) => one[0] === way)?.[1];
    const direction = text && this.ways.length ? (text === "0" ? this.zero : (words ?? "which way?")) : "";
    this.node.replaceChildren();
    element("span", this.node, text || "–", "figure");
    if (direction) element("span", this.node, direction, "way");
    if (doubt) element("span", this.node, doubt, "doubt");
    this.node.classList.toggle("odd", doubt !== "");
    const spoken = text ? [text, direction, doubt].filter(Boolean).join(", ") : "nothing yet";
    this.node.setAttribute("aria-label", `${this.name}: ${spoken}`);
  }
}

// A table of fields: a row for each place, its heads over it.
function fieldTable(parent, heads, rows, select) {
  const table = element("table", parent, undefined, "fields"), head = element("tr", element("thead", table));
  for (const text of heads) element("th", head, text).scope = "col";
  const body = element("tbody", table);
  for (const { title, fields } of rows) {
    const line = element("tr", body);
    element("th", line, title).scope = "row";
    for (const field of fields) field.drawn(element("td", line), select);
  }
}

// The places of a strake that have a field, fore to aft: every mark, and half-ways, all of them or those with a figure.
function shownPlaces(boat, strake, hasHalfWays) {
  const isShown = (i) => i < boat.marks || (boat.places[i] !== "" && (hasHalfWays || sidesOf(strake).some((side) => strake[side][i].text !== "")));
  return listOf(boat.marks, (i) => [i, boat.marks + i]).flat().filter((i) => i < boat.places.length && isShown(i));
}

// The fields of a strake that hangs, in rows; and all of them in the order in which one walks round the boat.
function hungFields(boat, record, k, hasHalfWays, unit) {
  const strake = record.hanging(k), sides = sidesOf(strake), places = shownPlaces(boat, strake, hasHalfWays);
  const columns = sides.map((side) => places.map((i) =>
    new Field({ name: `${side === "both" ? "both sides" : side}, ${boat.titles[i]}`, ways: SHEER_OR_KEEL, zero: "on its mark", side, place: i }, strake[side][i])));
  const rows = places.map((place, i) => ({ title: boat.titles[place], fields: columns.map((column) => column[i]) }));
  const walk = [...columns[0], ...(columns[1] ?? []).slice().reverse()];
  return { heads: [`Place (${unit})`, ...sides.map((side) => SIDE_HEADS[side])], rows, walk };
}

// The fields of stock and lap of a strake that hangs.
function stockFields(boat, record, k) {
  const strake = record.hanging(k);
  const fields = [new Field({ name: `thickness of strake ${k + 1}`, isFine: true }, strake, "thickness")];
  if (boat.laps[k] !== undefined) {
    fields.push(new Field({ name: `lap set off for strake ${k + 2}`, isFine: true }, strake, "lap"));
    fields.push(new Field({ name: "stock still to be hung", isFine: true }, record, "stock"));
  }
  return fields;
}

// The fields of a spiling, in rows; and all of them along the lower edge, then along the upper one.
function spilingFields(boat, record, k, unit) {
  const spiling = record.spilings[k], { titles } = boat.spiling[k];
  const pairs = (edge) => titles.map((title, i) => [
    new Field({ name: `${edge} edge, ${title}, along`, edge, place: i, isLong: true }, spiling[edge].along[i]),
    new Field({ name: `${edge} edge, ${title}, offset`, ways: UP_OR_DOWN, zero: "on the line", edge, place: i, isLong: true }, spiling[edge].off[i]),
  ]);
  const lower = pairs("lower"), upper = pairs("upper");
  const rows = titles.map((title, i) => ({ title, fields: [...lower[i], ...upper[i]] }));
  return { heads: [`Place (${unit})`, "Lower: along", "offset", "Upper: along", "offset"], rows, walk: [...lower.flat(), ...upper.flat()] };
}
