// A saved file put into the record: the as-built file or a spiling file, as this page writes them or in the same form.

// The figures that a field can hold as they are, by the units of a file.
const TAKEN = {
  mm: "mm with at most three decimals",
  in: "inches with fractions to 1/64",
  "ft-in-8": "feet-inches-eighths such as “0-1-4”, or a fraction of an inch, in quotes",
  eighths: "eighths of an inch with fractions to 1/8, or sixteenths and finer fractions of an inch, in quotes",
};

// The keys that the page reads, by the kind of table.
const KEYS = {
  hung: ["format", "hull", "units", "stock"],
  mould: [...MOULD_KEYS.keys()],
  strake: ["above_mark", "toward_sheer", "toward_keel", "sure", "thickness", "lap"],
  spiling: ["format", "hull", "units", "strake", "side", "batten"],
};

// Puts what a file holds into the record of a boat.
class Opening {
  // Takes the boat's data for this view, how lengths are typed, the fingerprint and the record.
  constructor(boat, lengths, fingerprint, record) {
    Object.assign(this, { boat, lengths, fingerprint, record });
  }

  // Reads a file into the record, and returns what is to be shown: the mode and the strake. Throws why it cannot.
  open(text) {
    let tables;
    try {
      tables = new Reader(text).tables();
    } catch (error) {
      throw new Error(`This page cannot read ${error.message} of the file. Files that it saved can be opened here; the program reads others too.`);
    }
    const head = tables.get(""), hull = head.get("hull");
    if (hull !== undefined && hull !== this.fingerprint)
      throw new Error(`This file is of another drawing, ${hull}. Open it on the page of that drawing.`);
    this.units = head.get("units") ?? this.boat.units;
    const taken = this.lengths.isMetric ? ["mm"] : ["in", "ft-in-8", "eighths"];
    if (!taken.includes(this.units))
      throw new Error(`The units of this file are “${this.units}”. This page reads files in ${taken.map((one) => `“${one}”`).join(" or ")}. Give the file to the program.`);
    const kind = head.has("strake") ? "spiling" : "hung";
    this.noneLost(head.keys(), KEYS[kind]);
    return this[kind](tables);
  }

  // Throws where there is a key or a table that the page would lose.
  noneLost(names, known, where = "") {
    const lost = [...names].find((name) => !known.includes(name));
    if (lost !== undefined) throw new Error(`This page does not know ${lost}${where}, and would lose it. Correct the name, or go on in the file itself.`);
  }

  // What is typed for a figure of a file, without its sign. Throws where that would not be the same length.
  typed(value, where) {
    const text = typeof value === "string" ? this.ofText(value.replace(/^[-+]/, "")) : this.ofNumber(value);
    if (text !== null && this.lengths.read(text) !== null) return text;
    const figure = typeof value === "object" ? "no single figure" : String(value);
    throw new Error(`${where} is ${figure}. This page takes ${TAKEN[this.units]}. Correct it, or go on in the file itself.`);
  }

  // What is typed for a number of a file, or null where nothing that is typed is the same.
  ofNumber(value) {
    if (typeof value !== "number") return null;
    const size = Math.abs(value), parts = size * { in: 64, eighths: 8 }[this.units];
    if (this.lengths.isMetric || size === 0) return String(size);
    return Number.isInteger(parts) ? inchesOf(parts, 64) : null;
  }

  // The same for a text: "3/8", "16 1/2", or feet, inches and eighths as in "2-3-4+". In "ft-in-8" no text but these;
  // in eighths a fraction that must be of an inch.
  ofText(text) {
    if (this.units === "eighths") return /\/(8|16|32|64)$/.test(text) ? text : null;
    const groups = /^(\d{1,3})-(\d{1,2})-([0-7])([+-]?)$/.exec(text);
    if (this.lengths.isMetric || !groups) return this.units !== "ft-in-8" || text.includes("/") || text === "0" ? text : null;
    const [feet, inches, eighths] = groups.slice(1, 4).map(Number), sixteenth = { "": 0, "+": 1, "-": -1 }[groups[4]];
    const count = (12 * feet + inches) * 16 + 2 * eighths + sixteenth;
    return inches < 12 && count >= 0 ? inchesOf(count, 16) : null;
  }

