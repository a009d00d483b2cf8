// Moulds and ends of the boat that stand out of their places: how far across, up and down, and along the boat.

// The three ways to be off, each with its two directions: the key of the file, the name of the direction and its words.
const AXES = [
  { title: "across", ways: [["out", "out"], ["in", "in"]], keys: ["out", "in"] },
  { title: "height", ways: [["sheer", "toward sheer"], ["keel", "toward keel"]], keys: ["toward_sheer", "toward_keel"] },
  { title: "along", ways: [["aft", "aft"], ["forward", "forward"]], keys: ["aft", "forward"] },
];

// The keys of the file, each with its axis and its direction; `up` and `down` are others for two of them.
const MOULD_KEYS = new Map(AXES.flatMap(({ keys, ways }, axis) => keys.map((key, i) => [key, { axis, way: ways[i][0] }])));
MOULD_KEYS.set("up", MOULD_KEYS.get("toward_sheer")).set("down", MOULD_KEYS.get("toward_keel"));

// A mould of what was kept: for both sides or for each, a figure on each axis.
function mouldOf(kept) {
  const row = (name) => keptRow(kept?.[name], AXES.length);
  return { isApart: kept?.isApart === true, both: row("both"), port: row("port"), starboard: row("starboard") };
}

// Whether it is a mould, and not an end of the boat.
const isMould = ({ path }) => path[0] === "mould";

// The value at x of the parabola through three points of a row, the nearest three of five.
function interpolated(steps, values, x) {
  const at = (x < 0 ? [0, 1, 2] : [2, 3, 4]);
  return at.reduce((sum, i) => {
    const others = at.filter((j) => j !== i);
    return sum + others.reduce((product, j) => (product * (x - steps[j])) / (steps[i] - steps[j]), values[i]);
  }, 0);
}

// How far the drawn lands lie above the marks of the moulds and ends as they stand, (N, p); `offs` holds for each of
// them how far it is out, toward the sheer and aft of its place, mm.
function drawnLands(boat, offs) {
  const lands = boat.along.map((row) => row.map(() => 0));
  boat.moulds.forEach((mould, i) => {
    const [out, up, aft] = offs[i];
    lands.forEach((row, k) => {
      row[mould.place] = out * mould.out[k] + up * mould.up[k] + (aft && interpolated(mould.steps, mould.aft[k], aft));
    });
  });
  return lands;
}

// The fields of a mould or an end, in rows; and all of them, one side after the other. A stem has none across.
function mouldFields(mould, { title, farthest }, unit) {
  const columns = sidesOf(mould).map((side) => AXES.map(({ title: axis, ways }, i) =>
    new Field({ name: `${title}, ${side === "both" ? "both sides" : side}, ${axis}`, ways, zero: "as drawn", farthest: farthest[i] }, mould[side][i])));
  const rows = AXES.map(({ title: axis }, i) => ({ title: axis, fields: columns.map((column) => column[i]) })).filter((_, i) => farthest[i] !== null);
  const heads = { both: "Both sides", port: "Port", starboard: "Starboard" };
  return { heads: [`Off (${unit})`, ...sidesOf(mould).map((side) => heads[side])], rows, walk: columns.flatMap((column) => column.filter((_, i) => farthest[i] !== null)) };
}

// The list of moulds and ends, folded up: one of them is chosen, and has its fields.
class MouldList {
  // Takes the Measure view.
  constructor(view) {
    Object.assign(this, { view, box: null, chosen: 0 });
  }

  // Whether it is unfolded.
  get isOpen() {
    return this.box?.open ?? false;
  }

  // Draws the list, if there is anything in it, and calls back with its fields each time that these change.
  draw(parent, walked) {
    this.summary = null;
    if (!this.view.boat.moulds.length) return walked([]);
    const { isOpen } = this;
    this.box = element("details", parent, undefined, "moulds");
    this.box.open = isOpen;
    this.summary = element("summary", this.box);
    this.body = element("div", this.box);
    this.walked = walked;
    return this.drawChosen();
  }

  // Names those that have a figure.
  refresh() {
    const { boat, record } = this.view, begun = boat.moulds.filter((_, i) => record.isMouldBegun(i)).map((one) => one.name);
    if (this.summary) this.summary.textContent = `${boat.moulds.some(isMould) ? "Moulds and ends" : "Ends"} out of their places${begun.length ? `: ${begun.join(", ")}` : ""}`;
  }

  // Draws the fields of the mould that is chosen, with what chooses another.
  drawChosen() {
    const { boat, record, lengths } = this.view, mould = record.moulds[this.chosen];
    this.body.replaceChildren();
    element("p", this.body, "How far does it stand out of its place? Leave out what is as drawn. On a boat built keel up, the sheer is below.", "how");
    const moulds = element("div", this.body, undefined, "choice names"), sides = element("div", this.body, undefined, "choice");
    boat.moulds.forEach((one, i) => this.choice(moulds, one.name, i === this.chosen, () => (this.chosen = i)).setAttribute("aria-label", one.title));
    const hasSides = boat.moulds[this.chosen].farthest[0] !== null;
    for (const [isApart, text] of hasSides ? [[false, "Both sides"], [true, "Each side"]] : [])
      this.choice(sides, text, mould.isApart === isApart, () => (mould.isApart = isApart)).dataset.mouldApart = String(isApart);
    const { heads, rows, walk } = mouldFields(mould, boat.moulds[this.chosen], lengths.unit);
    fieldTable(this.body, heads, rows, (field) => this.view.select(field, false));
    this.walked(walk);
    this.first = walk[0];
  }

  // Draws a button that changes what is chosen.
  choice(parent, text, isPressed, change) {
    const one = button(parent, text, "", () => {
      change();
      this.drawChosen();
      this.view.changed();
      this.view.select(this.first, true);
    });
    one.setAttribute("aria-pressed", String(isPressed));
    return one;
  }
}
