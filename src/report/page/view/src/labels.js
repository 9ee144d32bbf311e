// Numbers beside corners, splits and zones, as HTML over the canvas. The tables say the same, so they are hidden from
// screen readers and left out of the Tab order.
import { element } from './html.js';

const GAP_PX = 3;
// Of a line's places so many are looked at: its middle and two on either side. Every look goes through all facets.
const LOOKED_AT = 3;

export class Labels {
  constructor(pick) {
    this.element = element('div', { class: 'view-labels', 'aria-hidden': 'true' });
    this.pick = pick;
    this.labels = [];
  }

  /** Takes labels: `text`, `kind`, `places` on the panel in order of preference, `key` where it can be picked. */
  set(labels) {
    this.labels = labels.map((label) => {
      const made = element('span', { class: 'view-label', 'data-kind': label.kind, text: label.text, dir: 'auto' });
      if (label.key) {
        made.dataset.key = label.key;
        made.addEventListener('click', () => this.pick(label.key));
      }
      return { ...label, element: made, hidden: false, place: 0 };
    });
    this.element.replaceChildren(...this.labels.map((label) => label.element));
    for (const label of this.labels) {
      label.width = label.element.offsetWidth;
      label.height = label.element.offsetHeight;
    }
  }

  mark(key) {
    for (const label of this.labels) label.element.classList.toggle('is-picked', Boolean(key) && label.key === key);
  }

  /** Looks where a label's line comes out from behind the panel; slow, so only once the view rests, and at few places. */
  look(label, isFree) {
    const found = label.places.findIndex((place, index) => index < LOOKED_AT && isFree(place));
    label.free = label.places.map((_, index) => index === found);
    label.element.classList.toggle('is-behind', found < 0);
  }

  /** Puts the labels where their places are now: the picked one first, those in sight before those behind. */
  place(project, size) {
    const taken = [];
    const order = [...this.labels].sort((a, b) => rank(a) - rank(b));
    for (const label of order) {
      const spot = this.spot(label, project, size, taken);
      label.element.style.visibility = spot ? '' : 'hidden';
      if (!spot) continue;
      taken.push(spot);
      label.element.style.transform = `translate(${spot.left.toFixed(1)}px, ${spot.top.toFixed(1)}px)`;
    }
  }

  spot(label, project, size, taken) {
    const places = label.places.map((place, index) => ({ place, free: label.free?.[index] ?? true })).sort((a, b) => b.free - a.free);
    for (const { place } of places) {
      const at = project(place);
      const box = { left: at.x - label.width / 2, top: at.y - label.height / 2, width: label.width, height: label.height };
      if (label.offset) box.top -= label.height / 2 + 7;
      const inside = box.left >= 0 && box.top >= 0 && box.left + box.width <= size.width && box.top + box.height <= size.height;
      if (inside && !taken.some((other) => overlap(box, other))) return box;
    }
    return null;
  }
}

function rank(label) {
  if (label.element.classList.contains('is-picked')) return 0;
  const behind = label.element.classList.contains('is-behind') ? 10 : 0;
  return behind + (label.kind === 'corner' ? 1 : 2);
}

function overlap(a, b) {
  return a.left < b.left + b.width + GAP_PX && b.left < a.left + a.width + GAP_PX && a.top < b.top + b.height + GAP_PX && b.top < a.top + a.height + GAP_PX;
}
