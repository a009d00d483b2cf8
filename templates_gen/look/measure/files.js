// The as-built file and the spiling file as the program reads them, and what it would refuse of them.

// A name as a key of a TOML file.
const keyOf = (name) => (/^[A-Za-z0-9_-]+$/.test(name) ? name : textOf(name));

// A text of a TOML file; a quote in it is written by its number.
const textOf = (text) => `"${text.replaceAll("\\", "\\\\").replaceAll('"', "\\u0022")}"`;

// A text that begins with a capital letter.
const capital = (text) => text[0].toUpperCase() + text.slice(1);

class Files {
  // Takes the boat's data for this view, how lengths are typed, its name and fingerprint, and the record.
  constructor(boat, lengths, hull, record) {
    Object.assign(this, { boat, lengths, hull, record });
  }

  // How far an edge is from its mark, mm + toward the sheer; null where that is not complete.
  markOf(cell) {
    return this.signed(cell, SHEER_OR_KEEL);
  }

  // A figure in mm, + in the first of its two directions; null where that is not complete.
  signed(cell, [[plus], [minus]]) {
    const size = this.lengths.read(cell.text);
    if (size === null || (size !== 0 && cell.way !== plus && cell.way !== minus)) return null;
    return cell.way === minus ? -size : size;
  }

  // How far a mould or an end is out, toward the sheer and aft of its place on a side, mm; 0 where that is not complete.
  offOf(mould, side) {
    const row = mould.isApart ? mould[side === "both" ? "port" : side] : mould.both;
    return row.map((cell, i) => this.signed(cell, AXES[i].ways) ?? 0);
  }

  // A point on the batten in mm, [along, + above the line]; null where it is not complete.
  pointOf(rows, i) {
    const along = this.lengths.read(rows.along[i].text), size = this.lengths.read(rows.off[i].text), { way } = rows.off[i];
    if (along === null || size === null || (size !== 0 && way !== "up" && way !== "down")) return null;
    return [along, way === "down" ? -size : size];
  }

  // The lines that every file begins with.
  head(what) {
    const units = this.lengths.isMetric ? "mm" : "in";
    const hull = this.hull.fingerprint ? [`hull = ${textOf(this.hull.fingerprint)}`] : [];
    return [`# ${this.hull.name}: ${what}`, "format = 1", ...hull, `units = "${units}"`];
  }

  // The as-built file.
  asBuilt() {
    const lines = this.head("strakes as hung"), { stock } = this.record;
    if (this.lengths.read(stock) !== null) lines.push(`stock = ${this.lengths.written(stock)}`);
    for (let k = 0; k < this.record.hung; k++) lines.push(...this.strakeLines(k));
    this.record.moulds.forEach((mould, i) => lines.push(...this.mouldLines(mould, this.boat.moulds[i].path.map(keyOf).join("."))));
    return `${lines.join("\n")}\n`;
  }

  // One strake of the as-built file: as it was hung first, and again.
  strakeLines(k) {
    const strake = this.record.strakes[k], name = `strake.${k + 1}`;
    if (!strake.isRemade) return this.hangingLines(strake, name);
    const own = this.sizeLines(strake), first = isHangingBegun(strake) ? this.hangingLines(strake, name) : own.length ? ["", `[${name}]`, ...own] : [];
    return [...first, ...this.hangingLines(strake.remade, `${name}.remade`)];
  }

  // One strake as it hangs.
  hangingLines(strake, name) {
    const own = this.sizeLines(strake);
    if (!strake.isApart) return ["", `[${name}]`, ...own, ...this.edgeLines(strake.both)];
    const sides = SIDES.flatMap((side) => ["", `[${name}.${side}]`, ...this.edgeLines(strake[side])]);
    return own.length ? ["", `[${name}]`, ...own, ...sides] : sides;
  }

  // The thickness and the lap of a strake that were typed.
  sizeLines(strake) {
    return ["thickness", "lap"]
      .filter((key) => this.lengths.read(strake[key]) !== null)
      .map((key) => `${key} = ${this.lengths.written(strake[key])}`);
  }

  // One mould or end of the as-built file; nothing where it stands as drawn.
  mouldLines(mould, name) {
    return sidesOf(mould).flatMap((side) => {
      const figures = mould[side].flatMap((cell, i) => {
        const off = this.signed(cell, AXES[i].ways);
        return off === null ? [] : [`${AXES[i].keys[off < 0 ? 1 : 0]} = ${this.lengths.written(cell.text)}`];
      });
      return figures.length ? ["", side === "both" ? `[${name}]` : `[${name}.${side}]`, ...figures] : [];
    });
  }

