// Elements made in code. Text only ever goes in as text.

/** An element with attributes; `text` is its text, `on` its listeners, the rest its children. */
export function element(name, { text, on = {}, ...attributes } = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === true) made.setAttribute(key, '');
    else if (value !== false && value !== undefined && value !== null) made.setAttribute(key, value);
  }
  for (const [event, listener] of Object.entries(on)) made.addEventListener(event, listener);
  if (text !== undefined) made.textContent = text;
  made.append(...children);
  return made;
}

/** A button with words on it. */
export function button(text, press, attributes = {}) {
  return element('button', { type: 'button', text, on: { click: press }, ...attributes });
}

/** A length for people: 3 significant figures at most, no trailing zeros. */
export function mm(value) {
  return String(Number(value.toPrecision(3)));
}

/** A length for people that is never less than it is: as `mm`, rounded up. */
export function mmUp(value) {
  const near = Number(mm(value));
  if (near >= value) return String(near);
  const exponent = Number(value.toExponential(2).split('e')[1]);
  return mm(near + 10 ** (exponent - 2));
}
