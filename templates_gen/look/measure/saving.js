// The end of the Measure view: its file saved, opened and shown as text, and what was typed forgotten.

class FileBox {
  // Takes the Measure view.
  constructor(view) {
    this.view = view;
  }

  // Draws the buttons for the file.
  draw(parent) {
    const { mode, shown } = this.view, row = element("div", parent, undefined, "choice");
    button(row, mode === "hung" ? "Save the as-built file" : "Save the spiling file", "save", () => this.save()).dataset.save = mode;
    const clear = button(row, `Clear strake ${shown + 1}`, "", () => this.clear(clear));
    clear.dataset.clear = "";
    this.drawOpening(row);
    this.saved = element("p", parent, undefined, "saved");
    this.saved.setAttribute("role", "status");
    const box = element("details", parent);
    element("summary", box, "The file as text, to copy");
    this.text = element("textarea", box);
    this.text.readOnly = true;
    this.text.rows = 8;
    this.text.setAttribute("aria-label", "The file as text");
  }

  // Draws the button that opens a saved file.
  drawOpening(parent) {
    const file = element("input", parent);
    file.type = "file";
    file.accept = ".toml,text/plain,application/toml";
    file.hidden = true;
    file.addEventListener("change", async () => {
      if (file.files.length) this.open(await file.files[0].text());
      file.value = "";
    });
    const open = button(parent, "Open a saved file", "", () => {
      if (this.view.record.isEmpty(this.view.mode, this.view.shown) || open.dataset.open === "sure") return file.click();
      open.dataset.open = "sure";
      open.textContent = "Replace what is typed here?";
      return undefined;
    });
    open.dataset.open = "";
  }

  // Puts a saved file in the place of what was typed, and says so, or why not.
  open(text) {
    const { view } = this, opening = new Opening(view.boat, view.lengths, view.hull.fingerprint, view.record);
    try {
      const [mode, shown] = opening.open(text);
      view.changed();
      view.go(mode, shown);
      view.isUnsaved = false;
      this.saved.textContent = "The file is open.";
    } catch (error) {
      const isOther = error instanceof TypeError;
      this.saved.textContent = isOther ? "This page cannot read the file. Files that it saved can be opened here." : error.message;
    }
  }

  // The file of what is shown.
  content() {
    const { mode, files, shown } = this.view;
    return mode === "hung" ? files.asBuilt() : files.spiling(shown);
  }

  // Shows the file of what is shown.
  refresh() {
    this.text.value = this.content();
  }

  // Saves the file, and says what the program would refuse of it.
  save() {
    const { files, hull, mode, shown } = this.view, isHung = mode === "hung";
    const name = isHung ? `as-built-${hull.fingerprint}.toml` : `spiling-${shown + 1}-${hull.fingerprint}.toml`;
    const problems = isHung ? files.asBuiltProblems() : files.spilingProblems(shown).map((one) => one.text);
    const link = document.createElement("a"), url = URL.createObjectURL(new Blob([this.content()], { type: "application/toml" }));
    link.href = url;
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10000);
    this.view.isUnsaved = false;
    this.saved.replaceChildren();
    element("span", this.saved, problems.length ? `Saved as ${name}. It is not complete:` : `Saved as ${name}.`);
    if (!problems.length) return;
    const list = element("ul", this.saved);
    for (const text of problems) element("li", list, text);
  }

  // Forgets what was typed for the strake; the button asks once.
  clear(asked) {
    const { view } = this;
    if (asked.dataset.clear !== "sure") {
      asked.dataset.clear = "sure";
      asked.textContent = `Forget all figures of strake ${view.shown + 1}?`;
      return;
    }
    if (view.mode === "hung") view.record.clearStrake(view.shown);
    else view.record.clearSpiling(view.shown);
    view.changed();
    view.draw();
  }
}
