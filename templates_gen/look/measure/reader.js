// A saved file read again: the as-built file or a spiling file, as this page writes them or in the same simple form.

// Reads the values of a TOML file: texts, numbers, lists, and tables in braces. Throws where it meets anything else.
class Reader {
  // Takes the text of the file.
  constructor(text) {
    this.text = text;
    this.at = 0;
  }

  // What the file holds, by the names of its tables joined by dots; the first has none.
  tables() {
    const tables = new Map([["", new Map()]]);
    let table = tables.get("");
    for (this.blanks(); this.at < this.text.length; this.blanks()) {
      if (this.took("[")) {
        const names = [this.name()];
        while (this.took(".")) names.push(this.name());
        this.expect("]");
        table = new Map();
        tables.set(names.join("."), table);
      } else this.pair(table);
    }
    return tables;
  }

  // Passes over white and remarks.
  blanks() {
    this.at += /^(\s|#[^\n]*)*/.exec(this.text.slice(this.at))[0].length;
  }

  // Whether a sign comes next; it is passed.
  took(sign) {
    this.blanks();
    const is = this.text.startsWith(sign, this.at);
    if (is) this.at += sign.length;
    return is;
  }

  // Passes a sign that must come next.
  expect(sign) {
    if (!this.took(sign)) this.fail();
  }

  // Gives up at the line that was reached.
  fail() {
    throw new Error(`line ${this.text.slice(0, this.at).split("\n").length}`);
  }

  // The text that fits a pattern and comes next, or null.
  match(pattern) {
    this.blanks();
    const found = pattern.exec(this.text.slice(this.at));
    if (found) this.at += found[0].length;
    return found && found[0];
  }

  // A key, bare or in quotes.
  name() {
    return this.match(/^[A-Za-z0-9_-]+/) ?? this.quoted();
  }

  // A text in quotes.
  quoted() {
    const found = this.match(/^"(?:[^"\\\n]|\\["\\]|\\u[0-9A-Fa-f]{4})*"/);
    if (found === null) this.fail();
    return JSON.parse(found);
  }

  // A key with its value, into a table.
  pair(table) {
    const name = this.name();
    this.expect("=");
    table.set(name, this.value());
  }

  // A value: a table in braces, a list, a number or a text.
  value() {
    if (this.took("{")) return this.several("}", new Map(), (table) => this.pair(table));
    if (this.took("[")) return this.several("]", [], (list) => list.push(this.value()));
    const number = this.match(/^[-+]?[0-9]+(\.[0-9]+)?/);
    return number === null ? this.quoted() : Number(number);
  }

  // What stands between commas up to a sign.
  several(end, all, one) {
    while (!this.took(end)) {
      one(all);
      if (!this.took(",")) {
        this.expect(end);
        break;
      }
    }
    return all;
  }
}

// The figures that a field can hold as they are, by the units of a file.
const TAKEN = {
  mm: "mm with at most three decimals",
  in: "inches with fractions to 1/64",
  "ft-in-8": "feet-inches-eighths such as “0-1-4”, or a fraction of an inch, in quotes",
};

// The keys that the page reads, by the kind of table.
const KEYS = {
  hung: ["format", "hull", "units", "stock"],
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
    const taken = this.lengths.isMetric ? ["mm"] : ["in", "ft-in-8"];
    if (!taken.includes(this.units))
      throw new Error(`The units of this file are “${this.units}”. This page reads files in ${taken.map((one) => `“${one}”`).join(" or ")}. Give the file to the program.`);
    const kind = head.has("strake") ? "spiling" : "hung";
    this.noneLost(head.keys(), KEYS[kind]);
    return this[kind](tables);
  }

  // Throws where there is a key or a table that the page would lose.
  noneLost(names, known, where = "") {
    const lost = [...names].find((name) => !known.includes(name));
    if (lost !== undefined) throw new Error(`This page has no field for ${lost}${where}, and would lose it. Go on in the file itself.`);
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
    const size = Math.abs(value), parts = size * 64;
    if (this.lengths.isMetric || size === 0) return String(size);
    return this.units === "in" && Number.isInteger(parts) ? inchesOf(parts, 64) : null;
  }

  // The same for a text: "3/8", "16 1/2", or feet, inches and eighths as in "2-3-4+". In "ft-in-8" no text but these.
  ofText(text) {
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
    if (!places.includes(name))
      throw new Error(`This page has no field for a place called “${name}”. Correct the name, or go on in the file itself.`);
    return places.indexOf(name);
  }

  // Reads the strakes that hang.
  hung(tables) {
    const strakes = this.boat.thickness.map(() => this.record.strakeOf({}));
    for (const [name, table] of tables) {
      if (name === "") continue;
      const [kind, number, side] = name.split(".");
      if (kind !== "strake" || ![undefined, ...SIDES].includes(side))
        throw new Error(`This page has no field for [${name}], and would lose it. Go on in the file itself.`);
      const strake = strakes[Number(number) - 1];
      if (!strake) throw new Error(`This boat has no strake ${number}.`);
      this.noneLost(table.keys(), KEYS.strake, ` of [${name}]`);
      for (const key of ["thickness", "lap"]) if (table.has(key)) strake[key] = this.size(table.get(key), `${key} of [${name}]`);
      if (side === undefined) strake.isApart = tables.has(`${name}.port`);
      this.edge(name, table, strake[side ?? "both"]);
    }
    const { stock } = Object.fromEntries(tables.get(""));
    this.record.stock = stock === undefined ? "" : this.size(stock, "stock");
    this.record.strakes = strakes;
    return ["hung", Math.max(this.record.hung - 1, 0)];
  }

  // Puts what the page's own as-built file holds into the record.
  carry({ stock, strakes }) {
    this.units = this.lengths.isMetric ? "mm" : "in";
    const typed = (value) => (value === null ? "" : this.size(value, "a figure of the as-built file"));
    this.record.stock = typed(stock);
    this.record.strakes = this.boat.thickness.map((_, k) => {
      const strake = this.record.strakeOf({}), given = strakes[k];
      if (!given) return strake;
      Object.assign(strake, { thickness: typed(given.thickness), lap: typed(given.lap), isApart: !given.edges.both });
      for (const [side, { above_mark: marks, sure }] of Object.entries(given.edges))
        this.edge(`strake.${k + 1}`, new Map([["above_mark", Object.entries(marks)], ["sure", sure]]), strake[side]);
      return strake;
    });
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
