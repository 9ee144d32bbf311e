// What is shown, and drawing it: when it has changed, never in a loop.
import {
  AmbientLight, Box3, BufferAttribute, DirectionalLight, DoubleSide, Group, Mesh, MeshLambertMaterial, Raycaster, Scene, Triangle, Vector2, Vector3, WebGLRenderer,
} from 'three';
import { Camera, FIRST_LOOK } from './camera.js';
import { Controls } from './controls.js';
import { ScaleBar, grid, gridMaterials } from './floor.js';
import { element, mm, mmUp } from './html.js';
import { Labels } from './labels.js';
import { legend } from './legend.js';
import { LineKit, along, length, middle } from './lines.js';
import { Rows, panelName, smooth } from './rows.js';
import { box, facets } from './scene.js';
import { anchors, coordinates, shading, shadings } from './shading.js';
import { Sight, normalNear } from './sight.js';

// The two lights add up to the map's own colour on a face that is seen square on; less of the first and slopes turn black.
const AMBIENT = 0.62 * Math.PI;
const HEADLIGHT = 0.38 * Math.PI;
/** A pointer that moved less than this was a pick, not a turn. */
const STILL_PX = 5;
const NEAR_PX = { mouse: 7, touch: 16 };
/** The view rests when nothing has changed for so long. */
const REST_MS = 150;
/** Work at rest stops after so long, to look whether the reader has done something. */
const SLICE_MS = 12;

/** Lines that are shown and hidden together. */
const LINE_SETS = { arrow: ['pull', 'holds'], undercuts: ['undercut'], proposals: ['proposal'] };

export class View {
  constructor(room, scene) {
    this.room = room;
    this.panels = scene.panels;
    this.state = { panel: null, make: '', shading: 'radius', picked: null, apart: 0, flanges: true, grid: true, arrow: true, undercuts: true, proposals: true };
    this.stage();
    this.controls = new Controls(this.actions());
    this.rows = new Rows({
      isDrawn: (key) => this.owner(key) !== null,
      pickCorner: (key) => this.pick(key, 'table'),
      pickPanel: (index) => { this.show(index); this.reveal(); },
    });
    this.furnish();
    this.paint();
    this.show(this.panels[0].index);
    this.listen();
    // For whoever tests the page or measures it.
    room.matloftView = this;
  }

  stage() {
    this.canvas = element('canvas', { class: 'view-canvas', tabindex: '0', role: 'application', 'aria-describedby': 'view-status' });
    this.renderer = new WebGLRenderer({ canvas: this.canvas, antialias: true });
    this.world = new Scene();
    this.light = new DirectionalLight(0xffffff, HEADLIGHT);
    this.world.add(new AmbientLight(0xffffff, AMBIENT), this.light, this.light.target);
    this.kit = new LineKit();
    this.gridMaterials = gridMaterials();
    this.faceMaterial = new MeshLambertMaterial({ side: DoubleSide, polygonOffset: true, polygonOffsetFactor: 1.5, polygonOffsetUnits: 4 });
    this.flangeMaterial = new MeshLambertMaterial({ side: DoubleSide, polygonOffset: true, polygonOffsetFactor: 2, polygonOffsetUnits: 6 });
    this.camera = new Camera(this.canvas, () => this.changed());
    this.labels = new Labels((key) => this.pick(key, 'view'));
    this.bar = new ScaleBar();
    this.shown = [];
  }

  furnish() {
    const { head, corners, status, looks, more } = this.controls;
    status.id = 'view-status';
    this.legend = element('div', { class: 'view-legend', role: 'group', 'aria-label': 'Legend' });
    this.frame = element('div', { class: 'view-frame' }, this.canvas, this.labels.element, this.bar.element);
    this.reduction = element('p', { class: 'view-reduction quiet' });
    this.room.append(element('div', { class: 'view-inner', role: 'region', 'aria-label': 'View in three dimensions' },
      head, this.frame, corners, status, this.legend, looks, more, this.reduction));
    this.controls.setOptions('panel', this.panels.map(({ index }) => [index, panelName(index)]), this.panels[0].index);
  }

