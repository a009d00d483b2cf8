// The Measure view: a strake as it hangs or as it was taken off, what does not fit, and its file.

class MeasureView {
  // Takes the panel that it is drawn in and the page's data.
  constructor(panel, data) {
    const boat = data.measuring;
    this.panel = panel;
    this.boat = boat;
    this.hull = boat.hull;
    this.lengths = new Lengths(boat.units);
    this.store = new Store(`templates-gen measured ${this.hull.fingerprint}`);
    this.record = new BoatRecord(boat, this.store);
    if (this.record.isBehindFile) new Opening(boat, this.lengths, this.hull.fingerprint, this.record).carry(boat.as_built);
    this.files = new Files(boat, this.lengths, this.hull, this.record);
    this.findings = new Findings(boat, this.lengths, this.files, this.record);
    this.mode = "hung";
    this.shown = Math.max(this.record.hung - 1, 0);
    this.moulds = new MouldList(this);
    this.file = new FileBox(this);
    Object.assign(this, { isUnsaved: false, hasHalfWays: false });
    this.listen();
    this.draw();
  }

  // Hears the keyboard, another window of this page, and that the page is about to be closed.
  listen() {
    this.panel.addEventListener("keydown", (event) => this.key(event));
    window.addEventListener("storage", (event) => {
      if (event.key !== this.store.key || event.newValue === null) return;
      this.record.load();
      this.draw();
    });
    window.addEventListener("beforeunload", (event) => {
      if (this.store.isRefused && this.isUnsaved) event.preventDefault();
    });
  }

