// The page: what was tapped, and what is shown of it.
const data = JSON.parse(document.getElementById("data").textContent);
const measured = data.measurements;
const byId = (id) => document.getElementById(id);
let scene = null;

function table(parent, head, rows) {
  const wrap = element("div", parent, undefined, "tablewrap");
  const body = element("table", wrap);
  if (head) head.forEach((text) => element("th", body.tHead ? body.tHead.rows[0] : body.createTHead().insertRow(), text));
  const rest = element("tbody", body);
  for (const row of rows) {
    const line = element("tr", rest);
    row.forEach((text) => element("td", line, text));
  }
}

function showStrake(number) {
  const strake = measured.strakes[number - 1], box = byId("figures");
  byId("what").textContent = `Strake ${number} of ${measured.strakes.length}`;
  box.replaceChildren();
  table(box, null, data.figures.strakes[number - 1]);
  flatShape(box, strake, null);
}

function showLand(number) {
  const land = measured.lands[number - 1], box = byId("figures");
  byId("what").textContent = `Land ${number}: strake ${land.above} over strake ${land.below}`;
  box.replaceChildren();
  bevelChart(box, land);
  table(
    box,
    ["place", "bevel", "take-off", "planed on", "edge left", "gap before", "gerald"],
    data.figures.lands[number - 1],
  );
  element("p", box, `Depths in ${data.figures.depths}. Where the bevel is negative, the land is hollow.`, "small");
  element("p", box, `Strake ${land.below}, its upper edge in this land:`, "small");
  flatShape(box, measured.strakes[land.below - 1], "upper");
}

function pick(what) {
  if (what.finding !== undefined) {
    const item = document.querySelector(`[data-finding="${what.finding}"]`);
    item.scrollIntoView({ block: "nearest" });
    item.focus();
    return pick({ strake: data.findings[what.finding].strake, land: data.findings[what.finding].land });
  }
  if (what.strake) showStrake(what.strake);
  else if (what.land) showLand(what.land);
  pickOnBodyPlan(byId("body"), what.strake, what.land);
  if (scene) scene.pick(what.strake, what.land);
}

function showFindings() {
  data.findings.forEach((finding, index) => {
    if (finding.severity === "note") return element("li", byId("notes"), finding.text);
    const line = element("li", byId("findings"), undefined, finding.severity);
    const button = element("button", line, finding.text);
    button.type = "button";
    button.dataset.finding = index;
    button.addEventListener("click", () => {
      pick({ strake: finding.strake, land: finding.land });
      if (finding.at && scene) scene.lookAt(finding.at);
    });
    return line;
  });
  const count = byId("findings").children.length;
  byId("know").textContent = count ? `Before you cut wood: ${count} warning${count > 1 ? "s" : ""}` : "Before you cut wood: no warnings";
}

function colour(how) {
  const range = scene.colour(how), legend = byId("legend");
  legend.hidden = how === "wood";
  if (how === "wood") return;
  byId("legend-title").textContent = how === "left" ? `Least edge left after planing, ${data.figures.depths}` : "Twist over a metre around each place, degrees";
  const stops = [0, 0.25, 0.5, 0.75, 1];
  const css = (share) => `rgb(${rampColour(share).map((c) => Math.round(c * 255)).join(",")})`;
  byId("ramp").style.background = `linear-gradient(90deg, ${stops.map(css).join(",")})`;
  byId("ticks").replaceChildren();
  const step = how === "left" ? data.figures.depth_step : 1;
  for (const share of stops) element("span", byId("ticks"), tenth((range.low + share * (range.high - range.low)) / step));
}

function start() {
  document.title = `${measured.hull}: the planked boat`;
  byId("boat").textContent = measured.hull;
  const edition = data.edition ? `${data.edition} edition · ` : "";
  byId("sub").textContent = `${measured.strakes.length} strakes a side · ${edition}drawing ${measured.fingerprint}`;
  showFindings();
  bodyPlan(byId("body"), data, pick);
  tabs.start();
  try {
    scene = new Scene(byId("scene"), data, pick);
  } catch (error) {
    byId("lost").hidden = false;
    byId("lost").textContent = "This browser cannot draw in three dimensions (WebGL is off or missing). The body plan and all figures still work.";
    byId("tools").hidden = true;
    return;
  }
  byId("colour").addEventListener("change", (event) => colour(event.target.value));
  byId("both").addEventListener("change", (event) => scene.both(event.target.checked));
  for (const button of document.querySelectorAll("[data-view]")) button.addEventListener("click", () => scene.look(button.dataset.view));
}

start();
