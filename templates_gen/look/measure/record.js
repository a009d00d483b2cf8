// What a builder typed: kept in the browser under the fingerprint of the hull file, and read back from there.

// Lengths as they are typed, in mm or in feet, inches and fractions of an inch.
class Lengths {
  // Takes the units of the hull file.
  constructor(units) {
    this.isMetric = units === "mm";
    this.hasFeet = units === "ft-in-8";
    this.unit = this.isMetric ? "mm" : "in";
  }

  // The feet, inches and fraction of a typed length, or null where it is none.
  parts(text) {
    const found = /^(?:(\d{1,3}) ft ?)?(?:(\d{1,4})(?:$|[ -]))?(?:(\d{1,2})\/(2|4|8|16|32|64))?$/.exec(text.trim());
    if (!found || !text.trim() || Number(found[3] || 0) >= Number(found[4] || 1)) return null;
    return { whole: 12 * Number(found[1] || 0) + Number(found[2] || 0), top: Number(found[3] || 0), bottom: Number(found[4] || 1) };
  }

  // A typed length in mm, or null where it is none.
  read(text) {
    if (this.isMetric) return /^(\d{1,5}\.?\d{0,3}|\.\d{1,3})$/.test(text) ? Number(text) : null;
    const parts = this.parts(text);
    return parts && (parts.whole + parts.top / parts.bottom) * INCH;
  }

  // A typed length as the program's files have it.
  written(text) {
    if (this.isMetric) return String(Number(text));
    const { whole, top, bottom } = this.parts(text);
    return top ? `"${whole ? `${whole} ` : ""}${top}/${bottom}"` : String(whole);
  }

  // The same below a line, with a minus.
  writtenBelow(text) {
    const plain = this.written(text);
    return plain.startsWith('"') ? `"-${plain.slice(1)}` : `-${plain}`;
  }

  // A length in mm for a sentence: to half a millimetre, or to 1/32 in.
  spoken(length) {
    if (this.isMetric) return `${Math.round(length * 2) / 2} mm`;
    return `${inchesOf(Math.round((length * 32) / INCH), 32)} in`;
  }

  // How far an edge is from its mark, mm + toward the sheer, for a sentence.
  spokenMark(length) {
    const size = this.spoken(Math.abs(length));
    if (size === this.spoken(0)) return size;
    return `${size} toward ${length > 0 ? "sheer" : "keel"}`;
  }
}

const SIDES = ["port", "starboard"];

// A text of what was kept, or "" where it is no short text.
const keptText = (value) => (typeof value === "string" && value.length <= 20 ? value : "");

// A figure that was kept: what was typed, in which direction, and whether the builder is sure of it.
const keptCell = (value) => ({ text: keptText(value?.text), way: keptText(value?.way), sure: value?.sure === true });

// A row of as many figures as there are places.
const keptRow = (value, count) => Array.from({ length: count }, (_, i) => keptCell(value?.[i]));

// Whether anything was typed in a row of figures.
const isBegun = (row) => row.some((cell) => cell.text !== "");

// The sides of a strake or a mould that are measured: each, or one row for both.
const sidesOf = (measured) => (measured.isApart ? SIDES : ["both"]);

// Whether anything was measured along the edge of a strake.
const isHangingBegun = (hanging) => sidesOf(hanging).some((side) => isBegun(hanging[side]));

class BoatRecord {
  // Takes the boat's data for this view and the store that it is kept in.
  constructor(boat, store) {
    this.boat = boat;
    this.store = store;
    this.isUnreadable = false;
    this.load();
  }

  // Reads what is kept, and nothing else of it than what the boat has.
  load() {
    const text = this.store.read();
    let kept = {};
    try {
      kept = JSON.parse(text ?? "{}") ?? {};
    } catch {
      this.isUnreadable = true;
      this.store.putAside(text);
    }
    this.file = keptText(kept.file);
    this.stock = keptText(kept.stock);
    this.strakes = this.boat.thickness.map((_, k) => this.strakeOf(kept.strakes?.[k]));
    this.moulds = this.boat.moulds.map((_, i) => mouldOf(kept.moulds?.[i]));
    this.spilings = this.boat.spiling.map((one, k) => this.spilingOf(kept.spilings?.[k], one.places.length));
  }

  // One strake of what was kept: as it was hung first, and as it was hung again where it was taken off.
  strakeOf(kept) {
    return { ...this.hangingOf(kept), isRemade: kept?.isRemade === true, remade: this.hangingOf(kept?.remade) };
  }

  // What is measured of a strake that hangs, of what was kept; a row has the marks, then the half-ways.
  hangingOf(kept) {
    const count = this.boat.places.length, row = (name) => keptRow(kept?.[name], count);
    return {
      isApart: kept?.isApart !== false,
      port: row("port"),
      starboard: row("starboard"),
      both: row("both"),
      thickness: keptText(kept?.thickness),
      lap: keptText(kept?.lap),
    };
  }

  // One strake as taken off, of what was kept: two figures for each place of each edge.
  spilingOf(kept, count) {
    const rows = (edge) => ({ along: keptRow(kept?.[edge]?.along, count), off: keptRow(kept?.[edge]?.off, count) });
    return { side: keptText(kept?.side), batten: keptText(kept?.batten), lower: rows("lower"), upper: rows("upper") };
  }

  // Keeps all of it.
  save() {
    const { stock, strakes, moulds, spilings } = this, file = this.boat.as_built?.fingerprint ?? this.file;
    this.store.write(JSON.stringify({ format: 1, file, stock, strakes, moulds, spilings }));
  }

  // A strake as it hangs now.
  hanging(k) {
    const strake = this.strakes[k];
    return strake.isRemade ? strake.remade : strake;
  }

  // The sides of a strake that are measured: each, or one row for both.
  sidesOf(k) {
    return sidesOf(this.hanging(k));
  }

  // The row of figures that holds for a side of a strake.
  rowFor(k, side) {
    const hanging = this.hanging(k);
    return hanging.isApart ? hanging[side === "both" ? "port" : side] : hanging.both;
  }

  // Whether anything was measured on a strake, now or as it was hung first.
  isStrakeBegun(k) {
    return isHangingBegun(this.hanging(k)) || isHangingBegun(this.strakes[k]);
  }

  // Whether anything was measured on a mould.
  isMouldBegun(i) {
    return sidesOf(this.moulds[i]).some((side) => isBegun(this.moulds[i][side]));
  }

  // How many strakes hang, by what was measured.
  get hung() {
    return this.strakes.reduce((count, _, k) => (this.isStrakeBegun(k) ? k + 1 : count), 0);
  }

  // Whether the as-built file that the page was made with has more strakes than were typed here, and was not begun from before.
  get isBehindFile() {
    const file = this.boat.as_built;
    return Boolean(file) && this.file !== file.fingerprint && this.hung < file.hung;
  }

  // Whether nothing was typed that a file would take the place of: all strakes that hang, or one that was taken off.
  isEmpty(mode, k) {
    if (mode === "hung") return this.hung === 0 && this.stock === "" && !this.moulds.some((_, i) => this.isMouldBegun(i));
    const { lower, upper } = this.spilings[k];
    return ![lower, upper].some(({ along, off }) => isBegun(along) || isBegun(off));
  }

  // Forgets what was measured on a strake as it hangs now.
  clearStrake(k) {
    const cleared = this.hangingOf({ isApart: this.hanging(k).isApart });
    Object.assign(this.hanging(k), cleared);
  }

  // Forgets what was taken off for a strake.
  clearSpiling(k) {
    this.spilings[k] = this.spilingOf({}, this.boat.spiling[k].places.length);
  }
}
