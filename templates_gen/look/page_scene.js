"use strict";
// The boat in three dimensions: strakes as they are hung, timbers and moulds, lands as lines, findings as balls.
const PICKED = 0x0b5cad, LAND = 0x2b2418, FINDING = { error: 0xb3261e, warning: 0xb3261e, note: 0x5b6b78 };

class Scene {
  constructor(canvas, data, calls) {
    Object.assign(this, { data, canvas, calls, strakes: [], lands: [], markers: [], timbers: [], columns: [] });
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true });
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.scene = new THREE.Scene();
    this.scene.background = new THREE.Color(0xdfe6ea);
    this.addCamera();
    this.boat = new THREE.Group();
    this.mirror = new THREE.Group();
    this.mirror.scale.set(1, -1, 1);
    this.scene.add(this.boat, this.mirror);
    this.hung = data.bodies.length;
    this.addStrakes();
    this.addLines();
    this.addTimbers();
    this.addMarkers();
    this.measure();
    this.colour("wood");
    this.look("quarter");
    this.listen();
  }

  // The camera, what turns it, and a lamp that it carries.
  addCamera() {
    this.camera = new THREE.PerspectiveCamera(32, 1, 10, 100000);
    this.camera.up.set(0, 0, 1);
    this.controls = new THREE.OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener("change", () => this.draw());
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0x887766, 2.2));
    const lamp = new THREE.DirectionalLight(0xffffff, 1.6);
    this.camera.add(lamp);
    lamp.position.set(0.4, 1, 0.6);
    this.scene.add(this.camera);
  }

  // Each strake on either side, with a material of its own so that it can fade.
  addStrakes() {
    this.data.nodes.forEach((nodes, index) => {
      const geometry = bodyGeometry(nodes);
      const material = new THREE.MeshLambertMaterial({ vertexColors: true, side: THREE.DoubleSide });
      this.columns.push(drawnColumns(nodes.length));
      for (const group of [this.boat, this.mirror]) {
        const mesh = new THREE.Mesh(geometry, material);
        mesh.userData = { strake: index + 1 };
        group.add(mesh);
        this.strakes.push(mesh);
      }
    });
  }

  // A line through points.
  line(points, colour) {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.BufferAttribute(new Float32Array(points.flat()), 3));
    return new THREE.Line(geometry, new THREE.LineBasicMaterial({ color: colour }));
  }

  // Where each strake's lower edge shows, and the rabbet line.
  addLines() {
    this.data.land_lines.forEach((points, index) => {
      for (const group of [this.boat, this.mirror]) {
        const landLine = this.line(points, LAND);
        landLine.userData = { land: index + 1 };
        group.add(landLine);
        this.lands.push(landLine);
      }
    });
    for (const group of [this.boat, this.mirror]) group.add(this.line(this.data.backbone, 0x444444));
  }

  // Stems, keel, transoms and moulds.
  addTimbers() {
    for (const timber of this.data.timbers) {
      const material = new THREE.MeshLambertMaterial({ color: TIMBER_COLOURS[timber.kind], side: THREE.DoubleSide });
      const mesh = new THREE.Mesh(solidGeometry(timber.rails), material);
      mesh.userData = { kind: timber.kind };
      this.boat.add(mesh);
      this.timbers.push(mesh);
    }
  }

  // A ball at each finding that has a place.
  addMarkers() {
    this.data.findings.forEach((finding, index) => {
      if (!finding.at) return;
      const size = finding.severity === "note" ? 9 : 16;
      const ball = new THREE.Mesh(new THREE.SphereGeometry(size, 16, 12), new THREE.MeshBasicMaterial({ color: FINDING[finding.severity] }));
      ball.position.set(...finding.at);
      ball.userData = { finding: index };
      this.boat.add(ball);
      this.markers.push(ball);
    });
  }

  // The boat's middle, size and corners.
  measure() {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const point of this.data.nodes.flat(2)) {
      for (let axis = 0; axis < 3; axis += 1) {
        low[axis] = Math.min(low[axis], point[axis]);
        high[axis] = Math.max(high[axis], point[axis]);
      }
    }
    this.centre = new THREE.Vector3((low[0] + high[0]) / 2, 0, (low[2] + high[2]) / 2);
    this.size = Math.hypot(high[0] - low[0], 2 * high[1], high[2] - low[2]);
    const ends = [low[0], high[0]].flatMap((x) => [low[2], high[2]].map((z) => [x, z]));
    this.corners = ends.flatMap(([x, z]) => [-1, 1].map((side) => new THREE.Vector3(x, side * high[1], z).sub(this.centre)));
  }

  // Turns the boat to one of the views that have a button.
  look(name) {
    const ways = { side: [0, 1, 0.08], bow: [-1, 0.001, 0.1], stern: [1, 0.001, 0.15], below: [0.001, 0.25, -1], quarter: [-0.75, 0.9, 0.5] };
    this.from(ways[name]);
  }

  // Shows the whole boat from a direction.
  from(direction) {
    const way = new THREE.Vector3(...direction).normalize();
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

  // Brings a point to the middle, seen from its own side of the boat.
  lookAt(point) {
    const way = this.camera.position.clone().sub(this.controls.target);
    const from = point[1] > 0 && way.y < 0 ? new THREE.Vector3(way.x, -way.y, way.z) : way;
    this.controls.target.set(...point);
    this.camera.position.copy(this.controls.target).addScaledVector(from.normalize(), this.size * 0.8);
    this.controls.update();
    this.draw();
  }

  // Turns by angles, and comes nearer by a factor: what the keys do.
  turn(around, up, nearer = 1) {
    const way = this.camera.position.clone().sub(this.controls.target), length = way.length() / nearer;
    const flat = Math.hypot(way.x, way.y), heading = Math.atan2(way.y, way.x) + around;
    const rise = Math.min(Math.max(Math.atan2(way.z, flat) + up, -1.5), 1.5);
    way.set(Math.cos(rise) * Math.cos(heading), Math.cos(rise) * Math.sin(heading), Math.sin(rise));
    this.camera.position.copy(this.controls.target).addScaledVector(way, length);
    this.controls.update();
    this.draw();
  }

  // Colours each strake by its wood, by what is left at its edges or by its twist; returns the range of the figures.
  colour(how) {
    this.how = how;
    const range = this.range(how);
    this.data.bodies.forEach((body, index) => {
      const colours = this.strakes[2 * index].geometry.getAttribute("color");
      let at = 0;
      for (let side = 0; side < SIDES; side += 1) {
        for (const column of this.columns[index]) {
          let rgb = WOOD[index % 2].map((c) => c / 255);
          if (how !== "wood") rgb = rampColour((this.figure(body, column) - range.low) / (range.high - range.low));
          if (this.picked === index + 1 && how === "wood") rgb = rgb.map((c) => c * 0.7 + 0.28);
          for (let twice = 0; twice < 2; twice += 1, at += 1) colours.setXYZ(at, ...toLight(rgb));
        }
      }
      colours.needsUpdate = true;
    });
    this.draw();
    return range;
  }

  // The figure that a column is coloured by.
  figure(body, column) {
    return this.how === "left" ? Math.min(...body.left[column]) : body.twist[column];
  }

  // The least and the greatest figure that are coloured.
  range(how) {
    const bodies = this.data.bodies;
    if (how === "left") {
      const all = bodies.flatMap((body) => body.left.flat());
      return { low: Math.min(...all), high: Math.max(...all) };
    }
    return { low: 0, high: Math.max(1, ...bodies.flatMap((body) => body.twist)) };
  }

  // Marks a strake or a land as picked.
  pick(strake, land) {
    this.picked = strake;
    for (const line of this.lands) line.material.color.set(line.userData.land === land ? PICKED : LAND);
    this.colour(this.how);
  }

  // Shows the strakes up to one, which are hung, and fades all but one where one stands alone.
  show({ hung, alone, moulds, both }) {
    Object.assign(this, { hung, alone });
    this.mirror.visible = both;
    for (const mesh of this.strakes) {
      const number = mesh.userData.strake;
      mesh.visible = number <= hung || number === alone;
      this.fade(mesh.material, alone && number !== alone, 0.1);
    }
    for (const line of this.lands) line.visible = line.userData.land < hung && !alone;
    for (const mesh of this.timbers) {
      mesh.visible = mesh.userData.kind !== "mould" || moulds;
      this.fade(mesh.material, Boolean(alone), 0.3);
    }
    for (const ball of this.markers) {
      const finding = this.data.findings[ball.userData.finding];
      ball.visible = !alone && (finding.strake || finding.land || 0) <= hung;
    }
    this.draw();
  }

  // Makes a material see-through, or solid again.
  fade(material, faded, opacity) {
    if (material.transparent !== Boolean(faded)) material.needsUpdate = true;
    Object.assign(material, { transparent: Boolean(faded), opacity: faded ? opacity : 1, depthWrite: !faded });
  }

  // Draws the points that are measured between, and the line from one to the other.
  tape(points) {
    for (const part of this.taped || []) this.scene.remove(part);
    this.taped = points.map((point) => {
      const ball = new THREE.Mesh(new THREE.SphereGeometry(12, 16, 12), new THREE.MeshBasicMaterial({ color: PICKED }));
      ball.position.set(...point);
      return ball;
    });
    if (points.length === 2) this.taped.push(this.line(points, PICKED));
    for (const part of this.taped) this.scene.add(part);
    this.draw();
  }

  // Where a point of the boat comes on the canvas, in pixels from its upper left corner.
  onScreen(point) {
    const at = new THREE.Vector3(...point).project(this.camera), box = this.canvas.getBoundingClientRect();
    return [((at.x + 1) / 2) * box.width, ((1 - at.y) / 2) * box.height];
  }

  // Hears taps, keys, a lost or restored drawing context, and changes of size.
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
    this.canvas.addEventListener("keydown", (event) => this.key(event));
    this.canvas.addEventListener("webglcontextlost", (event) => {
      event.preventDefault();
      this.calls.onLost();
    });
    this.canvas.addEventListener("webglcontextrestored", () => {
      this.calls.onRestored();
      this.draw();
    });
    new ResizeObserver(() => this.fit()).observe(this.canvas.parentElement);
    this.fit();
  }

  // Turns with the arrow keys, comes nearer with + and goes away with -.
  key(event) {
    const turns = {
      ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1],
      "+": [0, 0, 1.2], "=": [0, 0, 1.2], "-": [0, 0, 1 / 1.2],
    };
    if (!(event.key in turns)) return;
    event.preventDefault();
    this.turn(...turns[event.key]);
  }

  // Fills the room that the canvas has.
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

  // Calls back with what was tapped: a finding, a land or a strake.
  tap(event) {
    const box = this.canvas.getBoundingClientRect();
    if (this.calls.onPoint && this.calls.onPoint(event.clientX - box.left, event.clientY - box.top)) return;
    const at = new THREE.Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(at, this.camera);
    ray.params.Line.threshold = this.camera.position.distanceTo(this.controls.target) * 0.0022;
    const seen = (object) => object.visible && (this.mirror.visible || object.parent !== this.mirror);
    const [marker, strake, land] = [this.markers, this.strakes, this.lands].map((some) => ray.intersectObjects(some.filter(seen))[0]);
    if (marker && (!strake || marker.distance < strake.distance + 40)) return this.calls.onPick(marker.object.userData);
    if (land && (!strake || land.distance < strake.distance + 15)) return this.calls.onPick(land.object.userData);
    if (strake) this.calls.onPick(strake.object.userData);
    else if (this.alone) this.calls.onPick({});
  }

  draw() {
    if (!this.renderer.getContext().isContextLost()) this.renderer.render(this.scene, this.camera);
  }
}
