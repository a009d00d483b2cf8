// The keys that figures are tapped with. A figure of a direction is entered by tapping the direction, in words.

// A new button that calls a function.
function button(parent, text, className, press) {
  const node = element("button", parent, text, className);
  node.type = "button";
  node.addEventListener("click", press);
  return node;
}

// Sixteenths of an inch in lowest terms: "1/16", "1/8" … "15/16".
const SIXTEENTHS = Array.from({ length: 15 }, (_, i) => inchesOf(i + 1, 16));

const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"];

class Keypad {
  // Takes the box that it is drawn in, how lengths are typed, and what to call when a field changed or is done.
  constructor(box, lengths, changed, done) {
    Object.assign(this, { box, lengths, changed, done, field: null, isFresh: true });
  }

  // Shows the keys for a field; typing begins anew.
  open(field) {
    if (this.field === field) return;
    this.field = field;
    this.isFresh = true;
    this.draw();
  }

  // Closes it.
  close() {
    this.field = null;
    this.box.replaceChildren();
  }

  // Draws the keys that the field needs.
  draw() {
    this.box.replaceChildren();
    const head = element("p", this.box, undefined, "shown");
    element("span", head, this.field.name);
    this.shown = element("strong", head);
    const keys = element("div", this.box, undefined, "keys");
    for (const key of this.keys()) button(keys, key, this.classOf(key), () => this.press(key)).dataset.key = key;
    const ways = element("div", this.box, undefined, "ways");
    for (const [way, words] of this.field.ways) button(ways, words, way, () => this.direct(way)).dataset.way = way;
    if (!this.field.ways.length) button(ways, "Next", "next", () => this.enter()).dataset.way = "next";
    this.show();
  }

  // The keys of a field: a rule in mm is read to halves, one in inches to sixteenths; a thickness is finer.
  keys() {
    const { field, lengths } = this, end = ["⌫", "Clear", ...(field.zero ? [field.zero] : [])];
    if (lengths.isMetric) return [...DIGITS, field.isFine ? "." : "½", ...end];
    if (field.zero && !field.isLong) return [...SIXTEENTHS, "1", "2", ...end];
    return [...DIGITS, ...SIXTEENTHS, ...(lengths.hasFeet ? ["ft"] : []), ...end];
  }

  // How a key looks.
  classOf(key) {
    if (key === this.field.zero) return this.lengths.isMetric || this.field.isLong ? "zero wide" : "zero";
    return key.includes("/") ? "fraction" : "";
  }

  // Shows what is typed.
  show() {
    const { text, way } = this.field.get(), words = this.field.ways.find((one) => one[0] === way)?.[1] ?? "";
    this.shown.textContent = text ? `${text} ${this.lengths.unit} ${text === "0" ? "" : words}` : "–";
  }

  // A key was pressed.
  press(key) {
    if (key === "Clear") return this.put("", "");
    if (key === this.field.zero) return this.zero();
    const old = this.isFresh && key !== "⌫" ? "" : this.field.get().text;
    this.put(this.typed(old, key), "");
    return undefined;
  }

  // The text once a key was pressed.
  typed(old, key) {
    if (key === "⌫") return old.replace(/( ft |\d+\/\d*|[^ ]) ?$/, "").trimEnd();
    if (key === "½") return old.includes(".") ? old : `${old || "0"}.5`;
    if (key === "ft") return /^\d{1,3}$/.test(old) ? `${old} ft ` : old;
    if (key.length > 1 && key.includes("/")) return `${old.replace(/ ?\d+\/\d+$/, "").trimEnd()} ${key}`.trim();
    return old.length < 14 ? old + key : old;
  }

  // Changes the field.
  put(text, way) {
    this.isFresh = false;
    this.field.put(text, way);
    this.show();
    this.changed();
  }

  // Enters the figure in a direction, and goes on to the next field.
  direct(way) {
    const { text } = this.field.get();
    if (this.lengths.read(text) === null) {
      this.shown.textContent = "How far? Tap the figure first.";
      return;
    }
    this.put(text, way);
    this.enter();
  }

  // Enters what is typed; what is typed next begins anew, in the same field too where there is none after it.
  enter() {
    this.isFresh = true;
    this.done(this.field);
  }

  // Enters that there is no distance.
  zero() {
    this.put("0", "");
    this.enter();
  }

  // A key of a keyboard; returns whether it is one that types.
  type(key) {
    const ways = this.field.ways.map(([way]) => way), way = ways.find((one) => one[0] === key.toLowerCase());
    if (way) this.direct(way);
    else if (key === "Backspace") this.press("⌫");
    else if (key === "Delete") this.press("Clear");
    else if (/^[0-9.,/ -]$/.test(key)) this.character(key === "," ? "." : key);
    else return false;
    return true;
  }

  // A digit or a sign from a keyboard, where it can stand.
  character(key) {
    const { text } = this.field.get(), isSpace = key === " " || key === "-";
    if (this.lengths.isMetric ? key === "/" || isSpace : key === ".") return;
    if (isSpace && (this.isFresh || !text)) return;
    const old = this.isFresh ? "" : text;
    this.put(old.length < 14 ? old + (key === "-" ? " " : key) : old, "");
  }
}
