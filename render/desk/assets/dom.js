// Small helpers for the page's elements.
import { language, counted, t } from './terms.js';

/** $ is the element of an id. @type {(id: string) => any} */
export const $ = id => document.getElementById(id);

/** radios are the buttons of a choice. @returns {HTMLInputElement[]} */
export const radios = name => /** @type {any} */ ([...document.getElementsByName(name)]);

// el makes an element: attributes by name, on… as listeners, the rest as children. Text is never read as HTML.
export function el(tag, attributes = {}, ...children) {
  const e = document.createElement(tag);
  set(e, attributes);
  e.append(...children.flat().filter(c => c !== null && c !== undefined && c !== false));
  return e;
}

const SVG = 'http://www.w3.org/2000/svg';
export function svg(tag, attributes = {}, ...children) {
  const e = document.createElementNS(SVG, tag);
  set(e, attributes);
  e.append(...children.flat().filter(Boolean));
  return e;
}

function set(e, attributes) {
  for (const [k, v] of Object.entries(attributes)) {
    if (v === null || v === undefined || v === false) continue;
    if (k.startsWith('on')) e.addEventListener(k.slice(2), v);
    else if (k === 'value') e.value = v;
    else if (k === 'checked' || k === 'disabled' || k === 'hidden') e[k] = v;
    else e.setAttribute(k, v === true ? '' : v);
  }
}

/** reword puts another text into an element that holds nothing else. A new text in the old node costs a fiftieth of a new node, after which
 * the browser looks over the styles of the whole page. */
export function reword(e, text) {
  const node = e.firstChild;
  if (!node) e.textContent = text;
  else if (node.data !== text) node.data = text;
}

export const clock = s => {
  const t = Math.max(0, Math.round(s * 10));
  return `${Math.floor(t / 600)}:${String(Math.floor(t / 10) % 60).padStart(2, '0')}.${t % 10}`;
};

export const count = (n, one, many) => `${n} ${counted(n, one, many)}`;

const point = language === 'en' ? '.' : ',';

export const number = (v, digits) => v.toFixed(digits).replace('-', '−').replace('.', point);

// later calls f once, ms after the last call.
export function later(ms, f) {
  let timer = 0;
  return (...a) => { clearTimeout(timer); timer = setTimeout(() => f(...a), ms); };
}

/** signed is a severity as it is seen everywhere: its shape, and what stands beside it. */
export const signed = (severity, ...rest) => el('span', { class: `sev ${severity}` }, el('i', { 'aria-hidden': 'true' }, severities[severity][0]), ...rest);

/** severities are the sign of each, its word, and the word where there are several. */
export const severities = { fail: ['■', t`lost`, t`lost|several`], warning: ['▲', t`weakened`, t`weakened|several`], note: ['○', t`worth knowing`, t`worth knowing|several`] };
