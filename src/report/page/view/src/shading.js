// From values on the face to colours. A shading says which colour stands where (`lut`), and what the legend shows of it.
import { DataTexture, LinearFilter, NearestFilter, SRGBColorSpace } from 'three';
import { cividis, css, diverging } from './colours.js';
import { eachFacet } from './scene.js';
import { mm } from './html.js';

// Radii are shown between these, whatever the panel, so that panels can be compared. Under 1 mm a corner is as good as
// sharp; past a metre mat lies as on a flat.
const TIGHTEST_MM = 1;
const WIDEST_MM = 1000;
const TICKS_MM = [1, 3, 10, 30, 100, 300, 1000];

// Drafts are shown between these, whatever the panel: past them no wall is tight, or the lock is plain.
const MOST_DRAFT_DEG = 10;
const TICKS_DEG = [-10, -5, 0, 5, 10];

const decades = (radius) => Math.log10(Math.min(WIDEST_MM, Math.max(TIGHTEST_MM, radius)) / TIGHTEST_MM) / Math.log10(WIDEST_MM / TIGHTEST_MM);

/** The shadings that these pieces have values for. */
export function shadings(pieces) {
  const planned = pieces.some((piece) => piece.make !== '');
  const all = [['radius', 'Radius on the laminated side']];
  if (planned) all.push(['plies', 'Number of plies'], ['thickness', 'Thickness'], ['zones', 'Zones']);
  const has = (name) => pieces.some((piece) => piece.face.getAttribute(name));
  if (has('_draft_deg')) all.push(['draft', 'Draft along the pull']);
  if (has('_wall_mm')) all.push(['wall', 'Wall of the CAD model']);
  return all;
}

/** A shading of pieces that are seen together. */
export function shading(name, pieces) {
  return { radius, plies, thickness, zones, draft, wall }[name](pieces);
}

function values(piece, name) {
  const attribute = piece.face.getAttribute(name);
  return attribute ? attribute.array : [];
}

/** Smallest and largest value over pieces. */
function span(pieces, name) {
  let [least, most] = [Infinity, -Infinity];
  for (const piece of pieces) {
    for (const value of values(piece, name)) {
      if (value < least) least = value;
      if (value > most) most = value;
    }
  }
  return least <= most ? [least, most] : [0, 0];
}

function radius(pieces) {
  return {
    title: 'Radius on the laminated side, in mm',
    words: 'Logarithmic. Bright is tight, dark is flat; past either end the end\u2019s colour stays.',
    ...smooth((at) => cividis(1 - at)),
    ticks: TICKS_MM.map((value) => ({ at: decades(value), text: value === WIDEST_MM ? '1000, flat' : String(value) })),
    marks: limits(pieces),
    marksTitle: 'Smallest radius that each ply takes',
    at: (piece) => (value) => decades(value),
    attribute: '_radius_mm',
    read: (value) => (value >= WIDEST_MM ? 'radius over 1000 mm' : `radius ${mm(value)} mm`),
  };
}

/** The limits of the plies as marks: every radius once, with who needs it. */
function limits(pieces) {
  const needs = new Map();
  for (const limit of pieces.flatMap((piece) => piece.limits)) {
    for (const [radius, where] of [[limit.inside_mm, 'in an inside corner'], [limit.outside_mm, 'over an outside corner']]) {
      const key = `${radius}/${limit.material}/${where}`;
      if (!needs.has(key)) needs.set(key, { radius, material: limit.material, where, plies: new Set() });
      needs.get(key).plies.add(limit.ply);
    }
  }
  const sorted = [...needs.values()].filter((need) => need.radius > 0).sort((a, b) => a.radius - b.radius);
  const marks = [];
  for (const need of sorted) {
    const plies = [...need.plies].sort((a, b) => a - b);
    const text = `${need.material} ${need.where} (${plies.length === 1 ? 'ply' : 'plies'} ${runs(plies)})`;
    const last = marks.at(-1);
    if (last && Math.abs(last.radius - need.radius) < 1e-6) last.texts.push(text);
    else marks.push({ radius: need.radius, at: decades(need.radius), label: `${mm(need.radius)} mm`, texts: [text] });
  }
  return marks;
}

