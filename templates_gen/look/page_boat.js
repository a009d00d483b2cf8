// The tab "Boat": what is hung, what stands alone, what was picked, and how it is coloured.
const shown = { hung: 0, alone: null, picked: {}, moulds: true, inside: false, both: true };

// Draws the boat as it is hung, and says so.
function showHung() {
  const all = measured.strakes.length, hung = shown.hung;
  const words = ["Moulds and backbone, no strake hung", `Hung: strake ${hung} of ${all}`];
  byId("hung").value = hung;
  byId("hung-words").textContent = hung === 0 ? words[0] : `${words[1]}${hung === 1 ? ", the garboard" : hung === all ? ", the sheer strake" : ""}`;
  byId("hung").setAttribute("aria-valuetext", byId("hung-words").textContent);
  byId("hang-less").disabled = hung === 0;
  byId("hang-more").disabled = hung === all;
  if (scene) scene.show(shown);
}

// Hangs strakes up to one.
function hang(number) {
  shown.hung = Math.min(Math.max(number, 0), measured.strakes.length);
  showHung();
}

// Shows the other side, the moulds or what goes inside; the last two never at once, and it goes in when all strakes are hung.
function showPart(name, isShown) {
  shown[name] = isShown;
  if (isShown && name === "moulds") shown.inside = false;
  if (isShown && name === "inside") Object.assign(shown, { moulds: false, hung: measured.strakes.length });
  for (const part of ["moulds", "inside"]) byId(part).checked = shown[part];
  showHung();
}

// Lets one strake stand alone while the others fade, or shows all of them again.
function isolate(strake) {
  shown.alone = strake || null;
  byId("alone").hidden = !strake || !scene;
  showHung();
}

// Turns the strake that stands alone to show its outside or its inside.
function see(side) {
  const nodes = data.nodes[shown.alone - 1], middle = nodes[Math.floor(nodes.length / 2)], up = (middle[3][2] + middle[4][2] - middle[0][2] - middle[7][2]) / 2;
  const out = (middle[3][1] + middle[4][1] - middle[0][1] - middle[7][1]) / 2, length = Math.hypot(up, out) || 1;
  const outward = [0.05, up / length, -out / length];
  scene.from(side === "outside" ? outward : outward.map((part, axis) => (axis ? -part : part)));
}

// A table; a heading over each column where there are headings.
function table(parent, head, rows) {
  const wrap = element("div", parent, undefined, "tablewrap");
  const body = element("table", wrap, undefined, head ? "" : "pairs");
  if (head) head.forEach((text) => element("th", body.tHead ? body.tHead.rows[0] : body.createTHead().insertRow(), text));
  const rest = element("tbody", body);
  for (const row of rows) {
    const line = element("tr", rest);
    row.forEach((text) => element("td", line, text));
  }
  return rest;
}

// No figures: nothing is picked.
function showNothing() {
  byId("what").textContent = "Tap a strake or a land";
  byId("figures").replaceChildren();
}

// A strake's figures and its shape laid flat.
function showStrake(number) {
  const strake = measured.strakes[number - 1], box = byId("figures");
  byId("what").textContent = `Strake ${number} of ${measured.strakes.length}`;
  box.replaceChildren();
  flatShape(box, strake, null);
  table(box, null, data.figures.strakes[number - 1]);
}

// A land's figures at its places.
function showLand(number) {
  const land = measured.lands[number - 1], box = byId("figures");
  byId("what").textContent = `Land ${number}: strake ${land.above} over strake ${land.below}`;
  box.replaceChildren();
  bevelChart(box, land);
  table(box, ["place", ...LAND_HEADS.slice(1)], data.figures.lands[number - 1]);
  element("p", box, `Depths in ${data.figures.depths}. Where the bevel is negative, the land is hollow.`, "small");
  element("p", box, `Strake ${land.below}, its upper edge in this land:`, "small");
  flatShape(box, measured.strakes[land.below - 1], "upper");
}

// Shows what was picked, by tapping or by choosing: a strake, a land, a finding, or nothing.
function pick(what) {
  if (what.finding !== undefined) {
    const item = document.querySelector(`[data-finding="${what.finding}"]`);
    const closed = item.closest("details");
    if (closed) closed.open = true;
    item.scrollIntoView({ block: "nearest" });
    item.focus();
    const { strake, land } = data.findings[what.finding];
    return strake || land ? pick({ strake, land, among: true }) : undefined;
  }
  if (what.strake) showStrake(what.strake);
  else if (what.land) showLand(what.land);
  else showNothing();
  byId("choose").value = what.strake ? `strake ${what.strake}` : what.land ? `land ${what.land}` : "";
  pickOnBodyPlan(byId("body"), what.strake, what.land);
  shown.picked = what;
  isolate(what.among ? null : what.strake);
  if (scene) scene.pick(what.strake, what.land);
}