  // What is typed for a length that has no direction.
  size(value, where) {
    if (this.isNegative(value)) throw new Error(`${where} is ${value}. A length without a minus is expected. Correct it in the file.`);
    return this.typed(value, where);
  }

  // Whether a figure of a file has a minus.
  isNegative(value) {
    return typeof value === "string" ? value.startsWith("-") : value < 0;
  }

  // A figure of the record.
  cell(value, where, ways, sure = false) {
    const text = this.typed(value, where);
    return { text, way: text === "0" ? "" : ways[this.isNegative(value) ? 1 : 0], sure };
  }

  // The place of a name, or an error.
  placeOf(places, name) {
    if (name === "" || !places.includes(name))
      throw new Error(`This page has no field for a place called “${name}”. Correct the name, or go on in the file itself.`);
    return places.indexOf(name);
  }

  // Reads the strakes that hang.
  hung(tables) {
    const strakes = this.boat.thickness.map(() => this.record.strakeOf({})), moulds = this.boat.moulds.map(() => mouldOf({}));
    for (const [name, table] of tables) {
      if (name === "") continue;
      const [kind, one, ...rest] = table.path;
      if (kind === "strake" && one) this.strake(name, table, strakes[Number(one) - 1], rest);
      else if (["mould", "end"].includes(kind) && one) this.mould(name, table, moulds[this.mouldAt(table, rest)], rest);
      else throw this.unknown(name);
    }
    for (const mould of moulds) if (mould.isApart) this.share(mould);
    const { stock } = Object.fromEntries(tables.get(""));
    this.record.stock = stock === undefined ? "" : this.size(stock, "stock");
    Object.assign(this.record, { strakes, moulds });
    return ["hung", Math.max(this.record.hung - 1, 0)];
  }

  // The error of a table that the as-built file does not have.
  unknown(name) {
    if (["strake", "mould", "end"].includes(name)) return new Error(`This page reads tables such as [${name}.1], each under its own heading. Go on in the file itself.`);
    return new Error(`The as-built file has no table [${name}]. Correct its name.`);
  }

  // Reads a table of a strake: `rest` of its path is nothing, a side, "remade", or "remade" and a side.
  strake(name, table, strake, [first, ...rest]) {
    if (!strake) throw new Error(`This boat has no strake ${table.path[1]}.`);
    if (first === "remade") {
      strake.isRemade = true;
      return this.hanging(name, table, strake.remade, rest);
    }
    return this.hanging(name, table, strake, first === undefined ? [] : [first, ...rest]);
  }

  // Reads a strake as it hangs, or one side of it.
  hanging(name, table, strake, [side, ...rest]) {
    if (rest.length || ![undefined, ...SIDES].includes(side)) throw this.unknown(name);
    this.noneLost(table.keys(), KEYS.strake, ` of [${name}]`);
    for (const key of ["thickness", "lap"]) if (table.has(key)) strake[key] = this.size(table.get(key), `${key} of [${name}]`);
    this.edge(name, table, strake[side ?? "both"]);
    strake.isApart = side !== undefined || SIDES.some((one) => isBegun(strake[one])) || !isBegun(strake.both);
    if (strake.isApart && isBegun(strake.both)) throw new Error(`[${name}] has figures for both sides and for each. Give them once.`);
  }

