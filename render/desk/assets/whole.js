// What the room does to the harmony of the whole piece, beside what it does to organ music: a line, and folded under it the
// picture that the report has too.
import { el, svg } from './dom.js';
import { spoken } from './terms.js';

/** whole is the line and its picture, nothing where the piece has too few changes of harmony. */
export function whole(w, said) {
  if (!w) return [];
  const [line, as] = spoken(said, w.line), [alt, altAs] = spoken(said, w.alt), [caption, captionAs] = spoken(said, w.caption);
  if (!w.share) return [el('p', { class: 'whole', ...as }, line)];
  return [el('details', { class: 'whole' }, el('summary', as, line), el('figure', { class: 'wholeblur' },
    svg('svg', { viewBox: w.view_box, preserveAspectRatio: 'none', role: 'img', 'aria-label': alt, ...altAs },
      svg('path', { class: 'usual', d: w.usual }), svg('path', { class: 'share', d: w.share })),
    el('figcaption', { class: 'hint', ...captionAs }, caption)))];
}