/** 1, 2, 3, 5 as "1 to 3, 5". */
function runs(numbers) {
  const parts = [];
  for (const number of numbers) {
    const last = parts.at(-1);
    if (last && last[1] === number - 1) last[1] = number;
    else parts.push([number, number]);
  }
  return parts.map(([from, to]) => (from === to ? `${from}` : to === from + 1 ? `${from}, ${to}` : `${from} to ${to}`)).join(', ');
}

function thickness(pieces) {
  return {
    title: 'Thickness without gelcoat, in mm',
    words: 'Bright is thick.',
    ...fromNothing(pieces, '_thickness_mm'),
    read: (value) => `thickness ${mm(value)} mm`,
  };
}

function wall(pieces) {
  return {
    title: 'Wall of the CAD model, in mm',
    words: 'Bright is thick. At 0 no wall lies behind: rims, and joints where the faces are not parallel.',
    ...fromNothing(pieces, '_wall_mm'),
    read: (value) => (value > 0 ? `wall ${mm(value)} mm` : 'no wall behind'),
  };
}

/** A scale from 0 to a round figure over the largest value. */
function fromNothing(pieces, attribute) {
  const [, most] = span(pieces, attribute);
  const step = tidyStep(most / 4);
  const top = Math.max(step, Math.ceil(most / step - 1e-9) * step);
  const n = Math.round(top / step);
  return {
    ...smooth(cividis),
    ticks: Array.from({ length: n + 1 }, (_, tick) => ({ at: tick / n, text: mm(tick * step) })),
    marks: [],
    at: () => (value) => value / top,
    attribute,
  };
}

function draft(pieces) {
  const place = (deg) => (deg + MOST_DRAFT_DEG) / (2 * MOST_DRAFT_DEG);
  return {
    title: 'Draft along the pull, in degrees',
    words: 'Orange leans against the pull and locks, white stands along it, purple comes off. Past either end the end\u2019s colour stays.',
    ...smooth(diverging),
    ticks: TICKS_DEG.map((deg) => ({ at: place(deg), text: minus(deg) })),
    marks: drafts(pieces).map((mark) => ({ ...mark, at: place(mark.deg), label: `${mark.deg}\u00b0` })),
    marksTitle: 'Drafts that count',
    at: () => place,
    attribute: '_draft_deg',
    read: (value) => `draft ${minus(Number(value.toFixed(1)))}\u00b0`,
  };
}

/** The drafts that a wall is judged by, each once. */
function drafts(pieces) {
  const marks = new Map();
  for (const { pull } of pieces) {
    if (pull?.near_zero_draft_deg) marks.set(pull.near_zero_draft_deg, 'under this a wall stands along the pull');
    if (pull) marks.set(pull.wanted_draft_deg, 'wanted of every wall');
  }
  return [...marks].sort((a, b) => a[0] - b[0]).map(([deg, text]) => ({ deg, texts: [text] }));
}

/** With a minus sign that is one. */
function minus(value) {
  return String(value + 0).replace('-', '\u2212');
}

/** 1, 2 or 5 times a power of ten, at least so much. */
export function tidyStep(least) {
  if (!(least > 0)) return 1;
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((times) => times * power).find((step) => step >= least * (1 - 1e-9));
}

