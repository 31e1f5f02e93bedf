// The picture of a piece: bars, notes by division, what sounds now and what is left over, findings where they happen.
import { el, svg, severities, later } from './dom.js';
import { barWord, t } from './terms.js';

const BARS = 18, LEVEL = 150, SHARE = 40, GAP = 8;

export class Picture {
  constructor(letter, { onseek, onfinding }) {
    this.letter = letter;
    this.zoom = 1;
    this.onseek = onseek;
    this.onfinding = onfinding;
    this.names = el('div', { class: 'names', 'aria-hidden': 'true' });
    this.inner = el('div', { class: 'inner' });
    this.scroll = el('div', { class: 'scroll', tabindex: '0', role: 'group' }, this.inner);
    this.label = el('b', { class: 'letter' });
    const zoom = (text, name, f) => el('button', { class: 'small', 'aria-label': name, title: name, onclick: () => this.zoomTo(f(this.zoom)) }, text);
    this.bar = el('div', { class: 'picture-bar' }, this.label, el('span', { class: 'legend' },
      key('now', t`sounds now`), key('left', t`left over from before`), key('share', t`share heard`), key('n-clear', t`note`), key('n-warned', t`weakened`), key('n-lost', t`lost`)),
      zoom('−', t`Show more bars`, z => z / 1.6), zoom('+', t`Show fewer bars, larger`, z => z * 1.6));
    this.root = el('figure', { class: 'picture' }, this.bar, el('div', { class: 'frame' }, this.names, this.scroll));
    this.inner.addEventListener('click', e => {
      if (e.target.closest('button')) return;
      const x = e.clientX - this.inner.getBoundingClientRect().left;
      this.onseek(this.letter, Math.max(0, x / this.width * this.end));
    });
    new ResizeObserver(later(80, () => this.draw())).observe(this.scroll);
  }

  show(doc, shown, title) {
    this.doc = doc;
    this.shown = shown;
    const { timeline } = doc;
    this.end = Math.max(1, doc.score.duration_s, timeline.step_s * Math.max(timeline.level_db.length, timeline.residue_db.length));
    this.label.textContent = title;
    this.scroll.setAttribute('aria-label', `${title ? title + ': ' : ''}${t`picture of the piece; arrow keys move by a bar.`}`);
    this.draw();
  }

  // print draws the whole piece for a page of paper (A4 less its margins), or for the screen again.
  print(on) {
    this.paper = on ? 590 : 0;
    this.draw();
  }

  zoomTo(z) {
    const centre = (this.scroll.scrollLeft + this.scroll.clientWidth / 2) / (this.width || 1);
    this.zoom = Math.min(Math.max(2, this.end / 5), Math.max(1, z));
    this.draw();
    this.scroll.scrollLeft = centre * this.width - this.scroll.clientWidth / 2;
  }

