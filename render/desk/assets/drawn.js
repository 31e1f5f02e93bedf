// What is drawn where the music is: the knobs by division, why they stand so, and turning one from that bar on.
import { $, el } from './dom.js';
import { barWord, spoken, t } from './terms.js';
import { mapTime } from './timemap.js';

const LINE = /^\s*bar\s+(\d+)(?:\s*,?\s*beat\s+(\d+(?:\.\d+)?))?\s*:\s*(.*)$/i; // of a stops file

/** drawnAt is what is drawn at s of a playing: a set of knobs, and the change that made it so. */
export function drawnAt(changes, at) {
  const on = new Set();
  let last = null;
  for (const c of changes) {
    if (last && c.at_s > at + 1e-6) break;
    for (const k of c.off || []) on.delete(k);
    for (const k of c.on || []) on.add(k);
    last = c;
  }
  return { on, last };
}

/** order is the words that draw a knob or retire it: a stop by its division, a coupler by its name. */
export function order(knob, on) {
  const [division, stop] = knob.split(': ');
  return stop ? `${division} ${on ? '+' : '-'} ${stop}` : `${on ? '+' : '-'} ${knob}`;
}

/** withOrder is a stops text in which a knob is drawn or retired from a bar on; what was said of it at that bar goes. */
export function withOrder(text, bar, knob, on) {
  const lines = text.split('\n').filter(l => l.trim()), mine = order(knob, on), other = order(knob, !on);
  /** @returns {[number, number, string]} bar, beat, orders; null for what has no place */
  const place = l => {
    const m = LINE.exec(l);
    return m ? [Number(m[1]), Number(m[2] || 1), m[3]] : null;
  };
  let after = 0;
  for (const [i, l] of lines.entries()) {
    const p = place(l);
    if (!p) { if (after === i) after++; continue; }
    const [at, beat, orders] = p;
    if (at === bar && beat === 1) {
      const said = orders.split(';').map(x => x.trim()).filter(x => x && x !== mine && x !== other);
      lines[i] = `bar ${bar}: ${[...said, mine].join('; ')}`;
      return lines.join('\n');
    }
    if (at < bar) after = i + 1;
  }
  lines.splice(after, 0, `bar ${bar}: ${mine}`);
  return lines.join('\n');
}

/** groups are the knobs by division, couplers last. */
function groups(knobs) {
  const out = new Map();
  for (const k of knobs) {
    const [division, stop] = k.split(': '), name = stop ? division : t`Couplers`;
    if (!out.has(name)) out.set(name, []);
    out.get(name).push([k, stop || t(k)]);
  }
  return out;
}

export class Drawn {
  constructor(state) {
    this.state = state;
    this.shown = '';
    $('drawn').addEventListener('toggle', () => {
      this.shown = '';
      this.place(this.at || 0, this.bars);
    });
  }

  /** place shows what is drawn at s of the playing that has these bars. */
  place(at, bars) {
    this.at = at;
    this.bars = bars;
    const { run } = this.state;
    if (!run) return;
    const here = mapTime(bars, run.document.bars, at), { bars: own, organ } = run.document;
    const bar = own.findLast(b => b.at_s <= here + 1e-6) || own[0], { on, last } = drawnAt(organ.registration, here);
    const now = `${run.key} ${bar?.number} ${last?.at_s}`;
    if (now === this.shown) return;
    this.shown = now;
    const why = last ? `${[...new Set(last.why.split(', '))].map(x => spoken(run.said, x)[0]).join(', ')}${last.bar === bar?.number ? '' : t`, since ${barWord(1)} ${last.bar}`}` : '';
    $('drawn-say').textContent = t`${barWord(1)} ${bar?.number}: ${on.size} drawn`;
    if (!$('drawn').open) return;
    const focus = document.activeElement?.closest('#drawn-list button')?.getAttribute('data-knob');
    $('drawn-why').textContent = why ? t`Because of ${why}.` : '';
    $('drawn-list').replaceChildren(...[...groups(run.knobs || [])].map(([name, knobs]) => el('div', { role: 'group', 'aria-label': t(name) }, el('h2', {}, t(name)),
      el('p', { class: 'knobs' }, knobs.map(([knob, text]) => el('button', { 'data-knob': knob, 'aria-pressed': String(on.has(knob)), title: on.has(knob) ? t`Retire it from ${barWord(1)} ${bar.number} on` : t`Draw it from ${barWord(1)} ${bar.number} on`,
        onclick: () => this.turn(knob, !on.has(knob), bar.number) }, text))))));
    if (focus) /** @type {HTMLElement} */ (document.querySelector(`[data-knob="${CSS.escape(focus)}"]`))?.focus();
  }

  turn(knob, on, bar) {
    this.state.project.change(on ? t`${knob} on, from ${barWord(1)} ${bar}` : t`${knob} off, from ${barWord(1)} ${bar}`, d => {
      const side = d[d.active];
      side.stops = withOrder(side.stops || '', bar, knob, on);
    });
  }
}
