// The findings in words, each with its figures, its picture and what may cure it.
import { el, svg, severities, signed, clock, number, count } from './dom.js';
import { path, range } from './picture.js';
import { explained, term } from './explain.js';
import { inEnglish, t } from './terms.js';

/** counted are the severities that there are, the worst first, with how many. */
const counted = findings => Object.entries(severities).map(([kind, [, one, many]]) => ({ kind, n: findings.filter(f => f.severity === kind).length, one, many }))
  .filter(c => c.n).map(({ kind, n, one, many }) => ({ kind, text: `${n} ${n === 1 ? one : many}` }));

export const tally = findings => counted(findings).map(c => c.text).join(', ') || t`nothing found`;

/** signs is the tally with the shapes that stand for the severities in the list and in the music. */
export function signs(findings) {
  const all = counted(findings);
  return all.length ? all.flatMap((c, i) => [i ? ' ' : '', signed(c.kind, ` ${c.text}`)]) : [t`nothing found`];
}

// MOST findings are written out; a piece that has more is better rewritten than read about.
const MOST = 80;

export function list(run, actions) {
  if (!run.shown.length) return [el('p', { class: 'none' }, t`Nothing in this building gets in the way of the music. Try a slower building, or another seat.`)];
  const out = run.shown.slice(0, MOST).map(f => article(f, actions));
  if (run.shown.length > MOST) out.push(el('p', { class: 'hint' }, t`${run.shown.length - MOST} more, milder, are in the report.`));
  return out;
}

/** article is a finding: a line or two in the list, opened in place. */
function article(f, actions) {
  const [, word] = severities[f.severity];
  const id = `finding-${f.id}`;
  return el('article', { class: `finding ${f.severity}`, id, tabindex: '-1', 'data-kind': f.kind_key, 'aria-labelledby': `${id}-t` },
    el('h3', { id: `${id}-t` }, el('button', { class: 'line', 'aria-expanded': 'false', 'aria-controls': `${id}-more` },
      signed(f.severity, el('span', { class: 'unseen' }, `${word} `), ` ${f.id}`),
      el('span', {}, el('b', { class: 'where' }, f.place), ` ${f.kind}`,
        f.beside ? el('span', { class: 'hint' }, ` ${count(f.beside, 'place', 'places')}`) : null))),
    f.meaning ? el('p', { class: 'message' }, capital(f.meaning)) : el('p', { class: 'message' }, f.message),
    el('div', { class: 'more', id: `${id}-more`, hidden: true },
      f.meaning ? el('p', inEnglish, f.message) : null,
      el('p', { class: 'hint' }, [f.division, f.keys.join(' ')].filter(Boolean).join(': '), ' ', t`at ${clock(f.at_s)}`),
      el('div', { class: 'acts' },
        el('button', { onclick: () => actions.listen(f) }, t`Listen from here`),
        el('button', { onclick: () => actions.loop(f) }, t`Loop it`),
        actions.link(f, t`Lesson sheet`)),
      f.offers.length ? el('div', { class: 'offers', role: 'group', 'aria-label': t`Rewritings` }, el('h4', {}, t`Rewrite it, and prove it`),
        f.offers.map(o => el('button', { 'data-remedy': o.name, onclick: e => actions.mend(f, o, e.target) }, capital(o.title)))) : null,
      el('p', { class: 'outcome', hidden: true, role: 'status' }),
      f.trace ? traced(f.trace) : null,
      el('dl', { class: 'figures' }, f.figures.map(([label, amount, name]) => el('div', {}, el('dt', {}, name.endsWith('share') ? term('share', label) : label), el('dd', {}, explained(amount))))),
      f.try && f.try.length ? el('div', { class: 'try' }, el('h4', {}, t`What to try`), el('ul', {}, f.try.map(text => el('li', f.said ? {} : inEnglish, text)))) : null));
}

/** unfold opens a finding in place, or closes it. */
export function unfold(article, open) {
  article.querySelector('.more').hidden = !open;
  article.querySelector('.line').setAttribute('aria-expanded', String(open));
  article.classList.toggle('open', open);
}

