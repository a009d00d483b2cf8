"use strict";
// The row of tabs: one panel of the page is shown at a time, by touch or by keyboard.
const tabs = {
  shown: null,
  listeners: {},

  // Calls back each time that the panel of this name is shown.
  onShow(name, listener) {
    (this.listeners[name] ||= []).push(listener);
  },

  // All the buttons of the row, in their order.
  buttons() {
    return [...document.querySelectorAll("#tabs [data-tab]")];
  },

  // Shows the panel of this name and hides the others.
  show(name) {
    for (const button of this.buttons()) {
      const chosen = button.dataset.tab === name;
      button.setAttribute("aria-selected", String(chosen));
      button.tabIndex = chosen ? 0 : -1;
      document.getElementById(button.getAttribute("aria-controls")).hidden = !chosen;
    }
    this.shown = name;
    for (const listener of this.listeners[name] || []) listener();
  },

  // Moves along the row with the arrow keys, as rows of tabs do.
  key(event) {
    const all = this.buttons().filter((button) => !button.hidden), at = all.indexOf(document.activeElement);
    const steps = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: all.length - 1 };
    if (!(event.key in steps) || at < 0) return;
    event.preventDefault();
    const next = all[(steps[event.key] + all.length) % all.length];
    this.show(next.dataset.tab);
    next.focus();
  },

  // Makes the row work; it is shown as soon as there is more than one tab.
  start() {
    const row = document.getElementById("tabs");
    row.hidden = this.buttons().length < 2;
    row.addEventListener("keydown", (event) => this.key(event));
    for (const button of this.buttons()) button.addEventListener("click", () => this.show(button.dataset.tab));
    this.show("boat");
  },
};
