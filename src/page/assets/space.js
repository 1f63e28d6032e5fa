// SPDX-License-Identifier: Apache-2.0
// The corner in space, drawn as SVG by three.js: it needs no graphics hardware and prints as lines.
const colours = {
  link: 0xd55e00, arm: 0x333333, knuckle: 0xa0a0a0, wheel: 0x8a8a8a,
  tag: 0x0072b2, station: 0x6a6a6a, ellipsoid: 0xe69f00, ground: 0xd0d0d0,
};
// Azimuth and elevation of the eye, degrees.
const views = { ahead: [0, 0.12], side: [90, 0.12], above: [0, 89.9], corner: [38, 24] };

// The SVG renderer does not close a LineLoop: a closed line ends where it starts.
function lineOf(points, colour, width, closed) {
  const geometry = new THREE.BufferGeometry().setFromPoints(closed ? [...points, points[0]] : points);
  return new THREE.Line(geometry, new THREE.LineBasicMaterial({ color: colour, linewidth: width }));
}

function vector(list, at = 0) {
  return new THREE.Vector3(list[at], list[at + 1], list[at + 2]);
}

function label(text, place) {
  const node = document.createElementNS("http://www.w3.org/2000/svg", "text");
  node.textContent = text;
  node.setAttribute("dx", "7");
  node.setAttribute("dy", "4");
  const object = new THREE.SVGObject(node);
  object.position.copy(place);
  return object;
}

// Unit sphere whose axes become the ellipsoid's.
function ellipsoidOf(axes) {
  const matrix = new THREE.Matrix4().makeBasis(...axes.map((axis) => vector(axis)));
  const geometry = new THREE.IcosahedronBufferGeometry(1, 1).applyMatrix(matrix);
  return new THREE.Mesh(geometry, new THREE.MeshLambertMaterial({ color: colours.ellipsoid }));
}

function circleOf(radius, colour, width) {
  const points = [];
  for (let i = 0; i < 48; i++) {
    const angle = (i / 48) * 2 * Math.PI;
    points.push(new THREE.Vector3(radius * Math.cos(angle), radius * Math.sin(angle), 0));
  }
  return lineOf(points, colour, width, true);
}

// What stands still: tags, photos, a patch of ground.
function addSurroundings(scene, space) {
  for (const tag of space.tags) {
    const corners = tag.corners.map((corner) => vector(corner));
    scene.add(lineOf(corners, colours.tag, 1.6, true));
  }
  for (const station of space.stations) {
    const eye = vector(station.at);
    const corners = station.corners.map((corner) => vector(corner));
    scene.add(lineOf(corners, colours.station, 1, true));
    for (const corner of corners) scene.add(lineOf([eye, corner], colours.station, 1, false));
  }
  const wheel = vector(space.points[space.wheel.centre].at);
  for (let i = -3; i <= 3; i++) {
    const ground = (x, y) => new THREE.Vector3(wheel.x + 150 * x, wheel.y + 150 * y, 0);
    scene.add(lineOf([ground(-3, i), ground(3, i)], colours.ground, 1, false));
    scene.add(lineOf([ground(i, -3), ground(i, 3)], colours.ground, 1, false));
  }
  scene.add(new THREE.AmbientLight(0xb0b0b0));
  const light = new THREE.DirectionalLight(0xffffff, 0.5);
  light.position.set(1, 0.4, 1.5);
  scene.add(light);
}

// What moves with the wheel; `move` puts it where a state has it.
function addSuspension(scene, space) {
  const points = space.points.map((point) => {
    const group = new THREE.Group();
    if (point.axes) group.add(ellipsoidOf(point.axes));
    group.add(label(point.name, new THREE.Vector3()));
    scene.add(group);
    return group;
  });
  const bars = space.bars.map((bar) => {
    const ends = [new THREE.Vector3(), new THREE.Vector3()];
    const line = lineOf(ends, colours[bar.kind], bar.kind === "knuckle" ? 2 : 4, false);
    scene.add(line);
    return { line, bar };
  });
  const wheel = new THREE.Group();
  wheel.add(circleOf(space.wheel.radius, colours.wheel, 2));
  wheel.add(circleOf(space.wheel.rim_radius, colours.wheel, 1.2));
  scene.add(wheel);
  return function move(index) {
    const state = space.states[index];
    points.forEach((group, i) => group.position.copy(vector(state.points, 3 * i)));
    for (const { line, bar } of bars)
      line.geometry.setFromPoints([vector(state.points, 3 * bar.from), vector(state.points, 3 * bar.to)]);
    wheel.position.copy(vector(state.points, 3 * space.wheel.centre));
    wheel.quaternion.setFromUnitVectors(new THREE.Vector3(0, 0, 1), vector(state.axis));
  };
}

