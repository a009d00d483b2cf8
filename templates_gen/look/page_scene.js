"use strict";
// The boat in three dimensions: bodies of the strakes, lands as lines, warnings as balls.
const SIDES = 8;
const RAMP = [[68, 1, 84], [59, 82, 139], [33, 145, 140], [94, 201, 98], [253, 231, 37]]; // viridis, told apart by all eyes
const WOOD = [[196, 154, 98], [181, 137, 82]];

// The screen's figures to light, as the library reckons it.
const toLight = (rgb) => rgb.map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));

function rampColour(share) {
  const at = Math.min(Math.max(share, 0), 1) * (RAMP.length - 1);
  const i = Math.min(Math.floor(at), RAMP.length - 2);
  return RAMP[i].map((low, c) => (low + (RAMP[i + 1][c] - low) * (at - i)) / 255);
}

class Scene {
  constructor(canvas, data, onPick) {
    this.data = data;
    this.canvas = canvas;
    this.onPick = onPick;
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true });
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.scene = new THREE.Scene();
    this.scene.background = new THREE.Color(0xdfe6ea);
    this.camera = new THREE.PerspectiveCamera(32, 1, 10, 100000);
    this.camera.up.set(0, 0, 1);
    this.controls = new THREE.OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener("change", () => this.draw());
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0x887766, 2.2));
    const lamp = new THREE.DirectionalLight(0xffffff, 1.6);
    this.camera.add(lamp);
    lamp.position.set(0.4, 1, 0.6);
    this.scene.add(this.camera);
    this.boat = new THREE.Group();
    this.mirror = new THREE.Group();
    this.mirror.scale.set(1, -1, 1);
    this.scene.add(this.boat, this.mirror);
    this.strakes = [];
    this.lands = [];
    this.markers = [];
    this.addStrakes();
    this.addLines();
    this.addMarkers();
    this.measure();
    this.colour("wood");
    this.look("quarter");
    this.listen();
  }

  addStrakes() {
    this.data.bodies.forEach((body, index) => {
      const geometry = bodyGeometry(body);
      const material = new THREE.MeshLambertMaterial({ vertexColors: true, side: THREE.DoubleSide });
      for (const group of [this.boat, this.mirror]) {
        const mesh = new THREE.Mesh(geometry, material);
        mesh.userData = { strake: index + 1 };
        group.add(mesh);
        this.strakes.push(mesh);
      }
    });
  }

  addLines() {
    const line = (points, colour) => {
      const geometry = new THREE.BufferGeometry();
      geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(points.flat()), 3));
      return new THREE.Line(geometry, new THREE.LineBasicMaterial({ color: colour }));
    };
    this.data.land_lines.forEach((points, index) => {
      for (const group of [this.boat, this.mirror]) {
        const landLine = line(points, 0x2b2418);
        landLine.userData = { land: index + 1 };
        group.add(landLine);
        this.lands.push(landLine);
      }
    });
    for (const group of [this.boat, this.mirror]) group.add(line(this.data.backbone, 0x444444));
    const wood = new THREE.MeshLambertMaterial({ color: 0x9a7a4a, side: THREE.DoubleSide });
    // across the boat from an edge to its mirror image: the transoms, and the backbone between the rabbet lines
    for (const edge of [...this.data.transoms, this.data.backbone]) {
      const loop = [...edge, ...[...edge].reverse().map(([x, y, z]) => [x, -y, z])];
      const last = loop.length - 1;
      const geometry = new THREE.BufferGeometry();
      geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(loop.flat()), 3));
      geometry.setIndex(edge.slice(1).flatMap((_, i) => [i, i + 1, last - 1 - i, i, last - 1 - i, last - i]));
      geometry.computeVertexNormals();
      this.boat.add(new THREE.Mesh(geometry, wood));
    }
  }

  addMarkers() {
    this.data.findings.forEach((finding, index) => {
      if (!finding.at || finding.severity === "note") return;
      const ball = new THREE.Mesh(new THREE.SphereGeometry(16, 16, 12), new THREE.MeshBasicMaterial({ color: 0xb3261e }));
      ball.position.set(...finding.at);
      ball.userData = { finding: index };
      this.boat.add(ball);
      this.markers.push(ball);
    });
  }

  measure() {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const body of this.data.bodies) {
      body.nodes.forEach((value, i) => {
        low[i % 3] = Math.min(low[i % 3], value);
        high[i % 3] = Math.max(high[i % 3], value);
      });
    }
    this.centre = new THREE.Vector3((low[0] + high[0]) / 2, 0, (low[2] + high[2]) / 2);
    this.size = Math.hypot(high[0] - low[0], 2 * high[1], high[2] - low[2]);
    const ends = [low[0], high[0]].flatMap((x) => [low[2], high[2]].map((z) => [x, z]));
    this.corners = ends.flatMap(([x, z]) => [-1, 1].map((side) => new THREE.Vector3(x, side * high[1], z).sub(this.centre)));
  }

  look(name) {
    const ways = { side: [0, 1, 0.08], bow: [-1, 0.001, 0.1], stern: [1, 0.001, 0.15], below: [0.001, 0.25, -1], quarter: [-0.75, 0.9, 0.5] };
    const way = new THREE.Vector3(...ways[name]).normalize();
    this.controls.target.copy(this.centre);
    this.camera.position.copy(this.centre).addScaledVector(way, 1.12 * this.distance(way));
    this.controls.update();
    this.draw();
  }

  // How far from the middle, in a direction, the whole boat is just in view.
  distance(way) {
    const right = this.camera.up.clone().cross(way).normalize(), over = way.clone().cross(right);
    const half = Math.tan((this.camera.fov * Math.PI) / 360);
    return Math.max(...this.corners.map((corner) => {
      const [across, up] = [Math.abs(corner.dot(right)), Math.abs(corner.dot(over))];
      return corner.dot(way) + Math.max(across / (half * (this.camera.aspect || 1)), up / half);
    }));
  }

  lookAt(point) {
    const way = this.camera.position.clone().sub(this.controls.target);
    const from = point[1] > 0 && way.y < 0 ? new THREE.Vector3(way.x, -way.y, way.z) : way;
    this.controls.target.set(...point);
    this.camera.position.copy(this.controls.target).addScaledVector(from.normalize(), this.size * 0.8);
    this.controls.update();
    this.draw();
  }

  colour(how) {
    this.how = how;
    const range = this.range(how);
    this.data.bodies.forEach((body, index) => {
      const colours = this.strakes[2 * index].geometry.getAttribute("color");
      const columns = body.twist.length;
      for (let side = 0, at = 0; side < SIDES; side += 1) {
        for (let column = 0; column < columns; column += 1) {
          for (let twice = 0; twice < 2; twice += 1) {
            let rgb = WOOD[index % 2].map((c) => c / 255);
            if (how === "left") rgb = rampColour((Math.min(...body.left[column]) - range.low) / (range.high - range.low));
            if (how === "twist") rgb = rampColour((body.twist[column] - range.low) / (range.high - range.low));
            if (this.picked === index + 1) rgb = rgb.map((c) => c * 0.7 + 0.28);
            colours.setXYZ(at, ...toLight(rgb));
            at += 1;
          }
        }
      }
      colours.needsUpdate = true;
    });
    this.draw();
    return range;
  }

  range(how) {
    const bodies = this.data.bodies;
    if (how === "left") {
      const all = bodies.flatMap((body) => body.left.flat());
      return { low: Math.min(...all), high: Math.max(...all) };
    }
    return { low: 0, high: Math.max(1, ...bodies.flatMap((body) => body.twist)) };
  }

  pick(strake, land) {
    this.picked = strake;
    for (const line of this.lands) {
      const chosen = line.userData.land === land;
      line.material.color.set(chosen ? 0x0b5cad : 0x2b2418);
    }
    this.colour(this.how);
  }

  both(shown) {
    this.mirror.visible = shown;
    this.draw();
  }

  listen() {
    let start = null;
    this.canvas.addEventListener("pointerdown", (event) => {
      start = start ? { x: NaN, y: NaN } : { x: event.clientX, y: event.clientY };
    });
    this.canvas.addEventListener("pointercancel", () => { start = null; });
    this.canvas.addEventListener("pointerup", (event) => {
      const tapped = start && Math.hypot(event.clientX - start.x, event.clientY - start.y) < 8;
      start = null;
      if (tapped) this.tap(event);
    });
    new ResizeObserver(() => this.fit()).observe(this.canvas.parentElement);
    this.fit();
  }

  fit() {
    const box = this.canvas.parentElement.getBoundingClientRect();
    if (!box.width || !box.height) return;
    this.renderer.setSize(box.width, box.height, false);
    const first = !this.fitted;
    this.camera.aspect = box.width / box.height;
    this.camera.updateProjectionMatrix();
    this.fitted = true;
    if (first) this.look("quarter");
    this.draw();
  }

  tap(event) {
    const box = this.canvas.getBoundingClientRect();
    const at = new THREE.Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(at, this.camera);
    const distance = this.camera.position.distanceTo(this.controls.target);
    ray.params.Line.threshold = distance * 0.0022;
    const seen = (object) => this.mirror.visible || object.parent !== this.mirror;
    const marker = ray.intersectObjects(this.markers)[0];
    const strake = ray.intersectObjects(this.strakes.filter(seen))[0];
    const land = ray.intersectObjects(this.lands.filter(seen))[0];
    if (marker && (!strake || marker.distance < strake.distance + 40)) return this.onPick(marker.object.userData);
    if (land && (!strake || land.distance < strake.distance + 15)) return this.onPick(land.object.userData);
    if (strake) this.onPick(strake.object.userData);
  }

  draw() {
    this.renderer.render(this.scene, this.camera);
  }
}

// Eight strips round the plank, each with corners of its own so that edges stay sharp, and two ends.
function bodyGeometry(body) {
  const columns = body.twist.length;
  const point = (column, node) => body.nodes.slice((column * SIDES + node) * 3, (column * SIDES + node) * 3 + 3);
  const positions = [], index = [];
  for (let side = 0; side < SIDES; side += 1) {
    const first = positions.length / 3;
    for (let column = 0; column < columns; column += 1) {
      positions.push(...point(column, side), ...point(column, (side + 1) % SIDES));
      if (column + 1 < columns) {
        const a = first + 2 * column;
        index.push(a, a + 1, a + 2, a + 1, a + 3, a + 2);
      }
    }
  }
  for (const column of [0, columns - 1]) {
    const corner = (node) => 2 * columns * node + 2 * column;
    for (let node = 1; node + 1 < SIDES; node += 1) index.push(corner(0), corner(node), corner(node + 1));
  }
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(positions), 3));
  geometry.setAttribute("color", new THREE.BufferAttribute(new Float32Array(positions.length), 3));
  geometry.setIndex(index);
  geometry.computeVertexNormals();
  return geometry;
}