  actions() {
    return {
      panel: (index) => this.show(index),
      make: (make) => this.show(this.state.panel, make),
      shading: (name) => this.shade(name),
      step: (by) => this.step(by),
      row: () => this.rows.goTo(this.state.picked),
      look: ([x, y, z]) => this.camera.fit(new Vector3(x, y, z)),
      whole: () => this.whole(),
      zoom: (times) => this.camera.zoom(times),
      apart: (share) => this.pull(share),
      flanges: (on) => this.toggle('flanges', on),
      grid: (on) => this.toggle('grid', on),
      ...Object.fromEntries(Object.keys(LINE_SETS).map((set) => [set, (on) => this.toggle(set, on)])),
      orbit: (x, y) => this.camera.orbit(x, y),
      pan: (x, y) => this.camera.pan(x, y),
      read: () => this.read(new Vector2(0, 0)),
    };
  }

  listen() {
    new ResizeObserver(() => this.fitFrame()).observe(this.frame);
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.paint());
    this.camera.controls.addEventListener('start', () => { this.controls.look.value = ''; });
    // A link of the page to a panel's block shows the panel too.
    addEventListener('hashchange', () => this.follow());
    this.canvas.addEventListener('keydown', (event) => this.key(event));
    this.canvas.addEventListener('webglcontextrestored', () => this.changed());
    this.canvas.addEventListener('pointerdown', (event) => {
      this.canvas.focus({ preventScroll: true });
      this.down = { x: event.clientX, y: event.clientY };
    });
    this.canvas.addEventListener('pointerup', (event) => {
      const still = this.down && Math.hypot(event.clientX - this.down.x, event.clientY - this.down.y) < STILL_PX;
      this.down = null;
      if (still && event.button === 0) this.pickAt(event);
    });
    this.fitFrame();
    this.camera.fit(FIRST_LOOK, true);
    this.follow();
  }

  /** Shows the panel that the address of the page points at. */
  follow() {
    const index = Number(location.hash.match(/^#panel-(\d+)$/)?.[1] ?? NaN);
    if (index !== this.state.panel && this.panels.some((panel) => panel.index === index)) this.show(index);
  }

  /** Takes the size that the page gives it. */
  fitFrame() {
    const { clientWidth: width, clientHeight: height } = this.frame;
    if (width === 0 || height === 0) return;
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    this.renderer.setSize(width, height, false);
    this.camera.resize(width, height);
    this.draw();
  }

  /** Takes the page's colours. */
  paint() {
    const style = getComputedStyle(this.room);
    const of = (name) => style.getPropertyValue(name).trim();
    this.renderer.setClearColor(of('--view-ground'));
    this.kit.paint({ ink: of('--view-ink'), paper: of('--view-paper'), accent: of('--view-accent'), warn: of('--view-warn') });
    this.flangeMaterial.color.set(of('--view-flange'));
    this.gridMaterials.fine.color.set(of('--view-grid'));
    this.gridMaterials.strong.color.set(of('--view-grid-strong'));
    this.changed();
  }

  // --- What is shown ---

  /** The piece that a corner belongs to. */
  owner(key) {
    if (!this.index) {
      this.index = new Map();
      for (const panel of this.panels) {
        for (const piece of [...panel.makes.values()].flat()) {
          for (const line of piece.lines) if (line.kind === 'corner' && !this.index.has(line.key)) this.index.set(line.key, { panel, piece });
        }
      }
    }
    return this.index.get(key) ?? null;
  }

  /** Shows a build of a panel. */
  show(index, make = this.state.make) {
    const panel = this.panels.find((other) => other.index === index) ?? this.panels[0];
    const makes = [...panel.makes.keys()];
    const sameBox = panel.index === this.state.panel;
    this.state.panel = panel.index;
    this.state.make = makes.includes(make) ? make : makes[0];
    this.state.picked = null;
    this.pieces = panel.makes.get(this.state.make);
    this.box = box(this.pieces);
    this.around = withFlanges(this.box, this.pieces);
    this.kinds = new Set(this.pieces.flatMap((piece) => piece.lines.map((line) => line.kind)));
    this.camera.adopt(withArrows(this.around, this.pieces));
    this.controls.panel.value = panel.index;
    this.controls.setBuilds(makes, this.state.make);
    const offered = shadings(this.pieces);
    if (!offered.some(([name]) => name === this.state.shading)) this.state.shading = offered[0][0];
    this.controls.setOptions('shading', offered, this.state.shading);
    this.build();
    this.rows.mark(null);
    if (!sameBox) {
      this.controls.look.value = '';
      this.camera.fit(FIRST_LOOK, true);
    }
    const name = [panelName(panel.index), this.state.make].filter(Boolean).join(', ');
    const n = this.corners().length;
    this.canvas.setAttribute('aria-label', `${name}, in three dimensions. Arrow keys turn it, N goes to the next corner.`);
    this.say(`${name}: ${n === 0 ? 'no corner' : n === 1 ? '1 corner' : `${n} corners`} to look at.`);
  }

  /** Puts the pieces of the build into the world. */
  build() {
    for (const { group } of this.shown) {
      this.world.remove(group);
      group.traverse((node) => node.geometry && node.material !== this.faceMaterial && node.geometry.dispose());
    }
    for (const line of this.floor?.drawn ?? []) this.world.remove(line);
    const middleOfAll = this.box.getCenter(new Vector3());
    this.shown = this.pieces.map((piece) => this.place(piece, middleOfAll));
    this.floor = grid(this.around, this.gridMaterials, this.pieces[0].at);
    this.world.add(...this.floor.drawn);
    this.controls.gridWords.textContent = `Floor grid, ${mm(this.floor.step)} mm`;
    this.controls.apartLabel.hidden = this.pieces.length < 2;
    this.controls.flanges.parentElement.hidden = this.pieces.every((piece) => piece.flanges.length === 0);
    for (const [set, kinds] of Object.entries(LINE_SETS)) this.controls[set].parentElement.hidden = !kinds.some((kind) => this.kinds.has(kind));
    const none = this.corners().length === 0;
    this.controls.corners.hidden = none;
    this.tellReduction();
    this.pull(this.state.apart);
    this.switched();
    this.shade(this.state.shading);
  }

  place(piece, middleOfAll) {
    const group = new Group();
    const mesh = new Mesh(piece.face, this.faceMaterial);
    const flanges = piece.flanges.map((flange) => new Mesh(flange, this.flangeMaterial));
    const lines = piece.lines.map((line) => ({ line, drawn: this.kit.make(line) }));
    group.add(mesh, ...flanges, ...lines.flatMap(({ drawn }) => drawn));
    this.world.add(group);
    const away = new Box3().copy(piece.face.boundingBox).getCenter(new Vector3()).sub(middleOfAll);
    return { piece, group, mesh, flanges, lines, away };
  }

  tellReduction() {
    const reduced = this.pieces.filter((piece) => piece.reduction);
    const worst = Math.max(0, ...reduced.map((piece) => piece.reduction.error_mm));
    const [before, after] = ['n_before', 'n_after'].map((key) => reduced.reduce((sum, piece) => sum + piece.reduction[key], 0));
    const n = this.pieces.reduce((sum, piece) => sum + facets(piece.face), 0);
    this.reduction.textContent = reduced.length === 0
      ? `${n} facets, none left out.`
      : `Drawn with ${after} of ${before} facets, ${mmUp(worst)} mm beside the full mesh at the points measured. Values and tables come from the full mesh.`;
  }

  /** Colours the faces by a quantity. */
  shade(name) {
    this.state.shading = name;
    this.shading?.texture.dispose();
    this.shading = shading(name, this.pieces);
    for (const { piece, mesh } of this.shown) mesh.geometry.setAttribute('uv', new BufferAttribute(coordinates(this.shading, piece), 2));
    this.faceMaterial.map = this.shading.texture;
    this.faceMaterial.needsUpdate = true;
    this.legend.replaceChildren(...legend(this.shading, this.kinds));
    this.setLabels();
    this.changed();
  }

  /** Moves the pieces apart, by a share of what lies between their middles. */
  pull(share) {
    this.state.apart = share;
    for (const { group, away } of this.shown) group.position.copy(away).multiplyScalar(share);
    this.world.updateMatrixWorld(true);
    this.setLabels();
    this.changed();
  }

  toggle(what, on) {
    this.state[what] = on;
    this.switched();
    if (LINE_SETS[what]) this.setLabels();
    this.changed();
  }

  /** Shows what is switched on, and hides the rest. */
  switched() {
    for (const { flanges } of this.shown) for (const flange of flanges) flange.visible = this.state.flanges;
    for (const line of this.floor.drawn) line.visible = this.state.grid;
    for (const { lines } of this.shown) for (const { line, drawn } of lines) for (const form of drawn) form.visible = this.isShown(line);
  }

  /** Whether a line's kind is not switched off. */
  isShown(line) {
    return Object.entries(LINE_SETS).every(([set, kinds]) => this.state[set] || !kinds.includes(line.kind));
  }

  setLabels() {
    if (!this.shading) return;
    const labels = [];
    for (const { piece, lines, group } of this.shown) {
      const put = (point) => point.clone().add(group.position);
      const named = new Set();
      for (const { line } of lines) {
        if (line.kind === 'edge' || line.kind === 'undercut' || !this.isShown(line)) continue;
        // A proposal that cuts in several runs is named once.
        if (line.kind === 'proposal' && named.has(line.name)) continue;
        named.add(line.name);
        const key = line.kind === 'corner' ? line.key : undefined;
        labels.push({ text: line.name, kind: line.kind, key, places: labelPlaces(line).map(put), offset: line.kind !== 'pull' });
      }
      if (this.shading.steps) labels.push(...this.stepLabels(piece, put));
      if (this.pieces.length > 1) labels.push({ text: `piece ${piece.name}`, kind: 'piece', places: [put(highest(piece.face))], offset: true });
    }
    this.labels.set(labels);
    this.labels.mark(this.state.picked);
  }

  stepLabels(piece, put) {
    const position = piece.face.getAttribute('position');
    return anchors(this.shading, piece).map(({ step, facet }) => {
      const point = new Triangle().setFromAttributeAndIndices(position, ...facet).getMidpoint(new Vector3());
      return { text: this.shading.steps[step].label, kind: 'step', places: [put(point)] };
    });
  }

  // --- Corners ---

  /** The corners of the build, in the order of the tables. */
  corners() {
    return this.pieces.flatMap((piece) => piece.lines.filter((line) => line.kind === 'corner'));
  }

  step(by) {
    const corners = this.corners();
    if (corners.length === 0) return;
    const now = corners.findIndex((line) => line.key === this.state.picked);
    const next = now < 0 ? (by > 0 ? 0 : corners.length - 1) : (now + by + corners.length) % corners.length;
    this.pick(corners[next].key, 'step');
  }

  /** Picks a corner: from its row in a table, in the view, or by stepping on. */
  pick(key, from) {
    const owner = key ? this.owner(key) : null;
    if (owner && (owner.panel.index !== this.state.panel || owner.piece.make !== this.state.make)) this.show(owner.panel.index, owner.piece.make);
    this.state.picked = owner ? key : null;
    this.rows.mark(this.state.picked);
    for (const { lines } of this.shown) for (const { line, drawn } of lines) if (line.kind === 'corner') this.kit.mark(drawn, line.key === key);
    this.labels.mark(this.state.picked);
    this.controls.row.hidden = !owner || !this.rows.has(key);
    if (!owner) return this.say('No corner is picked.');
    this.tell(key, owner.piece);
    if (from === 'view') this.rows.goTo(key);
    else this.turnTo(key);
    if (from === 'table') this.reveal();
    this.changed();
  }

  tell(key, piece) {
    const id = key.split('/').at(-1);
    const of = piece.make ? ` of ${piece.make} ${piece.name}` : '';
    const words = this.rows.sentence(key);
    this.say(`Corner ${id}${of}. ${words}${words ? '.' : ''}`);
  }

  say(text) {
    this.controls.status.textContent = text;
  }

  /** Turns to a corner, from where it is laminated if it is seen from there. */
  turnTo(key) {
    const shown = this.shown.find(({ lines }) => lines.some(({ line }) => line.key === key));
    const { line } = shown.lines.find(({ line: other }) => other.key === key);
    const points = line.points.map((point) => point.clone().add(shown.group.position));
    const target = middle(points);
    const normal = normalNear(shown.piece.face, middle(line.points));
    // A mould is laid over the outside of the plug; a moulding from within the mould.
    if (shown.piece.make === 'moulding') normal.negate();
    const direction = this.sight().best(points, normal);
    const whole = this.camera.reach;
    const half_height = Math.min(1.1 * whole, Math.max(0.22 * whole, 0.6 * length(line.points)));
    this.controls.look.value = '';
    this.camera.turnTo({ target, direction, half_height });
  }

  sight() {
    const meshes = this.shown.flatMap(({ mesh, flanges }) => [mesh, ...flanges.filter((flange) => flange.visible)]);
    return new Sight(meshes, this.camera.reach);
  }

  /** Brings the view into sight, and the focus with it, where the page shows it elsewhere. */
  reveal() {
    const { top, bottom } = this.frame.getBoundingClientRect();
    if (top >= 0 && bottom <= innerHeight) return;
    this.frame.scrollIntoView({ block: 'center', behavior: smooth() });
    this.canvas.focus({ preventScroll: true });
  }

  // --- Pointer and keys ---

  pickAt(event) {
    const bounds = this.canvas.getBoundingClientRect();
    const at = new Vector2(((event.clientX - bounds.left) / bounds.width) * 2 - 1, 1 - ((event.clientY - bounds.top) / bounds.height) * 2);
    const line = this.lineAt(at, NEAR_PX[event.pointerType] ?? NEAR_PX.mouse);
    if (line) this.pick(line.key, 'view');
    else this.read(at);
  }

  rayTo(at) {
    const ray = new Raycaster();
    ray.setFromCamera(at, this.camera.camera);
    return ray;
  }

  /** The corner under a place of the view, if it is not behind the face. */
  lineAt(at, near) {
    const ray = this.rayTo(at);
    ray.camera = this.camera.camera;
    ray.params.Line2 = { threshold: 2 * near };
    const inks = this.shown.flatMap(({ lines }) => lines.filter(({ line }) => line.kind === 'corner').map(({ drawn }) => drawn[1]));
    const face = this.faceAt(ray);
    const behind = (face?.distance ?? Infinity) + 0.05 * this.camera.reach;
    const hit = ray.intersectObjects(inks, false).find(({ distance }) => distance <= behind);
    return hit?.object.userData.line ?? null;
  }

  faceAt(ray) {
    return ray.intersectObjects(this.shown.map(({ mesh }) => mesh), false)[0] ?? null;
  }

  /** Reads the values at a place of the view. */
  read(at) {
    const hit = this.faceAt(this.rayTo(at));
    if (!hit) return this.say('There is no panel at that place.');
    const { piece } = this.shown.find(({ mesh }) => mesh === hit.object);
    const position = piece.face.getAttribute('position');
    const local = hit.point.clone().sub(hit.object.parent.position);
    const nearest = [hit.face.a, hit.face.b, hit.face.c].sort((a, b) => distance(position, a, local) - distance(position, b, local))[0];
    const words = shadings(this.pieces).map(([name]) => {
      const one = shading(name, this.pieces);
      one.texture.dispose();
      const values = piece.face.getAttribute(one.attribute);
      return values ? one.read(values.getX(nearest), piece) : '';
    });
    const there = local.clone().add(piece.at);
    const place = [there.x, -there.z, there.y].map((metres) => Math.round(1000 * metres) + 0).join(', ');
    this.say(`At x, y, z ${place} mm${piece.make ? `, piece ${piece.name}` : ''}: ${words.filter(Boolean).join('; ')}.`);
  }

  key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const { key } = event;
    if (arrows[key]) {
      const [x, y] = arrows[key];
      if (event.shiftKey) this.camera.pan(0.08 * x, 0.08 * y);
      else this.camera.orbit(10 * x, 10 * y);
      this.controls.look.value = '';
    } else if (key === '+' || key === '=') this.camera.zoom(1.25);
    else if (key === '-' || key === '_') this.camera.zoom(0.8);
    else if (key === 'Home') this.whole();
    else if (key === 'n' || key === 'N') this.step(1);
    else if (key === 'p' || key === 'P') this.step(-1);
    else if (key === 'Enter' && this.state.picked) this.rows.goTo(this.state.picked);
    else if (key === 'Escape') this.pick(null, 'key');
    else return;
    event.preventDefault();
  }

  whole() {
    this.controls.look.value = '';
    this.camera.fit(FIRST_LOOK);
  }

  // --- Drawing ---

  /** Something is not as it was: draws before the next frame, once. */
  changed() {
    if (!this.pending) this.pending = requestAnimationFrame(() => this.draw());
  }

  draw() {
    if (this.pending) cancelAnimationFrame(this.pending);
    this.pending = 0;
    if (!this.shading) return;
    this.render();
    this.bar.set(this.camera.metresPerPixel);
    this.labels.place((point) => this.camera.project(point), this.camera.size);
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.rest(), REST_MS);
  }

  render() {
    const { camera } = this.camera;
    this.light.position.copy(camera.position);
    this.light.target.position.copy(this.camera.controls.target);
    this.kit.zoomed(this.camera.metresPerPixel);
    this.renderer.render(this.world, camera);
  }

  /** What is too slow for every frame, a slice at a time: which labels are behind the panel. */
  rest() {
    const sight = this.sight();
    const direction = this.camera.camera.position.clone().sub(this.camera.controls.target).normalize();
    const left = [...this.labels.labels];
    const slice = () => {
      const until = performance.now() + SLICE_MS;
      while (left.length > 0 && performance.now() < until) this.labels.look(left.shift(), (point) => sight.isFree(point, direction));
      this.labels.place((point) => this.camera.project(point), this.camera.size);
      if (left.length > 0) this.resting = setTimeout(slice, 0);
    };
    slice();
  }

  /** Times of whole frames in ms, each waited for; for measuring. */
  frameTimes(n) {
    const context = this.renderer.getContext();
    return Array.from({ length: n }, () => {
      this.camera.orbit(3, 0);
      const begin = performance.now();
      this.render();
      context.readPixels(0, 0, 1, 1, context.RGBA, context.UNSIGNED_BYTE, new Uint8Array(4));
      return performance.now() - begin;
    });
  }
}

/** Where a line's label may stand: along the line, past the tip of an arrow. */
function labelPlaces({ kind, points }) {
  if (kind === 'pull') return [points[0].clone().lerp(points[1], 1.2)];
  return (kind === 'holds' ? [1] : [0.5, 0.2, 0.8, 0.35, 0.65, 0.05, 0.95]).map((share) => along(points, share));
}

function withFlanges(box, pieces) {
  const around = box.clone();
  for (const flange of pieces.flatMap((piece) => piece.flanges)) {
    flange.computeBoundingBox();
    around.union(flange.boundingBox);
  }
  return around;
}

function withArrows(box, pieces) {
  const around = box.clone();
  for (const line of pieces.flatMap((piece) => piece.lines)) if (line.kind === 'pull') line.points.forEach((point) => around.expandByPoint(point));
  return around;
}

function distance(position, index, point) {
  return new Vector3().fromBufferAttribute(position, index).distanceToSquared(point);
}

function highest(geometry) {
  const position = geometry.getAttribute('position');
  let best = 0;
  for (let index = 1; index < position.count; index++) if (position.getY(index) > position.getY(best)) best = index;
  return new Vector3().fromBufferAttribute(position, best);
}
