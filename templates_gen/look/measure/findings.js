// What does not fit, in words: figures that look like slips of measuring, and strakes measured the wrong way.
class Findings {
  // Takes the boat's data for this view, how lengths are typed, the files and the record.
  constructor(boat, lengths, files, record) {
    Object.assign(this, { boat, lengths, files, record });
    this.rule = new Weighing(boat.rules, boat.along, boat.halves);
    this.known = {};
  }

  // Everything that is found, the sides one after the other, and alike only once.
  all() {
    if (!this.record.hung) return [];
    const found = (this.boatIsApart() ? SIDES : ["both"]).flatMap((side) => this.onSide(side));
    const same = (one, other) => one.text === other.text && this.isOfBoth(one);
    return found.filter((one, i) => found.findIndex((other) => same(one, other)) === i || !this.isOfBoth(one));
  }

  // Whether a finding is about a strake that was measured once for both sides.
  isOfBoth(finding) {
    return finding.strake > 0 && !this.record.hanging(finding.strake - 1).isApart;
  }

  // How fine figures are read, by all that were written down.
  noise() {
    const { hung } = this.record;
    const lengths = [];
    for (let k = 0; k < hung; k++)
      for (const side of this.record.sidesOf(k))
        for (const cell of this.record.hanging(k)[side]) {
          const mark = this.files.markOf(cell);
          if (mark !== null) lengths.push(mark);
        }
    return this.rule.spreadOf(this.rule.stepOf(lengths, this.boat.units));
  }

  // What was measured on one side, as the rule has it.
  readings(side) {
    const { hung, moulds, strakes } = this.record, { marks } = this.boat;
    const every = strakes.map((_, k) => this.record.rowFor(k, side)), isGiven = (row, i) => this.files.markOf(row[i]) !== null;
    const between = listOf(marks - 1, (i) => i).filter((i) => every.slice(0, hung).some((row) => isGiven(row, marks + i)));
    const rows = every.map((row) => [...row.slice(0, marks), ...between.map((i) => row[marks + i])]);
    return {
      figures: rows.map((row) => row.map((cell) => this.files.markOf(cell) ?? 0)),
      isGiven: rows.map((row) => row.map((_, i) => isGiven(row, i))),
      isSure: rows.map((row) => row.map((cell) => cell.sure)),
      between,
      lands: drawnLands(this.boat, moulds.map((mould) => this.files.offOf(mould, side))),
      noise: this.noise(),
      hung,
      remade: strakes.flatMap((strake, k) => (strake.isRemade && k < hung ? [k + 1] : [])),
    };
  }

  // What is found on one side.
  onSide(side) {
    const readings = this.readings(side), { slips, mistakes } = this.judged(side, readings), { marks } = this.boat;
    const placeOf = (place) => (place < marks ? place : marks + readings.between[place - marks]);
    return [...mistakes.map((one) => this.mistake(side, one)), ...slips.map((one) => this.slip(side, { ...one, place: placeOf(one.place) }))];
  }

  // What the rule makes of figures; what it made of the same ones before is kept for each side.
  judged(side, readings) {
    const key = JSON.stringify(readings);
    if (this.known[side]?.key !== key) {
      const weighed = this.rule.weighed(readings);
      this.known[side] = { key, slips: weighed.slips, mistakes: this.rule.mistakes(readings, weighed) };
    }
    return this.known[side];
  }

  // A figure that looks like a slip, with what is made of it and what to do.
  slip(side, one) {
    const own = this.record.hanging(one.strake - 1).isApart ? side : "both";
    const of = own === "both" ? "" : `, ${own}`;
    const text = `Strake ${one.strake}${of}, ${this.boat.titles[one.place]}: ${this.lengths.spokenMark(one.value)} was measured; ` +
      `the rest of its edge leads to ${this.lengths.spokenMark(one.expected)}.`;
    const found = { strake: one.strake, side: own, place: one.place };
    if (one.isShared) return { ...found, text: `${text} The strake next to it is off in the same way, so it was built that way.` };
    if (one.isAlone) return { ...found, isOdd: true, text: `${text} Measure it again, and the place next to it too.` };
    if (one.isSure) return { ...found, canBeUnsure: true, text: `${text} You are sure of it, so it is used.` };
    return {
      ...found,
      isOdd: true,
      canBeSure: true,
      text: `${text} It looks like a slip of measuring and is left out. Measure it again; if it is right, say so.`,
    };
  }

  // A strake, or all of them, measured the wrong way up or from the other mark.
  mistake(side, one) {
    const on = this.boatIsApart() ? `, ${side}` : "";
    const rival = one.orStrake ? `, or as likely those of strake ${one.orStrake},` : "";
    const of = one.strake ? `strake ${one.strake}${on}${rival}` : `every strake${on}`;
    const found = { strake: one.strake, side, isMistake: true, isOdd: true };
    if (one.what === "signs")
      return { ...found, text: `The directions of ${of} seem to be exchanged: toward sheer for toward keel. On a boat built keel up, the sheer is below. Measure one place again.` };
    if (one.what === "shifted marks")
      return { ...found, text: `The figures of ${of} seem to be measured from the shifted marks. Measure from the marks that were drawn when the moulds were made.` };
    const off = this.lengths.spokenMark(one.off);
    return { ...found, text: `On average, ${of} is ${off} of where its pattern was to bring it. Check the marks, the direction, and that it was cut from the newest pattern.` };
  }

  // Whether any strake was measured on each side by itself, or the sides of a mould stand differently.
  boatIsApart() {
    const { hung, moulds } = this.record, off = (mould, side) => String(this.files.offOf(mould, side));
    const isMouldApart = moulds.some((mould) => off(mould, "port") !== off(mould, "starboard"));
    return isMouldApart || listOf(hung, (k) => this.record.hanging(k)).some((one) => one.isApart);
  }
}
