// Reads the scene that the page carries, and arranges it by panel, build and piece. Lengths are metres, y is up, as in the file.
// Each panel stays about its own middle: put where it is, its points would lose places far from the origin.
import { BufferGeometry, Matrix4, Vector3 } from 'three';
import { GLTFLoader } from 'three/addons/loaders/GLTFLoader.js';

/** What lines are drawn of. */
const LINES = new Set(['corner', 'split', 'edge', 'pull', 'undercut', 'holds', 'proposal']);

/** The panels of a GLB, packed (zlib) and written in base64. */
export async function readScene(base64) {
  const gltf = await new GLTFLoader().parseAsync(await unpacked(base64), '');
  gltf.scene.updateMatrixWorld(true);
  const pieces = new Map();
  gltf.scene.traverse((node) => take(node, pieces));
  return arrange([...pieces.values()].filter((piece) => piece.face));
}

async function unpacked(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let at = 0; at < text.length; at++) bytes[at] = text.charCodeAt(at);
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate'))).arrayBuffer();
}

function take(node, pieces) {
  const { what, panel, make, piece, name } = node.userData;
  if (!node.geometry || panel === undefined) return;
  const key = `${panel}/${make ?? ''}/${piece ?? ''}`;
  if (!pieces.has(key)) {
    pieces.set(key, { key, panel, at: middleOf(node), make: make ?? '', name: piece ?? '', face: null, flanges: [], lines: [] });
  }
  const into = pieces.get(key);
  const { x, y, z } = into.at;
  const turn = new Matrix4().makeTranslation(-x, -y, -z).multiply(node.matrixWorld);
  const geometry = node.geometry.clone().applyMatrix4(turn);
  if (what === 'face') {
    into.face = geometry;
    into.zones = node.userData.zones ?? [];
    into.zonePlies = node.userData.zone_plies ?? [];
    into.pull = node.userData.pull ?? null;
    into.limits = node.userData.limits ?? [];
    into.reduction = node.userData.reduction ?? null;
  } else if (what === 'flange') {
    if (!geometry.getAttribute('normal')) geometry.computeVertexNormals();
    into.flanges.push(geometry);
  } else if (LINES.has(what)) {
    into.lines.push({ kind: what, name: String(name ?? ''), key: `${key}/${name}`, points: pointsOf(geometry) });
  }
}

/** Where the middle of a node's panel is. */
function middleOf(node) {
  let panel = node;
  while (panel.parent && panel.userData.what !== 'panel') panel = panel.parent;
  return new Vector3().setFromMatrixPosition(panel.matrixWorld);
}

function pointsOf(geometry) {
  const position = geometry.getAttribute('position');
  return Array.from({ length: position.count }, (_, index) => new Vector3().fromBufferAttribute(position, index));
}

function arrange(pieces) {
  const panels = new Map();
  for (const piece of pieces) {
    if (!panels.has(piece.panel)) panels.set(piece.panel, { index: piece.panel, makes: new Map() });
    const { makes } = panels.get(piece.panel);
    if (!makes.has(piece.make)) makes.set(piece.make, []);
    makes.get(piece.make).push(piece);
  }
  return { panels: [...panels.values()].sort((a, b) => a.index - b.index) };
}

/** Number of facets. */
export function facets(geometry) {
  return (geometry.index ? geometry.index.count : geometry.getAttribute('position').count) / 3;
}

/** Calls with the three corner numbers of every facet. */
export function eachFacet(geometry, call) {
  const { index } = geometry;
  for (let at = 0, end = 3 * facets(geometry); at < end; at += 3) {
    if (index) call(index.getX(at), index.getX(at + 1), index.getX(at + 2));
    else call(at, at + 1, at + 2);
  }
}

/** The box round pieces, as a geometry's bounding box. */
export function box(pieces) {
  const all = new BufferGeometry().setFromPoints(pieces.flatMap((piece) => {
    piece.face.computeBoundingBox();
    return [piece.face.boundingBox.min, piece.face.boundingBox.max];
  }));
  all.computeBoundingBox();
  return all.boundingBox;
}