  draw() {
    const { doc } = this;
    const space = this.paper || this.scroll.clientWidth;
    if (!doc || !space) return;
    const least = !this.paper && matchMedia('(max-width: 640px)').matches ? Math.max(space, 560) : space;
    const width = this.width = Math.round(least * (this.paper ? 1 : this.zoom));
    const x = t => t / this.end * width;
    const names = [];
    this.inner.replaceChildren();
    this.inner.style.width = `${width}px`;
    let y = this.marks(x) + 2;
    const top = y;
    const shapes = svg('g');
    const s = svg('svg', { width, 'aria-hidden': 'true' });
    // Bars
    const step = [1, 2, 4, 5, 10, 20, 50, 100, 200, 500].find(k => k * width / Math.max(1, doc.bars.length) >= 26) || 1000;
    let lines = '';
    const labels = svg('g', { class: 'bar-numbers' });
    for (const b of doc.bars) {
      lines += `M${x(b.at_s).toFixed(1)} ${top}V@`;
      if (b.number % step === 0 || b.number === 1) labels.append(svg('text', { x: x(b.at_s) + 3, y: y + 12 }, String(b.number)));
    }
    names.push([barWord(1), y, BARS]);
    y += BARS;
    // Notes by division
    doc.divisions.forEach((name, division) => {
      const notes = doc.notes.filter(n => n.division === division);
      if (!notes.length) return;
      const lo = Math.min(...notes.map(n => n.key)), hi = Math.max(...notes.map(n => n.key));
      const height = Math.min(110, Math.max(30, 3 * (hi - lo + 2)));
      const row = k => y + 2 + (hi - k + 0.5) / (hi - lo + 1) * (height - 4);
      const paths = { 'n-clear': '', 'n-warned': '', 'n-lost': '' };
      for (const n of notes) {
        const kind = n.found === 'fail' ? 'n-lost' : n.found === 'warning' ? 'n-warned' : 'n-clear';
        paths[kind] += `M${x(n.on_s).toFixed(1)} ${row(n.key).toFixed(1)}h${Math.max(2, x(n.off_s - n.on_s) - 1).toFixed(1)}`;
      }
      for (const [kind, d] of Object.entries(paths)) if (d) shapes.append(svg('path', { class: kind, d }));
      shapes.append(svg('path', { class: 'ledge', d: `M0 ${y + height + 3.5}H${width}` }));
      names.push([t(name), y, height]);
      y += height + GAP;
    });
    // Levels
    const { timeline } = doc;
    const [low, high] = range(timeline.level_db, timeline.residue_db);
    const yl = y;
    const level = v => yl + (high - Math.min(high, Math.max(low, v))) / (high - low) * LEVEL;
    for (let v = Math.ceil(low / 20) * 20; v <= high; v += 20) {
      shapes.append(svg('path', { class: 'rule', d: `M0 ${level(v).toFixed(1)}H${width}` }));
      names.push([String(v), level(v), 0]);
    }
    const columns = Math.min(8000, width);
    // Where many values share a column, the lines show the highest level and the mean share: zoomed in, every gap is there.
    const crowded = timeline.level_db.length > 2.5 * columns;
    const fit = (v, pick) => crowded ? [reduce(v, columns, pick), timeline.step_s * v.length / columns] : [v, timeline.step_s];
    const [now, nowStep] = fit(timeline.level_db, Math.max);
    const [left, leftStep] = fit(timeline.residue_db, Math.max);
    const [heard, heardStep] = fit(timeline.heard_share, null);
    shapes.append(svg('path', { class: 'left-area', d: path(left, leftStep, x, level, columns * 2, yl + LEVEL) }),
      svg('path', { class: 'left', d: path(left, leftStep, x, level, columns * 2) }),
      svg('path', { class: 'now', d: path(now, nowStep, x, level, columns * 2) }));
    names.push(['dB', yl + LEVEL - 14, 14, 'corner']);
    y += LEVEL + GAP;
    const ys = y;
    shapes.append(svg('path', { class: 'share-area', d: path(heard, heardStep, x, v => ys + (1 - v) * SHARE, columns * 2, ys + SHARE) }),
      svg('path', { class: 'share', d: path(heard, heardStep, x, v => ys + (1 - v) * SHARE, columns * 2) }));
    names.push([t`heard`, y, SHARE]);
    y += SHARE + 4;
    s.setAttribute('height', y);
    s.append(svg('path', { class: 'bar-lines', d: lines.replaceAll('@', String(y - 2)) }), shapes, labels);
    this.inner.style.height = `${y}px`;
    this.cursor = el('div', { class: 'cursor' });
    this.loopSpan = el('div', { class: 'loop-span', hidden: true });
    this.inner.append(...this.bands(x, top, y), s, this.loopSpan, ...this.pins, this.cursor);
    this.names.replaceChildren(...names.map(([text, at, height, kind]) => {
      const e = el('span', { class: kind || (height ? '' : 'value') }, text);
      e.style.top = `${at}px`;
      return e;
    }));
    this.place(this.at || 0);
    this.loop(this.looped);
  }

  // marks lays the findings out above the bars, on as many lanes as it takes not to hide each other.
  marks(x) {
    const last = [];
    const here = [...this.shown].sort((a, b) => a.at_s - b.at_s);
    this.pins = here.map(f => {
      const [sign, word] = severities[f.severity];
      const at = Math.min(x(f.at_s), this.width - 20);
      let lane = last.findIndex(e => at - e >= 46);
      if (lane < 0) lane = last.length < 6 ? last.length : 5;
      last[lane] = at;
      const pin = el('button', { class: `pin ${f.severity}`, 'data-finding': f.id, title: `${f.kind}, ${f.place}`,
        'aria-label': `${word}: ${f.kind}, ${f.place}. ${t`Show it.`}`, onclick: () => this.onfinding(this.letter, f) }, el('i', { 'aria-hidden': 'true' }, sign), ` ${f.bar}`);
      pin.classList.toggle('here', f.id === this.selected);
      pin.style.left = `${Math.max(16, at)}px`;
      pin.style.top = `${lane * 24}px`;
      return pin;
    });
    return Math.max(1, last.length) * 24;
  }

