// How the boat is looked at: the drawing context, the camera, what turns it, and what becomes of its size.
class View {
  constructor(canvas, nodes, calls) {
    Object.assign(this, { canvas, calls });
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true });
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.scene = new THREE.Scene();
    this.scene.background = new THREE.Color(0xdfe6ea);
    this.addCamera();
    this.measure(nodes);
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

  // The boat's middle, size and corners.
  measure(nodes) {
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const point of nodes.flat(2)) {
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
    this.camera.position.copy(this.centre).addScaledVector(way, 1.04 * this.distance(way));
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
    this.sizes = new ResizeObserver(() => this.fit());
    this.sizes.observe(this.canvas.parentElement);
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

  // Stops listening, before another drawing takes its place.
  stop() {
    this.sizes.disconnect();
    this.controls.dispose();
  }

  // Draws, unless the drawing context is lost.
  draw() {
    if (!this.renderer.getContext().isContextLost()) this.renderer.render(this.scene, this.camera);
  }
}
