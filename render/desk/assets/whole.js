// What the room does to the harmony of the whole piece, beside what it does to organ music: a line, and folded under it the
// picture that the report has too.
import { el, svg } from './dom.js';
import { inEnglish } from './terms.js';

/** whole is the line and its picture, nothing where the piece has too few changes of harmony. */
export function whole(w) {
  if (!w) return [];
  if (!w.share) return [el('p', { class: 'whole', ...inEnglish }, w.line)];
  return [el('details', { class: 'whole' }, el('summary', inEnglish, w.line), el('figure', { class: 'wholeblur' },
    svg('svg', { viewBox: w.view_box, preserveAspectRatio: 'none', role: 'img', 'aria-label': w.alt, ...inEnglish },
      svg('path', { class: 'usual', d: w.usual }), svg('path', { class: 'share', d: w.share })),
    el('figcaption', { class: 'hint', ...inEnglish }, w.caption)))];
}