// The list of all strakes and lands, for those who do not tap.
function fillChoice() {
  const choose = byId("choose");
  element("option", choose, "–").value = "";
  for (const strake of measured.strakes) element("option", choose, `strake ${strake.number}`).value = `strake ${strake.number}`;
  for (const land of measured.lands) element("option", choose, `land ${land.below}`).value = `land ${land.below}`;
  choose.addEventListener("change", () => {
    const [kind, number] = choose.value.split(" ");
    pick(kind ? { [kind]: Number(number) } : {});
  });
}

// Lists the findings, each as a button that leads to its place.
function showFindings() {
  data.findings.forEach((finding, index) => {
    const isNote = finding.severity === "note";
    const line = element("li", byId(isNote ? "notes" : "findings"), undefined, finding.severity);
    const button = element("button", line, finding.text);
    button.type = "button";
    button.dataset.finding = index;
    button.addEventListener("click", () => {
      pick({ strake: finding.strake, land: finding.land, among: true });
      if (finding.at && scene) scene.lookAt(finding.at);
    });
  });
  const count = byId("findings").children.length;
  byId("know").textContent = count ? `Before you cut wood: ${count} warning${count > 1 ? "s" : ""}` : "Before you cut wood: no warnings";
}

// Colours the boat and writes the legend; the least edge that the hull file wants is marked on it.
function colour(how) {
  const range = scene.colour(how), legend = byId("legend"), note = byId("legend-note");
  legend.hidden = how === "wood";
  if (how === "wood") return;
  byId("legend-title").textContent = how === "left" ? `Least edge left after planing, ${data.figures.depths}` : "Twist over a metre around each place, degrees";
  const stops = [0, 0.25, 0.5, 0.75, 1];
  const css = (share) => `rgb(${rampColour(share).map((c) => Math.round(c * 255)).join(",")})`;
  byId("ramp").style.background = `linear-gradient(90deg, ${stops.map(css).join(",")})`;
  byId("ticks").replaceChildren();
  const step = how === "left" ? data.figures.depth_step : 1;
  for (const share of stops) element("span", byId("ticks"), tenth((range.low + share * (range.high - range.low)) / step));
  byId("ramp").replaceChildren();
  note.hidden = how !== "left";
  if (how !== "left") return;
  for (const least of new Set(data.least_edge)) {
    const mark = element("i", byId("ramp"), undefined, "least");
    mark.style.left = `${100 * Math.min(Math.max((least - range.low) / (range.high - range.low || 1), 0), 1)}%`;
  }
  note.textContent = `▲ wanted at least: ${[...new Set(data.figures.least_edge)].join(", ")}`;
}

// Makes the tools of the tab work; those that need the drawing are taken away where there is none.
function startBoat() {
  const all = measured.strakes.length;
  shown.hung = all;
  byId("hung").max = all;
  byId("inside-label").hidden = !data.timbers.some((timber) => timber.kind === "inside");
  if (data.side) {
    // Port and starboard are not alike: the mirror image would show a side that is not the boat's.
    byId("both").checked = shown.both = false;
    byId("both").parentElement.hidden = true;
  }
  fillChoice();
  showFindings();
  bodyPlan(byId("body"), data, pick);
  byId("all").addEventListener("click", () => pick({}));
  byId("hung").addEventListener("input", () => hang(Number(byId("hung").value)));
  byId("hang-less").addEventListener("click", () => hang(shown.hung - 1));
  byId("hang-more").addEventListener("click", () => hang(shown.hung + 1));
  byId("colour").addEventListener("change", (event) => colour(event.target.value));
  for (const name of ["both", "moulds", "inside"]) byId(name).addEventListener("change", (event) => showPart(name, event.target.checked));
  for (const button of document.querySelectorAll("[data-view]")) button.addEventListener("click", () => scene.look(button.dataset.view));
  for (const button of document.querySelectorAll("[data-see]")) button.addEventListener("click", () => see(button.dataset.see));
  byId("again").addEventListener("click", drawAgain);
  startScene();
  showHung();
}
