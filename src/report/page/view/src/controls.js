// The controls: plain HTML, with words on them.
import { button, element } from './html.js';

const LOOKS = [
  ['', 'as turned'],
  ['0.75,0.62,1', 'between the sides'],
  ['0,1,0', 'above (+z)'],
  ['0,-1,0', 'below (-z)'],
  ['1,0,0', 'the side +x'],
  ['-1,0,0', 'the side -x'],
  ['0,0,-1', 'the side +y'],
  ['0,0,1', 'the side -y'],
];

const KEYS = [
  ['Arrow keys', 'turn'],
  ['Shift and arrow keys', 'move'],
  ['+ and -', 'closer, further'],
  ['Home', 'the whole panel'],
  ['N, P', 'next corner, previous corner'],
  ['Enter', 'go to the row of the corner that is picked'],
  ['Escape', 'pick none'],
];

/** Makes the controls; `act` says what each does. */
export class Controls {
  constructor(act) {
    const choose = (label, name, options, change) => {
      const select = element('select', { id: `view-${name}`, on: { change: () => change(select.value) } });
      this[name] = select;
      fill(select, options);
      return element('div', { class: 'view-choice' }, element('label', { for: select.id, text: label }), select);
    };
    const check = (label, name, change) => {
      const box = element('input', { type: 'checkbox', checked: true, on: { change: () => change(box.checked) } });
      this[name] = box;
      return element('label', { class: 'view-check' }, box, element('span', { text: label }));
    };
    this.builds = element('fieldset', { class: 'view-builds' });
    this.act = act;
    this.head = element('div', { class: 'view-controls' },
      choose('Panel', 'panel', [], (value) => act.panel(Number(value))),
      this.builds,
      choose('Shaded by', 'shading', [], act.shading));
    this.previous = button('Previous corner', () => act.step(-1));
    this.next = button('Next corner', () => act.step(1));
    this.row = button('Go to its row', act.row, { hidden: true });
    this.status = element('p', { class: 'view-status', role: 'status' });
    this.corners = element('div', { class: 'view-controls', role: 'group', 'aria-label': 'Corners' }, this.previous, this.next, this.row);
    this.apart = element('input', { type: 'range', min: '0', max: '100', step: '5', value: '0', on: { input: () => act.apart(Number(this.apart.value) / 100) } });
    this.apartLabel = element('label', { class: 'view-choice' }, element('span', { text: 'Pieces apart' }), this.apart);
    this.looks = element('div', { class: 'view-controls', role: 'group', 'aria-label': 'What is seen' },
      choose('Seen from', 'look', LOOKS, (value) => value && act.look(value.split(',').map(Number))),
      button('Whole panel', act.whole), button('Closer', () => act.zoom(1.25)), button('Further', () => act.zoom(0.8)),
      this.apartLabel, check('Flanges', 'flanges', act.flanges), check('Pull', 'arrow', act.arrow), check('Undercuts', 'undercuts', act.undercuts),
      check('Proposed splits', 'proposals', act.proposals), check('Floor grid', 'grid', act.grid));
    this.gridWords = this.grid.nextSibling;
    this.more = element('details', { class: 'view-more' }, element('summary', { text: 'Turn and move by buttons and keys' }), this.steps(), keys());
  }

  steps() {
    const { act } = this;
    const group = (label, ...buttons) => element('div', { class: 'view-controls', role: 'group', 'aria-label': label }, element('span', { text: label, 'aria-hidden': 'true' }), ...buttons);
    const step = (what, word, press) => button(word, press, { 'aria-label': `${word}: ${what}` });
    return element('div', {},
      group('Turn', ...[['left', -15, 0], ['right', 15, 0], ['up', 0, 15], ['down', 0, -15]].map(([word, x, y]) => step('turn the panel', word, () => act.orbit(x, y)))),
      group('Move', ...[['left', -0.1, 0], ['right', 0.1, 0], ['up', 0, 0.1], ['down', 0, -0.1]].map(([word, x, y]) => step('move the panel', word, () => act.pan(x, y)))),
      group('Read', button('What is in the middle', act.read)));
  }

  /** The builds of a panel: mould, moulding. Nothing to choose where it was only measured. */
  setBuilds(makes, chosen) {
    const radios = makes.map((make) => {
      const radio = element('input', { type: 'radio', name: 'view-build', value: make, checked: make === chosen, on: { change: () => this.act.make(make) } });
      return element('label', { class: 'view-check' }, radio, element('span', { text: make }));
    });
    this.builds.replaceChildren(element('legend', { text: 'Build' }), ...radios);
    this.builds.hidden = makes.length < 1 || makes[0] === '';
  }

  setOptions(name, options, chosen) {
    fill(this[name], options);
    this[name].value = chosen;
  }
}

function fill(select, options) {
  select.replaceChildren(...options.map(([value, text]) => element('option', { value, text })));
}

function keys() {
  const list = element('dl', { class: 'view-keys' });
  for (const [key, what] of KEYS) list.append(element('div', {}, element('dt', { text: key }), element('dd', { text: what })));
  return element('div', {},
    element('p', { text: 'With a mouse: drag to turn, drag with the right button to move, click a line, a number or the face. The wheel zooms once the view has been clicked. By touch: one finger turns, two move and zoom. With keys, once the view has the focus:' }),
    list);
}
