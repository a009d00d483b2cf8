// The boat in three dimensions: strakes as they are hung, timbers and moulds, lands as lines, findings as balls.
const PICKED = 0x0b5cad, LAND = 0x2b2418, FINDING = { error: 0xb3261e, warning: 0xb3261e, note: 0x5b6b78 };

class Scene extends View {
  constructor(canvas, data, calls) {
    super(canvas, data.nodes, calls);
    Object.assign(this, { data, strakes: [], lands: [], markers: [], timbers: [], columns: [] });
    this.boat = new THREE.Group();
    this.mirror = new THREE.Group();
    this.mirror.scale.set(1, -1, 1);
    this.scene.add(this.boat, this.mirror);
    this.addStrakes();
    this.addLines();
    this.addTimbers();
    this.addMarkers();
    this.colour("wood");
    this.look("quarter");
    this.listen();
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
      const mesh = new THREE.Mesh(solidGeometry(timber), material);
      mesh.userData = { kind: timber.kind };
      this.boat.add(mesh);
      this.timbers.push(mesh);
    }
  }

  // A ball at each finding that has a place.
  addMarkers() {
    this.data.findings.forEach((finding, index) => {
      if (!finding.at) return;
      const size = this.size * (finding.severity === "note" ? 0.0022 : 0.004);
      const ball = new THREE.Mesh(new THREE.SphereGeometry(size, 16, 12), new THREE.MeshBasicMaterial({ color: FINDING[finding.severity] }));
      ball.position.set(...finding.at);
      ball.userData = { finding: index };
      this.boat.add(ball);
      this.markers.push(ball);
    });
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
  show({ hung, alone, moulds, inside, both }) {
    this.alone = alone;
    this.mirror.visible = both;
    for (const mesh of this.strakes) {
      const number = mesh.userData.strake;
      mesh.visible = number <= hung || number === alone;
      this.fade(mesh.material, alone && number !== alone, 0.1);
    }
    for (const line of this.lands) line.visible = line.userData.land < hung && !alone;
    for (const mesh of this.timbers) {
      const shownAs = { mould: moulds, inside: inside && hung === this.data.bodies.length };
      mesh.visible = shownAs[mesh.userData.kind] ?? true;
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
      const ball = new THREE.Mesh(new THREE.SphereGeometry(this.size * 0.003, 16, 12), new THREE.MeshBasicMaterial({ color: PICKED }));
      ball.position.set(...point);
      return ball;
    });
    if (points.length === 2) this.taped.push(this.line(points, PICKED));
    for (const part of this.taped) this.scene.add(part);
    this.draw();
  }

  // Calls back with what was tapped: a finding, a land or a strake.
  tap(event) {
    const box = this.canvas.getBoundingClientRect();
    if (this.calls.onPoint(event.clientX - box.left, event.clientY - box.top)) return;
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
}
