// Corners, splits, free edges and what shows of a pull, of constant width on the screen. Each is drawn twice, so that it stands out on any colour:
// wide in the paper's colour, narrow in ink. What of a corner, of an undercut or of a proposed split
// lies behind the panel shows faintly.
import { GreaterDepth } from 'three';
import { Line2 } from 'three/addons/lines/Line2.js';
import { LineGeometry } from 'three/addons/lines/LineGeometry.js';
import { LineMaterial } from 'three/addons/lines/LineMaterial.js';

const WIDTH_PX = { corner: 2.5, picked: 4.5, split: 2, edge: 1.25, pull: 3.5, undercut: 3, holds: 3, proposal: 3 };
const HALO_PX = 3;
// Dash and gap.
const DASHES_PX = { split: [9, 5], undercut: [4, 3], proposal: [14, 4] };
/** The colour of each look; ink where none is said. */
const COLOURS = { picked: 'accent', undercut: 'warn', holds: 'warn', proposal: 'accent' };
/** What is seen through the panel. */
const SHOWN_BEHIND = new Set(['corner', 'undercut', 'holds', 'proposal']);

/** Materials, shared by all lines. */
export class LineKit {
  constructor() {
    const solid = (px, order) => ({ material: new LineMaterial({ linewidth: px, depthWrite: false }), order });
    this.looks = {
      corner: [solid(WIDTH_PX.corner + HALO_PX, 1), solid(WIDTH_PX.corner, 2)],
      picked: [solid(WIDTH_PX.picked + HALO_PX, 3), solid(WIDTH_PX.picked, 4)],
      split: [solid(WIDTH_PX.split + HALO_PX, 1), dashed(WIDTH_PX.split)],
      edge: [solid(WIDTH_PX.edge, 1)],
      pull: [solid(WIDTH_PX.pull + HALO_PX, 1), solid(WIDTH_PX.pull, 2)],
      undercut: [solid(WIDTH_PX.undercut + HALO_PX, 1), dashed(WIDTH_PX.undercut)],
      holds: [solid(WIDTH_PX.holds + HALO_PX, 1), solid(WIDTH_PX.holds, 2)],
      proposal: [solid(WIDTH_PX.proposal + HALO_PX, 1), dashed(WIDTH_PX.proposal)],
    };
    const faint = (px, opacity) => new LineMaterial({ linewidth: px, depthWrite: false, transparent: true, opacity, depthFunc: GreaterDepth });
    this.behind = { corner: faint(1.25, 0.45), picked: faint(2.5, 0.6), undercut: faint(2, 0.6), holds: faint(2, 0.6), proposal: faint(2, 0.6) };
  }

  /** Takes the page's colours. */
  paint(colours) {
    const of = (kind) => colours[COLOURS[kind] ?? 'ink'];
    for (const [kind, look] of Object.entries(this.looks)) {
      look[0].material.color.set(colours.paper);
      look.at(-1).material.color.set(of(kind));
    }
    for (const [kind, material] of Object.entries(this.behind)) material.color.set(of(kind));
  }

  /** Dashes keep their length on the screen. */
  zoomed(metresPerPixel) {
    for (const [kind, [dash, gap]] of Object.entries(DASHES_PX)) {
      const { material } = this.looks[kind][1];
      material.dashSize = dash * metresPerPixel;
      material.gapSize = gap * metresPerPixel;
    }
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
    if (SHOWN_BEHIND.has(line.kind)) drawn.push(new Line2(geometry, this.behind[line.kind]));
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
    drawn[2].material = this.behind[picked ? 'picked' : 'corner'];
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
