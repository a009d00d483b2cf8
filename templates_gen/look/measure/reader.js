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
    const head = tables.get(""), hull = head.get("hull"), units = head.get("units");
    if (hull !== undefined && hull !== this.fingerprint)
      throw new Error(`This file is of another drawing, ${hull}. Open it on the page of that drawing.`);
    if (units !== undefined && units !== this.lengths.unit)
      throw new Error(`This file is in ${units}, and this page in ${this.lengths.unit}. Files that the page saved can be opened here.`);
    return head.has("strake") ? this.spiling(tables) : this.hung(tables);
  }

  // What is typed for a figure of a file, without its sign.
  typed(value) {
    if (typeof value === "string") return value.replace(/^-/, "");
    const size = Math.abs(value), count = Math.round(size * 64), whole = Math.floor(count / 64);
    if (this.lengths.isMetric) return String(size);
    let top = count % 64, bottom = 64;
    if (!top) return String(whole);
    for (; top % 2 === 0; bottom /= 2) top /= 2;
    return `${whole || ""} ${top}/${bottom}`.trim();
  }

  // Whether a figure of a file has a minus.
  isNegative(value) {
    return typeof value === "string" ? value.startsWith("-") : value < 0;
  }

  // A figure of the record.
  cell(value, ways, sure = false) {
    const text = this.typed(value);
    return { text, way: text === "0" ? "" : ways[this.isNegative(value) ? 1 : 0], sure };
  }

  // The place of a name, or an error.
  placeOf(places, name) {
    if (!places.includes(name)) throw new Error(`This boat has no place called “${name}”.`);
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
      for (const key of ["thickness", "lap"]) if (table.has(key)) strake[key] = this.typed(table.get(key));
      if (side === undefined) strake.isApart = tables.has(`${name}.port`);
      this.edge(table, strake[side ?? "both"]);
    }
    const { stock } = Object.fromEntries(tables.get(""));
    this.record.stock = stock === undefined ? "" : this.typed(stock);
    this.record.strakes = strakes;
    return ["hung", Math.max(this.record.hung - 1, 0)];
  }

  // Puts what the page's own as-built file holds into the record.
  carry({ stock, strakes }) {
    const typed = (value) => (value === null ? "" : this.typed(value));
    this.record.stock = typed(stock);
    this.record.strakes = this.boat.thickness.map((_, k) => {
      const strake = this.record.strakeOf({}), given = strakes[k];
      if (!given) return strake;
      Object.assign(strake, { thickness: typed(given.thickness), lap: typed(given.lap), isApart: !given.edges.both });
      for (const [side, { above_mark: marks, sure }] of Object.entries(given.edges))
        this.edge(new Map([["above_mark", Object.entries(marks)], ["sure", sure]]), strake[side]);
      return strake;
    });
  }

  // Reads the figures of one edge.
  edge(table, row) {
    const sure = (table.get("sure") ?? []).map(String);
    const ways = { above_mark: ["sheer", "keel"], toward_sheer: ["sheer", "keel"], toward_keel: ["keel", "sheer"] };
    for (const [key, directions] of Object.entries(ways))
      for (const [name, value] of table.get(key) ?? [])
        row[this.placeOf(this.boat.places, name)] = this.cell(value, directions, sure.includes(name));
  }

  // Reads a strake that was taken off.
  spiling(tables) {
    const head = tables.get(""), k = head.get("strake") - 1, known = this.boat.spiling[k];
    if (!known) throw new Error(`This boat has no strake ${k + 1}.`);
    const spiling = this.record.spilingOf({}, known.places.length);
    spiling.side = head.get("side") ?? "";
    if (head.has("batten")) spiling.batten = this.typed(head.get("batten"));
    for (const edge of ["lower", "upper"])
      for (const [name, point] of tables.get(edge) ?? []) {
        const i = this.placeOf(known.places, name);
        if (point.length !== 2 || point.some(Array.isArray)) throw new Error("This page takes offsets, not arcs. Give a file of arcs to the program.");
        spiling[edge].along[i] = this.cell(point[0], ["", ""]);
        spiling[edge].off[i] = this.cell(point[1], ["up", "down"]);
      }
    this.record.spilings[k] = spiling;
    return ["spiling", k];
  }
}
