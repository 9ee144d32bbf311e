// The grid on the floor and the scale bar: sizes to be felt.
import { BufferGeometry, LineBasicMaterial, LineSegments, Vector3 } from 'three';
import { element, mm } from './html.js';
import { tidyStep } from './shading.js';

const STEP_MM = 100;
// A grid of more lines than this is grey paper; then it gets wider, and says so.
const MOST_LINES = 120;

/** A square grid under a box, on whole steps of the CAD's own coordinates; `at` is where the middle of the panel is in them. */
export function grid(box, materials, at) {
  const size = box.getSize(new Vector3());
  const longest = 1000 * Math.max(size.x, size.z);
  let step = STEP_MM;
  while (longest / step > MOST_LINES) step *= 10;
  const metres = step / 1000;
  const line = (value, middle, round) => round((value + middle) / metres) * metres - middle;
  const [x0, x1] = [line(box.min.x, at.x, Math.floor) - metres, line(box.max.x, at.x, Math.ceil) + metres];
  const [z0, z1] = [line(box.min.z, at.z, Math.floor) - metres, line(box.max.z, at.z, Math.ceil) + metres];
  // A little under the panel, which may stand on the floor with a whole face.
  const y = box.min.y - 0.002 * Math.max(size.x, size.y, size.z, 0.01);
  const [fine, strong] = [[], []];
  const rule = (value, from, to) => {
    const tenth = Math.round(value / metres) % 10 === 0;
    (tenth ? strong : fine).push(from, to);
  };
  for (let x = x0; x < x1 + metres / 2; x += metres) rule(x + at.x, new Vector3(x, y, z0), new Vector3(x, y, z1));
  for (let z = z0; z < z1 + metres / 2; z += metres) rule(z + at.z, new Vector3(x0, y, z), new Vector3(x1, y, z));
  const drawn = [[fine, materials.fine], [strong, materials.strong]].map(
    ([points, material]) => new LineSegments(new BufferGeometry().setFromPoints(points), material),
  );
  return { drawn, step };
}

/** What the grid is drawn with. */
export function gridMaterials() {
  return { fine: new LineBasicMaterial({ depthWrite: false }), strong: new LineBasicMaterial({ depthWrite: false }) };
}

/** A bar of a tidy length that follows the zoom. */
export class ScaleBar {
  constructor() {
    this.bar = element('div', { class: 'view-bar' });
    this.words = element('span', {});
    this.element = element('div', { class: 'view-scale' }, this.bar, this.words);
  }

  /** Sets it for so many metres to a pixel, the same everywhere in a parallel view. */
  set(metresPerPixel) {
    const length = tidyStep(60 * metresPerPixel * 1000);
    const width = length / 1000 / metresPerPixel;
    this.bar.style.width = `${width.toFixed(1)}px`;
    this.words.textContent = length >= 10000 ? `${mm(length / 1000)} m` : `${mm(length)} mm`;
  }
}
