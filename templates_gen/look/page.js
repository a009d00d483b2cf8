// The page: its data, the scene and what becomes of it, and the start of every tab.
const data = JSON.parse(document.getElementById("data").textContent);
const measured = data.measurements;
const byId = (id) => document.getElementById(id);
let scene = null;
let waiting = null;

data.nodes = data.bodies.map(unpacked);

// Says that the boat cannot be drawn; with a button where another try may help.
function sayLost(words, canTry) {
  byId("lost").hidden = false;
  byId("lost-words").textContent = words;
  byId("again").hidden = !canTry;
}

// The drawing context was taken away: the browser gives it back, or a button asks for a new one.
function onLost() {
  sayLost("The browser has stopped drawing the boat to save memory. It starts again by itself.", false);
  waiting = setTimeout(() => sayLost("The browser has stopped drawing the boat.", true), 4000);
}

// The drawing context is back.
function onRestored() {
  clearTimeout(waiting);
  byId("lost").hidden = true;
}

// Starts drawing in three dimensions, or takes away the tools that need it.
function startScene() {
  try {
    scene = new Scene(byId("scene"), data, { onPick: pick, onPoint: tapTape, onLost, onRestored });
  } catch (error) {
    scene = null;
    sayLost("This browser cannot draw in three dimensions (WebGL is off or missing). The flat drawings and all figures still work.", false);
  }
  for (const name of ["tools", "stage", "hang"]) byId(name).hidden = !scene;
  byId("panel-boat").classList.toggle("plain", !scene);
}

// Draws on a new canvas, because the old one has lost its context for good.
function drawAgain() {
  onRestored();
  scene.stop();
  const canvas = byId("scene"), fresh = canvas.cloneNode();
  canvas.replaceWith(fresh);
  startScene();
  if (!scene) return;
  colour(byId("colour").value);
  showHung();
  scene.pick(shown.picked.strake, shown.picked.land);
  measureTape();
}

// Starts the page.
function start() {
  document.title = `${measured.hull}: the planked boat`;
  byId("boat").textContent = measured.hull;
  const edition = data.edition ? `${data.edition} · ` : "";
  const count = measured.strakes.length, side = data.side ? `the ${data.side} side alone · ` : "";
  byId("sub").textContent = `${count} ${count === 1 ? "strake" : "strakes"} a side · ${side}${edition}drawing ${measured.fingerprint}`;
  tabs.start();
  startBoat();
  startTape();
  startSection();
  startWork();
  startPrint();
}

start();