  // select lets a finding stand out.
  select(id) {
    this.selected = id;
    for (const pin of this.pins || []) pin.classList.toggle('here', pin.dataset.finding === String(id));
  }

  bands(x, top, bottom) {
    return this.shown.filter(f => f.until_s > f.at_s && (f.count || 1) <= 1 && f.until_s - f.at_s < this.end / 4).map(f => {
      const e = el('div', { class: `band ${f.severity}` });
      e.style.left = `${x(f.at_s)}px`;
      e.style.width = `${Math.max(2, x(f.until_s - f.at_s))}px`;
      e.style.top = `${top}px`;
      e.style.height = `${bottom - top}px`;
      return e;
    });
  }

  place(at, follow) {
    this.at = at;
    if (!this.cursor) return;
    const px = at / this.end * this.width;
    this.cursor.style.transform = `translateX(${px.toFixed(1)}px)`;
    if (!follow || this.scroll.scrollWidth <= this.scroll.clientWidth) return;
    const { scrollLeft, clientWidth } = this.scroll;
    if (px < scrollLeft || px > scrollLeft + clientWidth * 0.85) this.scroll.scrollLeft = px - clientWidth * 0.15;
  }

  loop(span) {
    this.looped = span;
    if (!this.loopSpan) return;
    this.loopSpan.hidden = !span;
    if (!span) return;
    this.loopSpan.style.left = `${span.from / this.end * this.width}px`;
    this.loopSpan.style.width = `${(span.until - span.from) / this.end * this.width}px`;
  }
}

const key = (kind, text) => el('span', { class: `key ${kind}` }, text);

export function range(...curves) {
  let low = Infinity, high = -Infinity;
  for (const c of curves) for (const v of c) if (v !== null) { low = Math.min(low, v); high = Math.max(high, v); }
  if (high < low) return [0, 100];
  high = 10 * Math.ceil((high + 1) / 10);
  low = Math.max(10 * Math.floor(low / 10), high - 70);
  return [Math.min(low, high - 20), high];
}

// reduce gives one value a column: by pick, or the mean.
function reduce(v, columns, pick) {
  const out = [];
  for (let c = 0; c < columns; c++) {
    const part = v.slice(Math.floor(c * v.length / columns), Math.floor((c + 1) * v.length / columns)).filter(x => x !== null);
    out.push(!part.length ? null : pick ? pick(...part) : part.reduce((a, b) => a + b) / part.length);
  }
  return out;
}

// path draws values of equal steps; of each column the least and the greatest are kept, so that no gap is lost.
export function path(v, step, x, y, columns, floor, from = 0) {
  let d = '', pen = false, start = 0, last = 0;
  const lift = () => { if (pen && floor !== undefined) d += `L${last.toFixed(1)} ${floor}L${start.toFixed(1)} ${floor}Z`; pen = false; };
  const put = i => {
    last = x(from + i * step);
    d += `${pen ? 'L' : 'M'}${last.toFixed(1)} ${y(v[i]).toFixed(1)}`;
    if (!pen) start = last;
    pen = true;
  };
  columns = Math.min(columns, v.length);
  for (let c = 0; c < columns; c++) {
    let lo = -1, hi = -1;
    const until = Math.floor((c + 1) * v.length / columns);
    for (let i = Math.floor(c * v.length / columns); i < until; i++) {
      if (v[i] === null) continue;
      if (lo < 0 || v[i] < v[lo]) lo = i;
      if (hi < 0 || v[i] > v[hi]) hi = i;
    }
    if (lo < 0) { lift(); continue; }
    put(Math.min(lo, hi));
    if (lo !== hi) put(Math.max(lo, hi));
  }
  lift();
  return d;
}
