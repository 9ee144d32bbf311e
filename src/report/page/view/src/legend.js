// The legend: a bar with ticks and marks, or a list of colours; as text, so that it can be read out.
import { css, cividis } from './colours.js';
import { element } from './html.js';

/** The legend of a shading, and of the kinds of lines that are drawn. */
export function legend(shading, kinds) {
  const title = element('p', { class: 'legend-title' }, element('strong', { text: shading.title }), ` ${shading.words}`);
  const body = shading.steps ? stepList(shading.steps) : scale(shading);
  return [title, ...body, lineKey(kinds)];
}

function scale({ gradient, ticks, marks, marksTitle }) {
  const bar = element('div', { class: 'legend-bar', 'aria-hidden': 'true' });
  bar.style.background = gradient;
  const at = (place, made) => {
    made.style.insetInlineStart = `${(100 * place).toFixed(2)}%`;
    return made;
  };
  const letters = marks.map((_, index) => String.fromCharCode(65 + (index % 26)));
  const marked = element('div', { class: 'legend-marks', 'aria-hidden': 'true' });
  let [last, row] = [-1, 0];
  for (const [index, mark] of marks.entries()) {
    // Letters that would touch stand one above the other.
    row = mark.at - last < 0.045 ? (row + 1) % 3 : 0;
    last = mark.at;
    const letter = at(mark.at, element('span', { text: letters[index] }));
    letter.style.setProperty('--row', row);
    marked.append(letter);
  }
  const ticked = element('div', { class: 'legend-ticks' });
  for (const tick of ticks) ticked.append(at(tick.at, element('span', { text: tick.text })));
  const parts = [element('div', { class: 'legend-scale' }, marked, bar, ticked)];
  if (marks.length > 0) {
    const list = element('ul', { class: 'legend-list', 'aria-label': marksTitle });
    for (const [index, mark] of marks.entries()) {
      const item = element('li', {}, element('strong', { text: `${letters[index]} ${mark.label}` }), ' ');
      item.append(element('bdi', { text: mark.texts.join('; ') }));
      list.append(item);
    }
    parts.push(element('p', { class: 'legend-title', text: `${marksTitle}:` }), list);
  }
  return parts;
}

function stepList(steps) {
  const list = element('ul', { class: 'legend-list' });
  for (const step of steps) {
    const swatch = element('span', { class: 'legend-swatch', 'aria-hidden': 'true' });
    swatch.style.background = step.colour ?? css(cividis(0.5));
    list.append(element('li', {}, swatch, element('strong', { text: step.label }), ' ', element('bdi', { text: step.text })));
  }
  return [list];
}

const LINE_WORDS = {
  corner: 'corner, numbered',
  split: 'split, named',
  edge: 'free edge',
  pull: 'pull: the way the mould is drawn off',
  undercut: 'border of what locks',
  holds: 'face that holds, whichever way one pulls',
  proposal: 'proposed split',
};
const ALWAYS = ['corner', 'split', 'edge'];

function lineKey(kinds) {
  const key = (kind) => element('li', {}, element('span', { class: 'legend-line', 'data-kind': kind, 'aria-hidden': 'true' }), LINE_WORDS[kind]);
  const shown = Object.keys(LINE_WORDS).filter((kind) => ALWAYS.includes(kind) || kinds.has(kind));
  return element('ul', { class: 'legend-lines', 'aria-label': 'Lines' }, ...shown.map(key));
}