  // The figures of one edge, each under its direction, and those that are sure.
  edgeLines(row) {
    const given = row.flatMap((cell, i) => (this.markOf(cell) === null ? [] : [{ cell, name: this.boat.places[i] }]));
    const table = (key, cells) => {
      const figures = cells.map(({ cell, name }) => `${keyOf(name)} = ${this.lengths.written(cell.text)}`);
      return cells.length ? [`${key} = { ${figures.join(", ")} }`] : [];
    };
    const isKeel = ({ cell }) => this.markOf(cell) < 0, sure = given.filter(({ cell }) => cell.sure);
    return [
      ...table("toward_sheer", given.filter((one) => !isKeel(one))),
      ...table("toward_keel", given.filter(isKeel)),
      ...(sure.length ? [`sure = [${sure.map(({ name }) => textOf(name)).join(", ")}]`] : []),
    ];
  }

  // The spiling file of a strake.
  spiling(k) {
    const spiling = this.record.spilings[k], lines = this.head(`strake ${k + 1} taken off with a batten`);
    lines.push(`strake = ${k + 1}`);
    if (SIDES.includes(spiling.side)) lines.push(`side = "${spiling.side}"`);
    if (this.lengths.read(spiling.batten) !== null) lines.push(`batten = ${this.lengths.written(spiling.batten)}`);
    for (const edge of ["lower", "upper"]) lines.push("", `[${edge}]`, ...this.pointLines(k, spiling[edge]));
    return `${lines.join("\n")}\n`;
  }

  // The points of one edge, one a line.
  pointLines(k, rows) {
    return this.boat.spiling[k].places.flatMap((name, i) => {
      const point = this.pointOf(rows, i);
      if (point === null) return [];
      const { text } = rows.off[i], off = point[1] < 0 ? this.lengths.writtenBelow(text) : this.lengths.written(text);
      return [`${keyOf(name)} = [${this.lengths.written(rows.along[i].text)}, ${off}]`];
    });
  }

  // What the program would refuse of the as-built file, in words.
  asBuiltProblems() {
    const { hung, stock } = this.record, found = [];
    if (this.record.isEmpty("hung")) found.push("Nothing is measured yet.");
    for (let k = 0; k < hung; k++) found.push(...this.strakeProblems(k));
    this.boat.moulds.forEach((_, i) => found.push(...this.mouldProblems(i)));
    const [low, high] = this.boat.rules.shares, thickest = Math.max(...this.boat.thickness);
    found.push(...this.sizeProblem("The stock still to be hung", stock, low * thickest, high * thickest));
    return found;
  }

  // What it would refuse of one strake, as it was hung first and again.
  strakeProblems(k) {
    const strake = this.record.strakes[k], name = `Strake ${k + 1}`;
    if (!strake.isRemade) return this.hangingProblems(k, strake, name);
    const first = isHangingBegun(strake) ? this.hangingProblems(k, strake, `${name}, as first hung`) : [];
    return [...first, ...this.hangingProblems(k, strake.remade, `${name}, hung again`)];
  }

  // What it would refuse of a strake as it hangs; half-ways do not count among the fewest places.
  hangingProblems(k, strake, name) {
    const { fewest, shares } = this.boat.rules, found = [];
    for (const side of sidesOf(strake)) {
      const row = strake[side], of = `${name}${side === "both" ? "" : `, ${side}`}`;
      const count = row.slice(0, this.boat.marks).filter((cell) => this.markOf(cell) !== null).length;
      if (count < fewest) found.push(`${of}: measured at ${count} ${count === 1 ? "place" : "places"}${isBegun(row.slice(this.boat.marks)) ? " besides half-ways" : ""}; measure at ${fewest} or more.`);
      row.forEach((cell, i) => {
        const mark = this.markOf(cell), where = `${of}, ${this.boat.titles[i]}`, least = this.boat.least[k][i];
        if (cell.text && mark === null) found.push(`${where}: ${this.whatLacks(cell)}`);
        else if (mark !== null && Math.abs(mark) >= least)
          found.push(`${where}: as far from its mark as a strake is wide. Expected less than ${this.lengths.spoken(least)}; measure it again.`);
      });
    }
    const sizes = [["thickness", "thickness", this.boat.thickness[k]], ["lap", "lap", this.boat.laps[k]]];
    for (const [key, word, drawn] of sizes) {
      if (drawn === undefined) continue;
      found.push(...this.sizeProblem(`${name}: its ${word}`, strake[key], shares[0] * drawn, shares[1] * drawn));
    }
    return found;
  }