// The eye on a sphere about the middle; azimuth counts from straight ahead towards the wheel's outer side.
class Eye {
  constructor(space) {
    this.outboard = space.side === "left" ? 1 : -1;
    this.target = new THREE.Vector3();
    for (const point of space.points) this.target.add(vector(point.at));
    this.target.divideScalar(space.points.length);
    const furthest = Math.max(...space.points.map((point) => vector(point.at).distanceTo(this.target)));
    this.distance = 4.2 * furthest;
    this.camera = new THREE.PerspectiveCamera(30, 1, 10, 20000);
    this.camera.up.set(0, 0, 1);
    this.look("corner");
  }
  look(name) {
    [this.azimuth, this.elevation] = views[name];
  }
  turn(azimuth, elevation) {
    this.azimuth = (this.azimuth + azimuth) % 360;
    this.elevation = Math.min(89.9, Math.max(-89.9, this.elevation + elevation));
  }
  nearer(factor) {
    this.distance = Math.min(15000, Math.max(200, this.distance / factor));
  }
  place(aspect) {
    const azimuth = (this.azimuth * Math.PI) / 180;
    const elevation = (this.elevation * Math.PI) / 180;
    const flat = Math.cos(elevation);
    const outward = this.outboard * flat * Math.sin(azimuth);
    const direction = new THREE.Vector3(flat * Math.cos(azimuth), outward, Math.sin(elevation));
    this.camera.position.copy(this.target).addScaledVector(direction, this.distance);
    this.camera.aspect = aspect;
    this.camera.updateProjectionMatrix();
    this.camera.lookAt(this.target);
    this.camera.updateMatrixWorld();
  }
}

function handleTurning(box, eye, draw) {
  let last = null;
  box.addEventListener("pointerdown", (event) => {
    last = event;
    box.setPointerCapture(event.pointerId);
  });
  box.addEventListener("pointermove", (event) => {
    if (!last) return;
    eye.turn((last.clientX - event.clientX) * 0.4 * eye.outboard, (event.clientY - last.clientY) * 0.4);
    last = event;
    draw();
  });
  for (const name of ["pointerup", "pointercancel"]) box.addEventListener(name, () => (last = null));
  box.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: [-6, 0], ArrowRight: [6, 0], ArrowUp: [0, 6], ArrowDown: [0, -6] }[event.key];
    const factor = { "+": 1.15, "=": 1.15, "-": 1 / 1.15 }[event.key];
    if (step) eye.turn(step[0] * eye.outboard, step[1]);
    if (factor) eye.nearer(factor);
    if (!step && !factor) return;
    event.preventDefault();
    draw();
  });
  for (const button of document.querySelectorAll("[data-view]"))
    button.addEventListener("click", () => {
      eye.look(button.dataset.view);
      draw();
    });
  // A finger that moves up or down scrolls the page, and a phone has no keys.
  const moves = {
    nearer: () => eye.nearer(1.3),
    further: () => eye.nearer(1 / 1.3),
    higher: () => eye.turn(0, 12),
    lower: () => eye.turn(0, -12),
  };
  for (const button of document.querySelectorAll("[data-move]"))
    button.addEventListener("click", () => {
      moves[button.dataset.move]();
      draw();
    });
}

function startSpace(space) {
  const box = document.getElementById("space");
  if (!box || typeof THREE === "undefined" || space.wheel.centre === undefined) return { move() {} };
  document.getElementById("space-section").hidden = false;
  const scene = new THREE.Scene();
  addSurroundings(scene, space);
  const moveSuspension = addSuspension(scene, space);
  const eye = new Eye(space);
  const renderer = new THREE.SVGRenderer();
  renderer.setQuality("high");
  renderer.setPrecision(1);
  const width = 800;
  const height = 560;
  renderer.setSize(width, height);
  const svg = renderer.domElement;
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  svg.setAttribute("aria-hidden", "true");
  box.append(svg);
  const draw = () => {
    eye.place(width / height);
    renderer.render(scene, eye.camera);
  };
  handleTurning(box, eye, draw);
  return {
    move(state) {
      moveSuspension(state);
      draw();
    },
  };
}