function plies(pieces) {
  const count = (piece) => (zone) => piece.zonePlies[Math.round(zone)] ?? 0;
  const counts = new Set(pieces.flatMap((piece) => [...new Set(values(piece, '_zone'))].map(count(piece))));
  const sorted = [...counts].sort((a, b) => a - b);
  const place = new Map(sorted.map((number, index) => [number, index]));
  return {
    title: 'Number of plies',
    words: 'Bright is more. The numbers stand on the panel too.',
    ...stepped(sorted.map((number) => ({ label: String(number), text: number === 1 ? 'ply' : 'plies' }))),
    step: (piece) => (zone) => place.get(count(piece)(zone)),
    attribute: '_zone',
    read: (zone, piece) => `${count(piece)(zone)} ${count(piece)(zone) === 1 ? 'ply' : 'plies'}`,
  };
}

function zones(pieces) {
  const names = [...new Set(pieces.flatMap((piece) => piece.zones))];
  const index = (piece) => (value) => names.indexOf(piece.zones[Math.round(value)]);
  return {
    title: 'Zones',
    words: 'Each zone is a run of the same plies. The numbers stand on the panel too.',
    ...stepped(names.map((name, number) => ({ label: String(number + 1), text: name }))),
    step: index,
    attribute: '_zone',
    read: (value, piece) => `zone ${index(piece)(value) + 1}: ${piece.zones[Math.round(value)] ?? ''}`,
  };
}

function smooth(colour) {
  const n = 256;
  const colours = Array.from({ length: n }, (_, index) => colour(index / (n - 1)));
  const stops = Array.from({ length: 17 }, (_, index) => css(colour(index / 16)));
  return { texture: texture(colours, LinearFilter), gradient: `linear-gradient(to right, ${stops.join(', ')})`, steps: null };
}

function stepped(steps) {
  const n = Math.max(1, steps.length);
  const colours = Array.from({ length: n }, (_, index) => cividis(n === 1 ? 0.5 : index / (n - 1)));
  return { texture: texture(colours, NearestFilter), gradient: null, steps: steps.map((step, index) => ({ ...step, colour: css(colours[index]) })) };
}

function texture(colours, filter) {
  const made = new DataTexture(new Uint8Array(colours.flatMap((colour) => [...colour, 255])), colours.length, 1);
  made.colorSpace = SRGBColorSpace;
  made.magFilter = filter;
  made.minFilter = filter;
  made.needsUpdate = true;
  return made;
}

/** Where in the texture each point of a piece's face lies: its u coordinate. */
export function coordinates(shading, piece) {
  const from = values(piece, shading.attribute);
  const n = piece.face.getAttribute('position').count;
  const place = shading.steps ? shading.step(piece) : shading.at(piece);
  const size = shading.texture.image.width;
  const out = new Float32Array(2 * n);
  for (let point = 0; point < n; point++) {
    const at = place(from[point] ?? 0);
    // The middle of a texel holds its colour alone.
    out[2 * point] = shading.steps ? ((at ?? 0) + 0.5) / size : 0.5 / size + (Math.min(1, Math.max(0, at)) * (size - 1)) / size;
    out[2 * point + 1] = 0.5;
  }
  return out;
}

/** For each step on a piece the facet to write its label on: the largest. */
export function anchors(shading, piece) {
  const best = new Map();
  const position = piece.face.getAttribute('position');
  const from = values(piece, shading.attribute);
  const place = shading.step(piece);
  eachFacet(piece.face, (a, b, c) => {
    const step = place(from[a] ?? 0);
    const area = facetArea(position, a, b, c);
    if (step !== undefined && step >= 0 && area > (best.get(step)?.area ?? 0)) best.set(step, { area, facet: [a, b, c] });
  });
  return [...best].map(([step, { facet }]) => ({ step, facet }));
}

function facetArea(position, a, b, c) {
  const [ux, uy, uz] = [position.getX(b) - position.getX(a), position.getY(b) - position.getY(a), position.getZ(b) - position.getZ(a)];
  const [vx, vy, vz] = [position.getX(c) - position.getX(a), position.getY(c) - position.getY(a), position.getZ(c) - position.getZ(a)];
  return 0.5 * Math.hypot(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
}