  // A key of the keyboard: it types into the field that is chosen, or moves to another one.
  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.tagName === "TEXTAREA" || !this.keypad.field) return;
    const at = this.walk.indexOf(this.keypad.field), step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const isField = event.target.classList.contains("field");
    if (step && isField) this.select(this.walk[at + step] ?? this.walk[at], true);
    else if (event.key === "Enter" && isField && !this.keypad.isFresh) this.keypad.enter();
    else if (event.key === " " && !isField) return;
    else if (!this.keypad.type(event.key)) return;
    event.preventDefault();
  }

  // Draws everything anew.
  draw() {
    this.panel.replaceChildren();
    const work = element("div", this.panel, undefined, "work"), box = element("div", this.panel, undefined, "keypad");
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", "Keys for figures");
    this.keypad = new Keypad(box, this.lengths, () => this.changed(), (field) => this.next(field));
    this.drawHead(work);
    if (this.mode === "hung") this.drawHung(work);
    else this.drawSpiling(work);
    this.file.draw(work);
    this.refresh();
    this.select(this.walk.find((field) => field.get().text === "") ?? this.walk[0], false);
    this.uncover();
  }

  // Scrolls down as far as the field that is chosen needs, where the keys cover it or it lies below the window.
  uncover() {
    const box = this.keypad.field.node.getBoundingClientRect(), pad = this.keypad.box.getBoundingClientRect();
    const isLeftOfKeys = pad.left >= box.right, free = isLeftOfKeys ? window.innerHeight : pad.top;
    const hidden = box.bottom + 8 - free;
    if (hidden > 0) window.scrollBy(0, Math.min(hidden, box.top));
  }

  // Draws what is shown: a strake that hangs or one that is taken off, which one, and whether it is kept.
  drawHead(parent) {
    const modes = element("div", parent, undefined, "choice"), { strakes } = this.record;
    const choose = (mode, text, shown) => {
      const one = button(modes, text, "", () => this.go(mode, shown()));
      one.dataset.mode = mode;
      one.setAttribute("aria-pressed", String(mode === this.mode));
    };
    choose("hung", "Strake hung", () => Math.max(this.record.hung - 1, 0));
    choose("spiling", "Next strake: spiling", () => Math.min(this.record.hung, strakes.length - 1));
    const row = element("div", parent, undefined, "strakes");
    const before = button(row, "‹", "turn", () => this.go(this.mode, this.shown - 1));
    const again = this.mode === "hung" && strakes[this.shown].isRemade ? ", hung again" : "";
    element("h2", row, `Strake ${this.shown + 1} of ${strakes.length}${again}`);
    const after = button(row, "›", "turn", () => this.go(this.mode, this.shown + 1));
    before.setAttribute("aria-label", "the strake below");
    after.setAttribute("aria-label", "the strake above");
    before.disabled = this.shown === 0;
    after.disabled = this.shown === strakes.length - 1;
    this.kept = element("p", parent, undefined, "kept");
    this.kept.setAttribute("role", "status");
  }

  // Goes to another strake or mode.
  go(mode, shown) {
    this.mode = mode;
    this.shown = shown;
    this.draw();
  }

  // Draws the fields of a strake that hangs.
  drawHung(parent) {
    const k = this.shown, strake = this.record.hanging(k);
    const [marks, section] = this.boat.moulds.some(isMould) ? ["drawn when the moulds were made", "mould"] : ["set out from the drawing", "section"];
    const half = this.hasHalfWays ? " Half-way between two marks bend a batten along the drawn marks, and measure from that." : "";
    this.drawHow(parent, `Measure from the marks ${marks}, not from shifted ones.`, `How far is the upper inside corner of strake ${k + 1} ` +
      `from its mark, along the ${section}, the stem or the transom? Tap the figure, then the direction. On a boat built keel up, the sheer is below. Leave out what you cannot reach, but measure at three places or more.${half}`);
    const choice = element("div", parent, undefined, "choice");
    for (const [isApart, text] of [[true, "Each side"], [false, "One for both sides"]]) {
      const one = button(choice, text, "", () => this.setApart(k, isApart));
      one.setAttribute("aria-pressed", String(strake.isApart === isApart));
      one.dataset.apart = String(isApart);
    }
    this.drawHalfWays(choice);
    const { heads, rows, walk } = hungFields(this.boat, this.record, k, this.hasHalfWays, this.lengths.unit);
    fieldTable(parent, heads, rows, (field) => this.select(field, false));
    this.drawDoubts(parent);
    const sizes = this.drawSizes(parent, "If they are not as drawn", stockFields(this.boat, this.record, k));
    this.drawRemade(parent, k);
    this.moulds.draw(parent, (ofMould) => (this.fields = [...walk, ...sizes, ...ofMould]));
  }

  // Draws the button that shows the places half-way between the marks; those with a figure are shown in any case.
  drawHalfWays(parent) {
    const one = button(parent, "Half-ways too", "", () => {
      this.hasHalfWays = !this.hasHalfWays;
      this.draw();
    });
    one.setAttribute("aria-pressed", String(this.hasHalfWays));
    one.dataset.between = "";
  }

  // Draws the box that is ticked when a strake was taken off and hung again: it then has figures of its own.
  drawRemade(parent, k) {
    const line = element("label", parent, undefined, "tick"), box = element("input", line);
    box.type = "checkbox";
    box.checked = this.record.strakes[k].isRemade;
    element("span", line, `Strake ${k + 1} was taken off and hung again`);
    box.addEventListener("change", () => {
      this.record.strakes[k].isRemade = box.checked;
      this.changed();
      this.draw();
    });
  }

  // Draws what to measure: the one thing never to forget, and the rest, open as long as nothing is measured and there is room.
  drawHow(parent, first, rest) {
    element("p", parent, first, "how");
    const more = element("details", parent, undefined, "how");
    element("summary", more, "How to measure");
    element("p", more, rest);
    more.open = this.record.hung === 0 && !window.matchMedia("(max-width: 500px), (max-height: 500px)").matches;
  }

  // Draws fields of their own under a heading, and returns them.
  drawSizes(parent, title, fields) {
    element("h3", parent, title);
    const list = element("div", parent, undefined, "sizes");
    for (const field of fields) {
      const line = element("div", list);
      element("span", line, `${field.name[0].toUpperCase()}${field.name.slice(1)}`);
      field.drawn(line, () => this.select(field, false));
    }
    return fields;
  }

  // Has a strake measured on each side by itself or once for both.
  setApart(k, isApart) {
    this.record.hanging(k).isApart = isApart;
    this.changed();
    this.draw();
  }

  // Draws the fields of a spiling.
  drawSpiling(parent) {
    const k = this.shown, spiling = this.record.spilings[k], below = k ? `lap line on strake ${k}` : "rabbet line";
    this.drawHow(parent, `Lower edge: the ${below}. Upper edge: the marks of strake ${k + 1}.`, "Fasten the batten as it lies naturally, never forced sideways, and strike a straight line " +
      "on it. Along: from the fore end of the line. Offset: square to the line. You may leave half-ways out.");
    const choice = element("div", parent, undefined, "choice");
    for (const [side, text] of [["", "For both sides"], ["port", "Port"], ["starboard", "Starboard"]]) {
      const one = button(choice, text, "", () => {
        spiling.side = side;
        this.changed();
        this.draw();
      });
      one.setAttribute("aria-pressed", String(spiling.side === side));
      one.dataset.side = side;
    }
    const { heads, rows, walk } = spilingFields(this.boat, this.record, k, this.lengths.unit);
    const wide = element("div", parent, undefined, "points");
    fieldTable(wide, heads, rows, (field) => this.select(field, false));
    this.drawDoubts(parent);
    const batten = new Field({ name: "thickness of the batten", isFine: true }, spiling, "batten");
    this.fields = [...walk, ...this.drawSizes(parent, "Batten", [batten])];
  }

  // Draws the list of what does not fit.
  drawDoubts(parent) {
    this.list = element("ul", parent, undefined, "doubts");
    this.list.setAttribute("aria-live", "polite");
  }

  // Chooses a field; the keys are for it. It gets the focus where the builder is led to it.
  select(field, isLed) {
    this.keypad.field?.node.removeAttribute("aria-current");
    field.node.setAttribute("aria-current", "true");
    this.keypad.open(field);
    if (!isLed) return;
    field.node.focus({ preventScroll: true });
    const box = field.node.getBoundingClientRect(), pad = this.keypad.box.getBoundingClientRect();
    const isCovered = pad.left < box.right && box.bottom > pad.top;
    if (box.top < 0 || isCovered) field.node.scrollIntoView({ block: "start" });
  }

  // The fields in the order in which one goes through them; those of moulds while their list is open.
  get walk() {
    return this.fields.filter((field) => field.farthest === null || this.moulds.isOpen);
  }

  // Goes on to the next field, round the boat.
  next(field) {
    this.select(this.walk[this.walk.indexOf(field) + 1] ?? field, true);
  }

  // Keeps what was typed and shows what it leads to.
  changed() {
    this.isUnsaved = true;
    this.record.save();
    this.refresh();
  }

  // Shows whether all is kept, every field and what does not fit.
  refresh() {
    const isHung = this.mode === "hung";
    this.kept.textContent = this.keptWords();
    this.kept.classList.toggle("odd", this.store.isRefused || this.record.isUnreadable);
    const found = isHung ? this.findings.all() : this.files.spilingProblems(this.shown).filter((one) => !one.isOpen);
    for (const field of this.fields) field.refresh(isHung ? this.hungDoubt(field, found) : this.spilingDoubt(field, found));
    this.list.replaceChildren();
    for (const one of found) this.drawFinding(one);
    if (isHung) this.moulds.refresh();
    this.file.refresh();
  }

  // What the page tells about where the figures are kept.
  keptWords() {
    if (this.store.isRefused) return "This browser keeps nothing. Save the file before you close the page.";
    if (this.record.isUnreadable) return "What this browser kept could not be read, and was put aside. Type the figures again, or go on with your saved file.";
    return "Kept in this browser as you type.";
  }

  // Why a field of a strake that hangs is marked; "" if it is not.
  hungDoubt(field, found) {
    const { text } = field.get();
    if (text && this.lengths.read(text) === null) return "not a length";
    if (!text || !(field.side || field.farthest !== null)) return "";
    if (field.farthest !== null) return Math.abs(this.files.signed(field.cell, field.ways)) > field.farthest ? "too far" : "";
    const mark = this.files.markOf(field.cell);
    if (mark !== null && Math.abs(mark) >= this.boat.least[this.shown][field.place]) return "too far";
    const isHere = (one) => one.isOdd && one.strake === this.shown + 1 && one.side === field.side && one.place === field.place;
    return found.some(isHere) ? "measure again" : "";
  }

  // Why a field of a spiling is marked; "" if it is not.
  spilingDoubt(field, found) {
    const { text } = field.get();
    if (text && this.lengths.read(text) === null) return "not a length";
    return field.edge && found.some((one) => one.edge === field.edge && one.place === field.place) && text ? "read again" : "";
  }

  // Lists one thing that does not fit, with what can be done about it.
  drawFinding(one) {
    const line = element("li", this.list, one.text, one.isOdd || one.edge ? "odd" : "");
    const cell = one.canBeSure || one.canBeUnsure ? this.record.hanging(one.strake - 1)[one.side][one.place] : null;
    if (!cell) return;
    button(line, one.canBeSure ? "Measured again: it is right" : "I am not sure of it", "", () => {
      cell.sure = one.canBeSure === true;
      this.changed();
    }).dataset.sure = "";
  }
}

// Makes the view when it is shown first, which is at once where the address asks for it.
function startMeasuring() {
  let view = null;
  tabs.onShow("measure", () => {
    view ??= new MeasureView(byId("panel-measure"), data);
  });
  if (window.location.hash === "#measure") tabs.show("measure");
}

startMeasuring();
