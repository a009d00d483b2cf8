// The tape: the distance between any two corners of lands, chosen by tapping the boat or from lists.
const FACES = { outside: "lower outside edge", inside: "upper inside corner" };
const tape = { on: false, next: 0, ends: [] };

// The sides of the boat that are shown: both, or the one side that is drawn where the sides are not alike.
const shownSides = () => (data.side ? [data.side] : shown.both ? ["port", "starboard"] : ["port"]);

// What a corner is called: the keel, a strake's edge, or the sheer.
function cornerName(face, index) {
  const last = measured.strakes.length;
  if (face === "inside") return index === 0 ? "garboard at the keel, inside" : index === last ? "sheer, inside" : `strake ${index}, upper inside corner`;
  return index === last ? "sheer, outside" : index === 0 ? "garboard at the keel, outside" : `strake ${index + 1}, lower outside edge`;
}

// The point of an end of the tape, in mm.
function taped({ place, face, index, side }) {
  const point = data.marks[place][face][index];
  return side === "port" || data.side ? point : mirrored(point);
}

// Measures, and writes the figures in the boat's notation.
function measureTape() {
  const [from, to] = tape.ends.map(taped), step = to.map((value, axis) => value - from[axis]);
  const box = byId("tape-figures");
  box.replaceChildren();
  const [along, across, up] = step.map(Math.abs);
  table(box, null, [
    ["straight distance", notation.spoken(Math.hypot(...step))],
    ["along the boat", notation.spoken(along)],
    ["across", notation.spoken(across)],
    ["in height", notation.spoken(up)],
  ]);
  const hint = byId("hint");
  hint.classList.toggle("taped", tape.on);
  hint.textContent = tape.on ? `${notation.spoken(Math.hypot(...step))} between the blue points. Tap another corner.` : tape.hint;
  if (scene) scene.tape(tape.on ? [from, to] : []);
}

// Writes one end of the tape into its lists.
function writeEnd(number) {
  const { place, face, index, side } = tape.ends[number], [places, corners, sides] = byId(`tape-${number}`).querySelectorAll("select");
  places.value = String(place);
  corners.value = `${face} ${index}`;
  sides.value = side;
}

// The lists of one end of the tape: place, corner and side of the boat.
function fillEnd(number) {
  const box = byId(`tape-${number}`), [places, corners, sides] = ["place", "corner", "side"].map((name) => {
    const list = element("select", box);
    list.setAttribute("aria-label", `${number ? "To" : "From"}: ${name}`);
    return list;
  });
  data.marks.forEach((mark, index) => { element("option", places, mark.name).value = String(index); });
  for (const face of Object.keys(FACES)) {
    data.marks[0][face].forEach((_, index) => { element("option", corners, cornerName(face, index)).value = `${face} ${index}`; });
  }
  for (const side of data.side ? [data.side] : ["port", "starboard"]) element("option", sides, side).value = side;
  box.addEventListener("change", () => {
    const [face, index] = corners.value.split(" ");
    tape.ends[number] = { place: Number(places.value), face, index: Number(index), side: sides.value };
    measureTape();
  });
}

// The corner nearest to a tap on the canvas, within a finger's breadth: of the face of the planking that is seen.
function nearestCorner(x, y) {
  const eye = scene.camera.position, found = { off: 32, end: null };
  data.marks.forEach((mark, place) => {
    for (const side of shownSides()) {
      for (const face of Object.keys(FACES)) {
        mark[face].forEach((_, index) => {
          const end = { place, face, index, side }, point = taped(end), [px, py] = scene.onScreen(point);
          const off = Math.hypot(px - x, py - y) + (isSeen(end, point, eye) ? 0 : 1000);
          if (off < found.off) Object.assign(found, { off, end });
        });
      }
    }
  });
  return found.end;
}

// Whether a corner lies on the face of the planking that is turned to the eye.
function isSeen({ place, face, index }, point, eye) {
  const corners = data.marks[place].inside;
  const next = corners[Math.min(index + 1, corners.length - 1)], before = corners[Math.max(index - 1, 0)];
  const up = [next[1] - before[1], next[2] - before[2]], side = Math.sign(point[1]) || 1;
  const toward = (eye.y - point[1]) * side * up[1] - (eye.z - point[2]) * up[0];
  return (toward > 0) === (face === "outside");
}

// Takes a tap for the tape, while it is out.
function tapTape(x, y) {
  if (!tape.on) return false;
  const end = nearestCorner(x, y);
  if (!end) return true;
  tape.ends[tape.next] = end;
  writeEnd(tape.next);
  tape.next = 1 - tape.next;
  measureTape();
  return true;
}

// Makes the tape work; it lies from the keel to the sheer amidships at first.
function startTape() {
  tape.hint = byId("hint").textContent;
  const place = Math.floor(data.marks.length / 2), last = measured.strakes.length;
  tape.ends = [0, last].map((index) => ({ place, face: "inside", index, side: data.side || "port" }));
  for (const number of [0, 1]) {
    fillEnd(number);
    writeEnd(number);
  }
  byId("tape-card").addEventListener("toggle", () => {
    tape.on = byId("tape-card").open;
    measureTape();
  });
  byId("tape-hint").hidden = !scene;
  measureTape();
}