  // Which of the moulds and ends a table is of. Throws where the boat does not have it, or it is a stem off the centreline.
  mouldAt(table, rest) {
    const [kind, one] = table.path, at = this.boat.moulds.findIndex(({ path }) => path[0] === kind && path[1] === one);
    if (at < 0) throw new Error(`This boat has no ${kind} called “${one}”. Correct the name.`);
    const isAcross = rest.length > 0 || [...table.keys()].some((key) => MOULD_KEYS.get(key)?.axis === 0);
    if (isAcross && this.boat.moulds[at].farthest[0] === null) throw new Error(`The ${this.boat.moulds[at].title} stands on the centreline. Remove its out, in, port and starboard from the file.`);
    return at;
  }

  // Reads a mould or an end, or one side of it.
  mould(name, table, mould, [side, ...rest]) {
    if (rest.length || ![undefined, ...SIDES].includes(side)) throw this.unknown(name);
    this.noneLost(table.keys(), KEYS.mould, ` of [${name}]`);
    if (side) mould.isApart = true;
    for (const [key, value] of table) {
      const { axis, way } = MOULD_KEYS.get(key), row = mould[side ?? "both"], text = this.size(value, `${key} of [${name}]`);
      if (row[axis].text) throw new Error(`[${name}] has two figures for ${AXES[axis].title}. Take one out of the file.`);
      row[axis] = { ...keptCell({}), text, way: text === "0" ? "" : way };
    }
  }

  // Gives to each side of a mould what is given for both.
  share(mould) {
    mould.both.forEach((cell, axis) => {
      if (!cell.text) return;
      for (const side of SIDES) {
        if (mould[side][axis].text) throw new Error(`A mould has ${AXES[axis].title} for both sides and for ${side}. Give it once.`);
        mould[side][axis] = { ...cell };
      }
    });
    mould.both = mouldOf({}).both;
  }

  // Puts what the page's own as-built file holds into the record.
  carry({ tables }) {
    this.units = this.lengths.isMetric ? "mm" : "in";
    const isTable = (value) => typeof value === "object" && !Array.isArray(value);
    const given = tables.map(([path, pairs]) => {
      const table = Object.entries(pairs).map(([key, value]) => [key, isTable(value) ? new Map(Object.entries(value)) : value]);
      return [path.map(keyOf).join("."), Object.assign(new Map(table), { path })];
    });
    this.hung(new Map(given));
  }

  // Reads the figures of one edge, of a table with this name.
  edge(title, table, row) {
    const sure = (table.get("sure") ?? []).map(String);
    const ways = { above_mark: ["sheer", "keel"], toward_sheer: ["sheer", "keel"], toward_keel: ["keel", "sheer"] };
    for (const [key, directions] of Object.entries(ways))
      for (const [name, value] of table.get(key) ?? [])
        row[this.placeOf(this.boat.places, name)] = this.cell(value, `${name} in ${key} of [${title}]`, directions, sure.includes(name));
  }

  // Reads a strake that was taken off.
  spiling(tables) {
    const head = tables.get(""), k = head.get("strake") - 1, known = this.boat.spiling[k];
    if (!known) throw new Error(`This boat has no strake ${k + 1}.`);
    this.noneLost([...tables.keys()].map((name) => name && `[${name}]`), ["", "[lower]", "[upper]"]);
    const spiling = this.record.spilingOf({}, known.places.length);
    spiling.side = head.get("side") ?? "";
    if (head.has("batten")) spiling.batten = this.size(head.get("batten"), "batten");
    for (const edge of ["lower", "upper"])
      for (const [name, point] of tables.get(edge) ?? []) {
        const i = this.placeOf(known.places, name);
        if (point.length !== 2 || point.some(Array.isArray)) throw new Error("This page takes offsets, not arcs. Give a file of arcs to the program.");
        const where = `${name} of [${edge}]`;
        spiling[edge].along[i] = { ...keptCell({}), text: this.size(point[0], where) };
        spiling[edge].off[i] = this.cell(point[1], where, ["up", "down"]);
      }
    this.record.spilings[k] = spiling;
    return ["spiling", k];
  }
}
