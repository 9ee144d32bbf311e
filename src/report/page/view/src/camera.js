// A parallel view, so that one scale holds everywhere in it. Turned by mouse, touch and keys, and by asking for a place.
import { MathUtils, OrthographicCamera, Spherical, Vector3 } from 'three';
import { OrbitControls } from 'three/addons/controls/OrbitControls.js';

const TURN_MS = 350;
const MARGIN = 1.12;

/** Where a panel is looked at from at first: a little from above, between two sides. */
export const FIRST_LOOK = new Vector3(0.75, 0.62, 1).normalize();

export class Camera {
  constructor(canvas, changed) {
    this.camera = new OrthographicCamera(-1, 1, 1, -1, 0, 10);
    this.camera.position.copy(FIRST_LOOK);
    this.canvas = canvas;
    this.changed = changed;
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener('change', changed);
    this.controls.addEventListener('start', () => this.halt());
    this.size = { width: 1, height: 1 };
    this.moving = null;
    // The wheel scrolls the page until the view has been asked for, by a click, a tap or the Tab key.
    canvas.addEventListener('wheel', (event) => {
      this.controls.enableZoom = document.activeElement === canvas || event.ctrlKey;
    }, { capture: true, passive: true });
    canvas.addEventListener('pointerdown', () => { this.controls.enableZoom = true; }, { capture: true });
  }

  resize(width, height) {
    this.size = { width, height };
    const aspect = width / height;
    Object.assign(this.camera, { left: -aspect, right: aspect });
    this.camera.updateProjectionMatrix();
  }

  /** Takes a box as the panel that is looked at. */
  adopt(box) {
    this.box = box.clone();
    const radius = Math.max(1e-4, box.getSize(new Vector3()).length() / 2);
    this.reach = radius;
    Object.assign(this.camera, { near: 0.01 * radius, far: 20 * radius });
    Object.assign(this.controls, { minZoom: 0.1 / radius, maxZoom: 2000 / radius });
    this.camera.updateProjectionMatrix();
  }

  /** Metres on the panel to one pixel on the screen. */
  get metresPerPixel() {
    return 2 / this.camera.zoom / this.size.height;
  }

  /** The whole panel from a direction. */
  fit(direction, at_once = false) {
    const middle = this.box.getCenter(new Vector3());
    const look = steady(direction);
    const right = new Vector3(0, 1, 0).cross(look).normalize();
    const up = look.clone().cross(right);
    const half = this.box.getSize(new Vector3()).multiplyScalar(0.5);
    const reach = (axis) => Math.abs(axis.x) * half.x + Math.abs(axis.y) * half.y + Math.abs(axis.z) * half.z;
    const aspect = this.size.width / this.size.height;
    const half_height = Math.max(reach(up), reach(right) / aspect, 1e-5) * MARGIN;
    this.turnTo({ target: middle, direction: look, half_height }, at_once);
  }

  /** Turns to a place: it comes to lie in the middle, seen from a direction. */
  turnTo({ target, direction, half_height }, at_once = false) {
    this.halt();
    const from = { target: this.controls.target.clone(), look: this.look(), zoom: this.camera.zoom };
    const to = { target, look: new Spherical().setFromVector3(steady(direction)), zoom: 1 / half_height };
    if (at_once || matchMedia('(prefers-reduced-motion: reduce)').matches) return this.put(to);
    // The short way round.
    from.look.theta = to.look.theta + MathUtils.euclideanModulo(from.look.theta - to.look.theta + Math.PI, 2 * Math.PI) - Math.PI;
    const begin = performance.now();
    const step = (now) => {
      const share = Math.min(1, Math.max(0, (now - begin) / TURN_MS));
      this.put(between(from, to, share * share * (3 - 2 * share)));
      this.moving = share < 1 ? requestAnimationFrame(step) : null;
    };
    this.moving = requestAnimationFrame(step);
  }

  halt() {
    if (this.moving !== null) cancelAnimationFrame(this.moving);
    this.moving = null;
  }

  look() {
    return new Spherical().setFromVector3(this.camera.position.clone().sub(this.controls.target).normalize());
  }

  put({ target, look, zoom }) {
    this.controls.target.copy(target);
    const offset = new Vector3().setFromSpherical(look).multiplyScalar(6 * this.reach);
    this.camera.position.copy(target).add(offset);
    this.camera.zoom = Math.min(this.controls.maxZoom, Math.max(this.controls.minZoom, zoom));
    this.camera.updateProjectionMatrix();
    this.controls.update();
    // What is asked of the camera before the next frame is to hold already.
    this.camera.updateMatrixWorld();
    this.changed();
  }

  now() {
    return { target: this.controls.target.clone(), look: this.look(), zoom: this.camera.zoom };
  }

  /** Goes round the panel by degrees. */
  orbit(round_deg, over_deg) {
    this.halt();
    const now = this.now();
    now.look.theta -= MathUtils.degToRad(round_deg);
    now.look.phi = Math.min(Math.PI - 1e-3, Math.max(1e-3, now.look.phi - MathUtils.degToRad(over_deg)));
    this.put(now);
  }

  /** Moves the panel by shares of the view's height. */
  pan(right, up) {
    this.halt();
    const now = this.now();
    const height = 2 / this.camera.zoom;
    const axis = (index) => new Vector3().setFromMatrixColumn(this.camera.matrix, index);
    now.target.addScaledVector(axis(0), -right * height).addScaledVector(axis(1), -up * height);
    this.put(now);
  }

  zoom(times) {
    this.halt();
    const now = this.now();
    now.zoom *= times;
    this.put(now);
  }

  /** Where a point is in the view, in pixels from its upper left corner; `depth` grows away from the reader. */
  project(point) {
    const at = point.clone().project(this.camera);
    return { x: ((at.x + 1) / 2) * this.size.width, y: ((1 - at.y) / 2) * this.size.height, depth: at.z };
  }
}

/** A direction that is not straight up or down, where round is undefined. */
function steady(direction) {
  const look = direction.clone().normalize();
  if (Math.hypot(look.x, look.z) < 1e-3) look.z += 1e-3;
  return look.normalize();
}

function between(from, to, share) {
  return {
    target: from.target.clone().lerp(to.target, share),
    look: new Spherical(1, MathUtils.lerp(from.look.phi, to.look.phi, share), MathUtils.lerp(from.look.theta, to.look.theta, share)),
    zoom: from.zoom * (to.zoom / from.zoom) ** share,
  };
}
