// Corners, splits and free edges, of constant width on the screen. Each is drawn twice, so that it stands out on any colour:
// wide in the paper's colour, narrow in ink. What of a corner lies behind the panel shows faintly.
import { GreaterDepth } from 'three';
import { Line2 } from 'three/addons/lines/Line2.js';
import { LineGeometry } from 'three/addons/lines/LineGeometry.js';
import { LineMaterial } from 'three/addons/lines/LineMaterial.js';

const WIDTH_PX = { corner: 2.5, picked: 4.5, split: 2, edge: 1.25 };
const HALO_PX = 3;

/** Materials, shared by all lines. */
export class LineKit {
  constructor() {
    const solid = (px, order) => ({ material: new LineMaterial({ linewidth: px, depthWrite: false }), order });
    this.looks = {
      corner: [solid(WIDTH_PX.corner + HALO_PX, 1), solid(WIDTH_PX.corner, 2)],
      picked: [solid(WIDTH_PX.picked + HALO_PX, 3), solid(WIDTH_PX.picked, 4)],
      split: [solid(WIDTH_PX.split + HALO_PX, 1), dashed(WIDTH_PX.split)],
      edge: [solid(WIDTH_PX.edge, 1)],
    };
    this.behind = new LineMaterial({ linewidth: 1.25, depthWrite: false, transparent: true, opacity: 0.45, depthFunc: GreaterDepth });
    this.pickedBehind = new LineMaterial({ linewidth: 2.5, depthWrite: false, transparent: true, opacity: 0.6, depthFunc: GreaterDepth });
  }

  /** Takes the page's colours. */
  paint({ ink, paper, accent }) {
    for (const look of Object.values(this.looks)) {
      look[0].material.color.set(look.length > 1 ? paper : ink);
      look.at(-1).material.color.set(ink);
    }
    this.looks.picked[1].material.color.set(accent);
    this.behind.color.set(ink);
    this.pickedBehind.color.set(accent);
  }

  /** Dashes keep their length on the screen. */
  zoomed(metresPerPixel) {
    const { material } = this.looks.split[1];
    material.dashSize = 9 * metresPerPixel;
    material.gapSize = 5 * metresPerPixel;
  }

  /** The drawn forms of a line. */
  make(line) {
    const geometry = new LineGeometry().setPositions(line.points.flatMap((point) => [point.x, point.y, point.z]));
    const drawn = this.looks[line.kind].map(({ material, order }) => {
      const form = new Line2(geometry, material);
      form.renderOrder = order;
      return form;
    });
    drawn.at(-1).computeLineDistances();
    if (line.kind === 'corner') drawn.push(new Line2(geometry, this.behind));
    for (const form of drawn) form.userData.line = line;
    return drawn;
  }

  /** Shows a corner as picked, or as any other. */
  mark(drawn, picked) {
    const look = picked ? this.looks.picked : this.looks.corner;
    for (const [index, { material, order }] of look.entries()) {
      drawn[index].material = material;
      drawn[index].renderOrder = order;
    }
    drawn[2].material = picked ? this.pickedBehind : this.behind;
  }
}

function dashed(px) {
  return { material: new LineMaterial({ linewidth: px, depthWrite: false, dashed: true }), order: 2 };
}

/** The point half way along a line. */
export function middle(points) {
  return along(points, 0.5);
}

/** The point at a share of a line's length. */
export function along(points, share) {
  const steps = points.slice(1).map((point, index) => point.distanceTo(points[index]));
  let left = share * steps.reduce((sum, step) => sum + step, 0);
  for (const [index, step] of steps.entries()) {
    if (step >= left && step > 0) return points[index].clone().lerp(points[index + 1], left / step);
    left -= step;
  }
  return points.at(-1).clone();
}

/** Length of a line. */
export function length(points) {
  return points.slice(1).reduce((sum, point, index) => sum + point.distanceTo(points[index]), 0);
}
