// The tables of a saved file: TOML as this page writes it, or in the same simple form.

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
        table = this.added(tables, names);
      } else this.pair(table);
    }
    return tables;
  }

  // A new table at the path of its names; none may be there twice.
  added(tables, path) {
    const name = path.map(keyOf).join(".");
    if (tables.has(name)) this.fail();
    tables.set(name, Object.assign(new Map(), { path }));
    return tables.get(name);
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
    if (table.has(name)) this.fail();
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
