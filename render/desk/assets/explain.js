// Terms that not everybody who writes music knows (../../report/explain.go has what they mean).
import { el } from './dom.js';

/** term is a word that explains itself. */
export const term = (name, text) => el('button', { type: 'button', class: 'term', 'data-term': name }, text);

/** explained is a text in which the first decibels explain themselves, a list of nodes. */
export function explained(text) {
  const m = /\bdB\b/.exec(text);
  return m ? [text.slice(0, m.index), term('db', m[0]), text.slice(m.index + m[0].length)] : [text];
}
