// From the page's data to bodies: strakes unpacked, timbers from their rails, colours, and cuts across the boat.
const SIDES = 8;
const RAMP = [[68, 1, 84], [59, 82, 139], [33, 145, 140], [94, 201, 98], [253, 231, 37]]; // viridis, told apart by all eyes
const WOOD = [[196, 154, 98], [181, 137, 82]];
const TIMBER_COLOURS = { stem: 0x7d5a30, keel: 0x7d5a30, transom: 0x9a7a4a, mould: 0xe9d5a8, inside: 0xb98d58 };

// The screen's figures to light, as the library reckons it.
const toLight = (rgb) => rgb.map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));

// The colour at a share along the ramp, three figures from 0 to 1.
function rampColour(share) {
  const at = Math.min(Math.max(share, 0), 1) * (RAMP.length - 1);
  const i = Math.min(Math.floor(at), RAMP.length - 2);
  return RAMP[i].map((low, c) => (low + (RAMP[i + 1][c] - low) * (at - i)) / 255);
}

// A body's nodes, [column][node] -> [x, y, z] in mm, from first number, first step and changes of step.
function unpacked(body) {
  const columns = body.columns, nodes = Array.from({ length: columns }, () => Array.from({ length: SIDES }, () => [0, 0, 0]));
  for (let row = 0, at = 0; row < SIDES * 3; row += 1) {
    let value = 0, step = 0;
    for (let column = 0; column < columns; column += 1, at += 1) {
      if (column === 0) value = body.nodes[at];
      else {
        step += body.nodes[at];
        value += step;
      }
      nodes[column][Math.floor(row / 3)][row % 3] = value / 100;
    }
  }
  return nodes;
}

// The columns of a body that are drawn in space: every second one of a long body, and both ends.
function drawnColumns(columns) {
  const step = columns > 130 ? 2 : 1;
  const some = Array.from({ length: Math.ceil(columns / step) }, (_, i) => i * step);
  return some.at(-1) === columns - 1 ? some : [...some, columns - 1];
}

// A geometry from points and triangles.
function geometryOf(positions, index) {
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(positions), 3));
  geometry.setIndex(index);
  geometry.computeVertexNormals();
  return geometry;
}

// Eight strips round the plank, each with corners of its own so that edges stay sharp, and two ends.
function bodyGeometry(nodes) {
  const chosen = drawnColumns(nodes.length), columns = chosen.length;
  const positions = [], index = [];
  for (let side = 0; side < SIDES; side += 1) {
    const first = positions.length / 3;
    chosen.forEach((column, i) => {
      positions.push(...nodes[column][side], ...nodes[column][(side + 1) % SIDES]);
      const a = first + 2 * i;
      if (i + 1 < columns) index.push(a, a + 1, a + 2, a + 1, a + 3, a + 2);
    });
  }
  for (const column of [0, columns - 1]) {
    const corner = (node) => 2 * columns * node + 2 * column;
    for (let node = 1; node + 1 < SIDES; node += 1) index.push(corner(0), corner(node), corner(node + 1));
  }
  const geometry = geometryOf(positions, index);
  geometry.setAttribute("color", new THREE.BufferAttribute(new Float32Array(positions.length), 3));
  return geometry;
}

const mirrored = ([x, y, z]) => [x, -y, z];

// A timber: the strips between its rails on both sides, those across the boat or back to the first rail, and its two ends.
function solidGeometry({ rails, form }) {
  const positions = [], index = [];
  const strip = (one, other) => {
    const first = positions.length / 3;
    one.forEach((point, i) => {
      positions.push(...point, ...other[i]);
      const a = first + 2 * i;
      if (i + 1 < one.length) index.push(a, a + 1, a + 2, a + 1, a + 3, a + 2);
    });
  };
  for (let rail = 0; rail + 1 < rails.length; rail += 1) {
    strip(rails[rail], rails[rail + 1]);
    strip(rails[rail].map(mirrored), rails[rail + 1].map(mirrored));
  }
  const ends = [0, rails[0].length - 1].map((at) => rails.map((rail) => rail[at]));
  if (form === "ring" || form === "frame") {
    for (const turn of [(points) => points, (points) => points.map(mirrored)]) {
      strip(turn(rails.at(-1)), turn(rails[0]));
      for (const end of ends.map(turn)) strip(end.slice(0, end.length / 2), end.slice(end.length / 2).reverse());
    }
    return geometryOf(positions, index);
  }
  for (const rail of [rails[0], rails.at(-1)]) strip(rail, rail.map(mirrored));
  for (const end of ends) strip(end, end.map(mirrored));
  return geometryOf(positions, index);
}

// Where a line of points that runs along the boat crosses the plane at x: [y, z], or null where it does not.
function crossing(line, x) {
  const aft = line[0][0] <= line.at(-1)[0];
  const past = (point) => (aft ? point[0] >= x : point[0] <= x);
  if (past(line[0]) && line[0][0] !== x) return null;
  let low = 0, high = line.length - 1;
  if (!past(line[high])) return null;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (past(line[middle])) high = middle;
    else low = middle;
  }
  return between(line[low], line[high], x);
}

// The point [y, z] at x on the straight line between two points in space.
function between(one, other, x) {
  const share = other[0] === one[0] ? 0 : (x - one[0]) / (other[0] - one[0]);
  return [1, 2].map((axis) => one[axis] + share * (other[axis] - one[axis]));
}

// A ring of long edges cut by the plane at x: its outline [[y, z], …]; where an end slopes across the plane it closes along that end.
function cut(rails, x) {
  const met = rails.map((rail) => crossing(rail, x)), outline = [];
  if (met.every((point) => point === null)) return null;
  rails.forEach((rail, i) => {
    const next = (i + 1) % rails.length;
    if (met[i]) outline.push(met[i]);
    if (Boolean(met[i]) === Boolean(met[next])) return;
    for (const end of [0, -1]) {
      const [one, other] = [rail.at(end), rails[next].at(end)];
      if ((one[0] - x) * (other[0] - x) < 0) outline.push(between(one, other, x));
    }
  });
  return outline;
}

// The long edges of each strake, [node] -> points from fore to aft.
const railsOf = (nodes) => Array.from({ length: SIDES }, (_, side) => nodes.map((column) => column[side]));