const capital = s => s.charAt(0).toUpperCase() + s.slice(1);

/** traced draws the old sound against the new one. */
function traced(trace) {
  const W = 420, H = 130, n = Math.max(trace.old_db.length, trace.new_db.length);
  if (n < 2) return null;
  const [low, high] = range(trace.old_db, trace.new_db);
  const end = trace.from_s + (n - 1) * trace.step_s;
  const before = trace.old ? t(trace.old) : t`the sound before`, after = trace.new ? t(trace.new) : t`the new sound`;
  const x = s => Math.min(1, Math.max(0, (s - trace.from_s) / (end - trace.from_s))) * W;
  const y = v => (high - Math.min(high, Math.max(low, v))) / (high - low) * H;
  const s = svg('svg', { viewBox: `0 0 ${W} ${H + 16}`, role: 'img', 'aria-label':
    t`Level in dB over time: ${before} against ${after}. ${trace.spans.map(p => `${t(p.name)}: ${number(p.until_s - p.from_s, 2)} s`).join(', ')}` });
  for (const p of trace.spans) {
    s.append(svg('rect', { class: `span-${p.name === 'inaudible' ? 'covered' : 'blurred'}`, x: x(p.from_s), y: 0, width: Math.max(1, x(p.until_s) - x(p.from_s)), height: H }),
      svg('text', { x: x(p.from_s) + 3, y: p.name === 'inaudible' ? 11 : 24 }, t(p.name)));
  }
  for (let v = Math.ceil(low / 20) * 20; v <= high; v += 20) s.append(svg('path', { class: 'rule', d: `M0 ${y(v)}H${W}` }), svg('text', { class: 'value', x: W - 2, y: y(v) - 2, 'text-anchor': 'end' }, `${v} dB`));
  s.append(svg('path', { class: 'left-area', d: path(trace.old_db, trace.step_s, x, y, 400, H, trace.from_s) }),
    svg('path', { class: 'left', d: path(trace.old_db, trace.step_s, x, y, 400, undefined, trace.from_s) }),
    svg('path', { class: 'now', d: path(trace.new_db, trace.step_s, x, y, 400, undefined, trace.from_s) }),
    svg('text', { x: 0, y: H + 13 }, clock(trace.from_s)), svg('text', { x: W, y: H + 13, 'text-anchor': 'end' }, clock(end)));
  return el('figure', { class: 'trace' }, s, el('figcaption', {},
    el('span', { class: 'key left' }, before), el('span', { class: 'key now' }, after)));
}

/** differences of two runs: findings that only the first has, that only the second has, and those of the second that both have. */
export function differences(a, b) {
  return {
    gone: a.shown.filter(f => !b.shown.some(g => same(f, g))),
    came: b.shown.filter(f => !a.shown.some(g => same(f, g))),
    left: b.shown.filter(f => a.shown.some(g => same(f, g))),
  };
}

const same = (f, g) => f.kind === g.kind && f.division === g.division && f.bar <= Math.max(g.bar, g.to_bar) && g.bar <= Math.max(f.bar, f.to_bar);

// difference says what version B changes against A.
export function difference(a, b, state) {
  const { gone, came } = differences(a, b);
  const moved = b.shown.map(g => [a.shown.find(f => same(f, g)), g]).filter(([f, g]) => f && f.severity !== g.severity);
  const item = (text, f) => el('li', {}, `${text}: ${f.kind}, ${f.place}`);
  return el('div', { class: 'difference' },
    el('p', {}, el('b', {}, state.name('a')), ': ', tally(a.shown), ' – ', el('b', {}, state.name('b')), ': ', tally(b.shown)),
    el('ul', {}, gone.slice(0, 12).map(f => item(t`only in A`, f)), came.slice(0, 12).map(f => item(t`only in B`, f)),
      moved.slice(0, 12).map(([f, g]) => item(t`${severities[f.severity][1]} in A, ${severities[g.severity][1]} in B`, g))),
    !gone.length && !came.length && !moved.length ? el('p', { class: 'hint' }, t`The same findings in both.`) : null);
}
