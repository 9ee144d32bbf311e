// The link to the tables of the page: each corner's row gets a button that shows it in the view.
import { button, element } from './html.js';

export class Rows {
  /** Takes what is to be done with a corner that is picked in a table, and with a panel. */
  constructor({ isDrawn, pickCorner, pickPanel }) {
    this.rows = new Map();
    for (const row of document.querySelectorAll('#panels [data-corner]')) this.adopt(row, isDrawn, pickCorner);
    for (const block of document.querySelectorAll('article[data-panel]')) {
      const index = Number(block.dataset.panel);
      const name = panelName(index);
      const show = button('Show in the view', () => pickPanel(index), { class: 'to-view', 'aria-label': `Show in the view: ${name}` });
      block.querySelector('h3')?.after(show);
    }
  }

  adopt(row, isDrawn, pickCorner) {
    const key = row.dataset.corner;
    const head = row.querySelector('th[scope="row"]');
    if (!head || !isDrawn(key)) return;
    const id = head.textContent.trim();
    const [, make, piece] = key.split('/');
    const of = make ? `, ${make} ${piece}` : '';
    const press = button(id, () => pickCorner(key), { class: 'to-view', 'aria-pressed': 'false', 'aria-label': `${id}: show this corner in the view${of}` });
    head.replaceChildren(press);
    this.rows.set(key, { row, press, id });
  }

  has(key) {
    return this.rows.has(key);
  }

  mark(key) {
    for (const [other, { row, press }] of this.rows) {
      const picked = other === key;
      press.setAttribute('aria-pressed', String(picked));
      for (const line of row.querySelectorAll('tr')) line.classList.toggle('picked', picked);
    }
  }

  /** Scrolls to a row and puts the focus on it. */
  goTo(key) {
    const found = this.rows.get(key);
    if (!found) return;
    found.row.scrollIntoView({ block: 'center', behavior: smooth() });
    found.press.focus({ preventScroll: true });
  }

  /** What the table says of a corner: head and cell by cell. */
  sentence(key) {
    const found = this.rows.get(key);
    if (!found) return '';
    const heads = [...found.row.closest('table').querySelectorAll('thead th')].map((head) => head.textContent.trim());
    const cells = [...found.row.querySelector('tr').children].slice(1).map((cell, index) => `${heads[index + 1]}: ${cell.textContent.trim()}`);
    return cells.join('; ');
  }
}

/** The name of a panel, as its block has it. */
export function panelName(index) {
  return document.querySelector(`article[data-panel="${index}"] h3`)?.textContent.trim() || `Panel ${index + 1}`;
}

/** Smooth, unless the reader wants things still. */
export function smooth() {
  return matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth';
}

/** A name that may run right to left, within other text. */
export function named(text) {
  return element('bdi', { text });
}
