// The tab "Work": each step of the order of work with its gauges, its depths and a tick that is remembered.

const working = { stage: 0, ticks: {}, store: null };

// Reads the ticks that the browser keeps for this drawing of this boat; what is not a list of ticks counts as none.
function readTicks() {
  working.store = new Store(`templates-gen ticks ${data.measuring.hull.fingerprint}`);
  try {
    const kept = JSON.parse(working.store.read() ?? "{}");
    if (kept && typeof kept === "object" && !Array.isArray(kept)) working.ticks = kept;
  } catch {
    working.ticks = {};
  }
}

// Keeps a tick, or that there is none; where the browser refuses, it holds until the page is closed.
function keepTick(name, ticked) {
  working.ticks[name] = ticked;
  working.store.write(JSON.stringify(working.ticks));
}

// The name under which a step's tick is kept: it holds when stages or steps are added.
const tickName = (stage, step) => `${stage.strake ? `strake ${stage.strake}` : stage.title}: ${step.title}`;

// Whether a step is done: by its tick, and where the builder has left it alone, by the strakes that hang in the as-built file.
function isDone(stage, step) {
  const tick = working.ticks[tickName(stage, step)];
  return typeof tick === "boolean" ? tick : step.is_done;
}

// How many steps of a stage are done.
const doneIn = (stage) => stage.steps.filter((step) => isDone(stage, step)).length;

// Writes a step: its tick and title, what to do, with which templates, how deep.
function writeStep(parent, stage, step, number) {
  const item = element("li", parent, undefined, "card"), label = element("label", item, undefined, "step");
  const tick = element("input", label);
  Object.assign(tick, { type: "checkbox", checked: isDone(stage, step) });
  element("span", label, `${number}. ${step.title}`);
  item.classList.toggle("done", tick.checked);
  tick.addEventListener("change", () => {
    keepTick(tickName(stage, step), tick.checked);
    item.classList.toggle("done", tick.checked);
    writeProgress();
  });
  const text = element("ul", item);
  for (const sentence of step.text) element("li", text, sentence);
  if (step.with.length) element("p", item, `With: ${step.with.join(", ")}`, "gauges");
  if (step.rows) {
    table(item, step.columns, step.rows);
    for (const note of step.notes) element("p", item, note, "small");
  }
}

// Says how much is done, of the whole and of each stage.
function writeProgress() {
  const steps = data.work.flatMap((stage) => stage.steps).length, done = data.work.map(doneIn).reduce((a, b) => a + b, 0);
  byId("work-done").textContent = `${done} of ${steps} steps done`;
  byId("work-kept").hidden = !working.store.isRefused;
  [...byId("stage-choice").options].forEach((option, index) => {
    const stage = data.work[index], count = doneIn(stage);
    option.textContent = `${count === stage.steps.length ? "✓" : `${count}/${stage.steps.length}`} · ${stage.title}`;
  });
}

// Shows one stage of the work.
function showStage(index) {
  working.stage = Math.min(Math.max(index, 0), data.work.length - 1);
  const stage = data.work[working.stage], list = byId("steps");
  byId("stage-choice").value = String(working.stage);
  byId("stage-title").textContent = stage.title;
  byId("stage-before").disabled = working.stage === 0;
  byId("stage-after").disabled = working.stage === data.work.length - 1;
  byId("stage-boat").hidden = !scene;
  list.replaceChildren();
  stage.steps.forEach((step, number) => writeStep(list, stage, step, number + 1));
  writeProgress();
}

// Shows the boat as it stands at this stage.
function showStageInBoat() {
  const strake = data.work[working.stage].strake || (working.stage === 0 ? 0 : measured.strakes.length);
  tabs.show("boat");
  pick({});
  hang(strake);
}

// The last strake that hangs: of which every step is done, or which the as-built file has; null where nothing is done, and there is no file.
function lastHung() {
  const stages = data.work.filter((stage) => stage.strake && doneIn(stage) === stage.steps.length);
  if (data.hung === null && !data.work.some(doneIn)) return null;
  return Math.max(0, data.hung ?? 0, ...stages.map((stage) => stage.strake));
}

// Makes the tab work; it opens at the first stage that is not done, and the boat is shown as far as it is done.
function startWork() {
  readTicks();
  const choice = byId("stage-choice");
  data.work.forEach((stage, index) => { element("option", choice, stage.title).value = String(index); });
  choice.addEventListener("change", () => showStage(Number(choice.value)));
  byId("stage-before").addEventListener("click", () => showStage(working.stage - 1));
  byId("stage-after").addEventListener("click", () => showStage(working.stage + 1));
  byId("stage-boat").addEventListener("click", showStageInBoat);
  const first = data.work.findIndex((stage) => doneIn(stage) < stage.steps.length);
  showStage(first === -1 ? data.work.length - 1 : first);
  if (lastHung() !== null) hang(lastHung());
}
