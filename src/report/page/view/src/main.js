// Starts the view, or says why the stills have to do; and the buttons that print.
import { readScene } from './scene.js';
import { View } from './view.js';
import { element } from './html.js';

const room = document.getElementById('view');
const carried = document.getElementById('scene');

function apologise(why) {
  room.append(element('p', { class: 'view-note', role: 'status', text: `${why} The still pictures and the tables hold everything.` }));
}

function hasWebGl() {
  try {
    return Boolean(document.createElement('canvas').getContext('webgl2'));
  } catch {
    return false;
  }
}

async function start() {
  if (!room) return;
  const text = carried ? carried.textContent.trim() : '';
  const scene = text ? await readScene(text).catch(() => null) : null;
  if (!scene) return apologise('The three-dimensional view of this page cannot be read.');
  if (scene.panels.length === 0) return apologise('There is nothing to turn in three dimensions here.');
  if (!hasWebGl()) return apologise('This browser draws no three-dimensional view (WebGL 2 is missing or switched off).');
  room.parentElement.classList.add('has-view');
  new View(room, scene);
}

/** The buttons that print some of the page; without this program they stay out of sight. */
function offerPrinting() {
  const { dataset } = document.documentElement;
  addEventListener('afterprint', () => { delete dataset.print; });
  for (const press of document.querySelectorAll('button[data-print]')) {
    press.hidden = false;
    press.addEventListener('click', () => {
      if (press.dataset.print === 'all') delete dataset.print;
      else dataset.print = press.dataset.print;
      print();
    });
  }
}

offerPrinting();
start();
