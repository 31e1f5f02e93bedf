// What the room does to the harmony of the whole piece, beside what it does to organ music: a line, and how much of each
// bar's harmony blurs on the band of the repertoire.
import { el, svg } from './dom.js';
import { barWord } from './terms.js';

const W = 1000, H = 56;

/** whole is the line and its figure, nothing where the piece has too few changes of harmony. */
export function whole({ whole: w, score }) {
  if (!w) return [];
  const line = el('p', { class: 'whole' }, w.line);
  if (!w.bars || w.bars.length < 2 || !(score.duration_s > 0)) return [line];
  const top = Math.min(1, Math.max(0.1, Math.ceil(Math.max(13 * w.bar_high, ...w.bars.map(b => 11 * b.share))) / 10));
  const x = s => (s / score.duration_s * W).toFixed(1), y = v => ((1 - Math.min(v, top) / top) * H).toFixed(1);
  let d = `M${x(w.bars[0].at_s)} ${y(w.bars[0].share)}`;
  for (const b of w.bars.slice(1)) d += `H${x(b.at_s)}V${y(b.share)}`;
  return [line, el('figure', { class: 'wholeblur' },
    svg('svg', { viewBox: `0 0 ${W} ${H}`, preserveAspectRatio: 'none', role: 'img',
      'aria-label': `Blurred share of the harmony, ${barWord(1)} by ${barWord(1)}; organ music reaches ${Math.round(100 * w.bar_high)} % in nine ${barWord(9)} of ten.` },
    svg('path', { class: 'usual', d: `M0 ${y(w.bar_low)}H${W}V${y(w.bar_high)}H0Z` }), svg('path', { class: 'share', d: `${d}H${W}` })),
    el('figcaption', { class: 'hint' }, `Blurred share of each ${barWord(1)}’s harmonies, on the band of ${w.works} works of organ music in such a room; the picture ends at ${Math.round(100 * top)} %.`))];
}