  // What it would refuse of one mould or end.
  mouldProblems(i) {
    const mould = this.record.moulds[i], { title, farthest } = this.boat.moulds[i];
    return sidesOf(mould).flatMap((side) => mould[side].flatMap((cell, axis) => {
      const of = `${capital(title)}${side === "both" ? "" : `, ${side}`}, ${AXES[axis].title}`, off = this.signed(cell, AXES[axis].ways);
      if (cell.text && off === null) return [`${of}: ${this.whatLacks(cell)}`];
      if (off === null || farthest[axis] === null || Math.abs(off) <= farthest[axis]) return [];
      return [`${of}: too far out of its place to plank over. Expected at most ${this.lengths.spoken(farthest[axis])}; measure it again, or set it up again.`];
    }));
  }

  // What a figure that is not complete still lacks.
  whatLacks(cell) {
    if (this.lengths.read(cell.text) === null) return `“${cell.text}” is not a length. Type it again.`;
    return "the direction is missing. Tap the figure, then a direction.";
  }

  // That a thickness or a lap is far from the drawn one, or no length.
  sizeProblem(what, text, low, high) {
    if (!text) return [];
    const size = this.lengths.read(text);
    if (size === null) return [`${what}: “${text}” is not a length. Type it again.`];
    if (size >= low && size <= high) return [];
    return [`${what} is far from the drawn one. Expected ${this.lengths.spoken(low)} to ${this.lengths.spoken(high)}; measure it again.`];
  }

  // What the program would refuse of a spiling file, and widths that cannot be, in words; each with its place. What is only not complete yet is open.
  spilingProblems(k) {
    const spiling = this.record.spilings[k], { fewest_points: fewest } = this.boat.rules, found = [];
    for (const edge of ["lower", "upper"]) {
      const rows = spiling[edge];
      const points = this.boat.spiling[k].places.map((_, i) => this.pointOf(rows, i));
      const count = points.filter((point) => point !== null).length;
      if (count < fewest) found.push({ isOpen: true, text: `The ${edge} edge has ${count} ${count === 1 ? "point" : "points"}; give ${fewest} or more.` });
      found.push(...this.pointProblems(k, edge, points));
    }
    return [...found, ...this.widthProblems(k)];
  }

  // Points of an edge that are not complete, or not in their order along the batten.
  pointProblems(k, edge, points) {
    const { titles } = this.boat.spiling[k], rows = this.record.spilings[k][edge], found = [];
    let before = null;
    points.forEach((point, i) => {
      const of = `${titles[i]}, ${edge} edge`;
      if (point === null) {
        if (rows.along[i].text || rows.off[i].text) found.push({ isOpen: true, text: `${of}: along, offset or its direction is missing.` });
        return;
      }
      if (before !== null && point[0] <= points[before][0])
        found.push({ edge, place: i, text: `${of}: it is not aft of ${titles[before]} along the batten. Check that they are not exchanged.` });
      before = i;
    });
    return found;
  }

  // Places where the upper point is not above the lower one, or the width is far from the computed one.
  widthProblems(k) {
    const { titles, widths } = this.boat.spiling[k], { lower, upper } = this.record.spilings[k];
    return titles.flatMap((title, i) => {
      const low = this.pointOf(lower, i), high = this.pointOf(upper, i);
      if (!low || !high) return [];
      if (low[1] >= high[1]) return [{ edge: "upper", place: i, text: `${title}: the upper point is not above the lower one. Check both directions.` }];
      const width = Math.hypot(high[0] - low[0], high[1] - low[1]);
      if (Math.abs(width - widths[i]) <= this.boat.rules.width_off) return [];
      const [read, computed] = [width, widths[i]].map((one) => this.lengths.spoken(one));
      return [{ edge: "upper", place: i, text: `${title}: ${read} from edge to edge, where ${computed} is computed. Read both points again.` }];
    });
  }
}
