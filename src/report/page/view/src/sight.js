// From where a place on a panel can be seen.
import { Raycaster, Triangle, Vector3 } from 'three';
import { eachFacet } from './scene.js';
import { along } from './lines.js';

const TILTS_DEG = [0, 25, 50, 70];

/** The normal of the face near a point: of all facets that come about as near as the nearest. */
export function normalNear(geometry, point) {
  const position = geometry.getAttribute('position');
  const [corners, foot] = [new Triangle(), new Vector3()];
  const near = [];
  let nearest = Infinity;
  eachFacet(geometry, (a, b, c) => {
    corners.setFromAttributeAndIndices(position, a, b, c);
    const distance = corners.closestPointToPoint(point, foot).distanceTo(point);
    if (distance > nearest + SLACK_M) return;
    nearest = Math.min(nearest, distance);
    near.push({ distance, normal: corners.getNormal(new Vector3()) });
  });
  // Facets of both faces beside a corner count alike, however many there are of each.
  const sum = new Vector3();
  for (const facet of near) if (facet.distance <= nearest + SLACK_M) sum.add(facet.normal);
  return sum.lengthSq() > 1e-12 ? sum.normalize() : new Vector3(0, 1, 0);
}

const SLACK_M = 0.001;

/** What stands between points and a reader far away in a direction. */
export class Sight {
  constructor(meshes, reach) {
    this.meshes = meshes;
    this.lift = Math.max(2e-3 * reach, 1e-4);
    this.ray = new Raycaster();
  }

  isFree(point, direction) {
    this.ray.set(point.clone().addScaledVector(direction, this.lift), direction);
    return this.ray.intersectObjects(this.meshes, false).length === 0;
  }

  /** The direction from which most of a line is seen, its middle above all; as near to `first` as may be. */
  best(points, first) {
    const samples = [0.5, 0.5, 0.35, 0.65, 0.15, 0.85].map((share) => along(points, share));
    let best = { score: -Infinity, direction: first };
    for (const direction of looks(first)) {
      const seen = samples.filter((point) => this.isFree(point, direction)).length;
      const score = seen - 0.3 * first.angleTo(direction);
      if (score > best.score) best = { score, direction };
      if (seen === samples.length) break;
    }
    return best.direction;
  }
}

function* looks(first) {
  const across = Math.abs(first.y) < 0.9 ? new Vector3(0, 1, 0) : new Vector3(1, 0, 0);
  const u = first.clone().cross(across).normalize();
  const v = first.clone().cross(u);
  for (const side of [1, -1]) {
    for (const tilt of TILTS_DEG) {
      const angle = (tilt * Math.PI) / 180;
      for (const axis of tilt === 0 ? [u] : [u, u.clone().negate(), v, v.clone().negate()]) {
        yield first.clone().multiplyScalar(side * Math.cos(angle)).addScaledVector(axis, Math.sin(angle));
      }
    }
  }
}
