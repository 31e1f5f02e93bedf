// The notation: the score of the version that is heard, engraved, with the findings over its bars and the place
// that sounds. The music is engraved as soon as there is a piece; the findings are laid over it when they come.
import * as api from './api.js';
import { el, later, severities } from './dom.js';
import { barWord, t } from './terms.js';

const KEPT = 3;      // engraved scores, so that going from A to B is at once
const MARKS = 200;   // findings over the bars, the worst first
const TWO_SYSTEMS = 815; // px of height that two systems of three staves take at full size, with the marks above them
const BEGINNING = 14; // bars of a longer score that are engraved, and seen, before the rest
const HELD = 3000;   // ms for which the playing does not scroll after the reader has

let library = null;
function loadLibrary(assets) {
  library ||= api.library(assets).catch(error => { library = null; throw error; });
  return library;
}

const pause = ms => new Promise(done => setTimeout(done, ms));

/** seen ends when what was put on the page is on the screen, or would be if the page were looked at. */
const seen = () => Promise.race([new Promise(done => requestAnimationFrame(() => setTimeout(done))), pause(500)]);

export class Notation {
  // assets are the addresses of the library; onseek gets s of the playing, onfinding a finding. Engraving takes all of the page's
  // time for a while: patience resolves when there is nobody whom that keeps waiting.
  constructor(assets, { onseek, onfinding, onkeys, patience }) {
    this.assets = assets;
    this.patience = patience;
    this.onseek = onseek;
    this.onfinding = onfinding;
    this.size = 1;
    this.scores = new Map();  // key of the music -> Engraved, the last used last
    this.title = el('b', { class: 'letter' });
    this.hint = el('span', { class: 'hint' });
    const size = (text, name, by) => el('button', { class: 'small', 'aria-label': name, title: name, onclick: () => this.resize(by) }, text);
    this.sizes = [size('−', t`Smaller notes`, 1 / 1.2), size('+', t`Larger notes`, 1.2)];
    this.bar = el('div', { class: 'picture-bar', hidden: true }, this.title, this.hint);
    this.state = el('p', { class: 'hint', role: 'status' });
    this.paper = el('div', { class: 'paper', tabindex: '0', role: 'group', hidden: true, onkeydown: onkeys });
    this.root = el('figure', { class: 'notation', hidden: true }, this.bar, this.state, this.paper);
    this.paper.addEventListener('click', e => this.press(e));
    for (const kind of ['wheel', 'touchmove', 'pointerdown']) this.paper.addEventListener(kind, () => { this.held = performance.now(); }, { passive: true });
    new IntersectionObserver(list => { this.seen = list[list.length - 1].isIntersecting; this.update(); }, { rootMargin: '200px' }).observe(this.root);
    new ResizeObserver(later(200, () => this.fit())).observe(this.paper);
  }

  // open begins with another project.
  open(id) {
    this.abort?.abort();
    this.id = id;
    this.scores.clear();
    this.wanted = this.done = this.under = this.coming = this.score = this.moments = null;
    this.asked = false;
    this.key = '';
    this.paper.replaceChildren();
    this.paper.hidden = true;
    this.say('');
  }

  // ready lets the library come while there is nothing else to do.
  ready() {
    (window.requestIdleCallback || setTimeout)(() => { if (!this.root.hidden) loadLibrary(this.assets).catch(() => { /* update says so */ }); });
  }

  // settled ends when nothing is being engraved any more, or after some seconds.
  settled() {
    if (!this.under) return Promise.resolve();
    return Promise.race([new Promise(done => this.root.addEventListener('settled', done, { once: true })), new Promise(done => setTimeout(done, 5000))]);
  }

  // begin engraves the music of a side, whose run is still under way.
  begin(side) {
    if (this.wanted) return;
    this.wanted = { side };
    this.update();
  }

  // show takes the run that is heard. Nothing is engraved before it is looked at for the first time.
  show(run, title) {
    this.title.textContent = title;
    this.head();
    this.paper.setAttribute('aria-label', `${title ? `${title}: ` : ''}${t`the score in notation; arrow keys move by a bar.`}`);
    this.wanted = run;
    this.root.dataset.shows = this.done === run ? 'this' : 'the run before';
    if (this.under && !this.under.shown && this.key) { // its places come while the music is laid out, and are seen with it
      this.coming = { run, sheet: this.ask(run, this.abort.signal, this.key) };
      this.coming.sheet.catch(() => { /* update asks again */ });
    }
    this.update();
  }

  ask(run, signal, ...more) {
    return api.notation(this.id, run.side, !run.shown, [...this.scores.keys(), ...more], signal);
  }

  // come waits a moment for the places of a run that came while its music was read, so that both are laid out at once.
  async come(key) {
    const { coming } = this;
    const sheet = coming && await Promise.race([coming.sheet.catch(() => null), pause(200)]);
    if (sheet?.key !== key || coming.run !== this.wanted) return null;
    this.coming = null;
    return { run: coming.run, sheet };
  }

  // sheet is the music of a run and the places of its findings. What has come without the music needs it to be engraved here.
  async sheet(run, signal) {
    const { coming } = this;
    this.coming = null;
    if (coming?.run === run) {
      const sheet = await coming.sheet.catch(() => null);
      if (sheet && this.scores.has(sheet.key)) return sheet;
    }
    return this.ask(run, signal);
  }

  /** again draws what could not be drawn, once there is reason to try. */
  again() {
    this.done = null;
    this.update();
  }

  async update() {
    const run = this.wanted;
    if (!run || !(this.seen || this.score) || this.root.hidden || this.done === run || this.under === run) return;
    if (this.under && !this.under.shown) return; // its music is what this run needs too
    this.abort?.abort();
    const abort = this.abort = new AbortController();
    this.under = run;
    try {
      if (!this.score) this.say(t`Engraving …`);
      const [sheet] = await Promise.all([this.sheet(run, abort.signal), loadLibrary(this.assets)]);
      if (abort.signal.aborted) return;
      performance.mark('notation: music and library are here');
      this.key = sheet.key;
      if (sheet.not) { this.cannot(t`Not engraved: ${sheet.not}. The picture shows it.`); this.done = run; return; }
      const score = await this.engraved(sheet, abort.signal);
      const come = score && !run.shown && await this.come(sheet.key);
      if (abort.signal.aborted) return;
      this.done = come ? come.run : run;
      if (score) this.put(score, come ? come.sheet : sheet, this.done);
    } catch (error) {
      if (error.name === 'AbortError' || abort.signal.aborted) return;
      this.done = run;
      this.cannot(t`The notation cannot be shown: ${error.message}. The picture shows the same.`);
    } finally {
      if (this.under === run) {
        this.under = null;
        if (this.wanted !== run) this.update();
        if (!this.under) this.root.dispatchEvent(new Event('settled'));
      }
    }
  }

  // engraved is the score of a sheet: one that is here already, or a new one. A long one waits until it is asked for.
  async engraved(sheet, signal) {
    const known = this.scores.get(sheet.key);
    if (known) {
      this.scores.delete(sheet.key);
      this.scores.set(sheet.key, known);
      return known;
    }
    if (Engraved.long(sheet) && !this.asked) {
      this.paper.hidden = true;
      this.state.replaceChildren(el('button', { onclick: () => { this.asked = true; this.done = null; this.update(); } }, t`Engrave the ${sheet.bars} ${barWord(sheet.bars)}`), ' ', t`It takes some seconds.`);
      return null;
    }
    await pause(); // what was said is seen first
    await this.patience();
    if (signal.aborted) return null;
    if (!this.score && sheet.bars > 2 * BEGINNING) {
      await this.begun(sheet, signal).catch(error => console.warn(String(error?.stack || error))); // the whole may go all the same
      if (signal.aborted) return null;
    }
    const score = this.blank();
    await score.load(sheet.musicxml);
    performance.mark('notation: music is read');
    if (signal.aborted) return null;
    this.scores.set(sheet.key, score);
    if (this.scores.size > KEPT) this.scores.delete(this.scores.keys().next().value);
    await pause(30); // and so are findings that have come meanwhile
    await this.patience();
    if (signal.aborted) return null;
    return score;
  }

  blank() { return new Engraved(id => { const f = this.run?.shown?.find(x => x.id === id); if (f) this.onfinding(f); }); }

  // begun shows the first bars of a longer score, which are read and laid out in a fraction of the time.
  async begun(sheet, signal) {
    const score = this.blank(), music = new DOMParser().parseFromString(sheet.musicxml, 'text/xml');
    music.querySelectorAll(`part > measure:nth-of-type(n + ${BEGINNING + 1})`).forEach(bar => bar.remove());
    score.beginning = true;
    await score.load(music);
    if (signal.aborted) return;
    this.put(score, sheet, this.under);
    await seen();
  }

  // put shows a score, with the marks of a run. The engraving is left as it is where it is there already.
  put(score, sheet, run) {
    this.say('');
    this.hint.textContent = sheet.guessed ? t`A MIDI file has no notation: spelling, voices and lengths are guessed.` : '';
    this.head();
    this.paper.hidden = false;
    if (this.score !== score) {
      this.score = score;
      this.system = -1;
      this.paper.replaceChildren(score.root);
    }
    this.run = run;
    this.moments = new Moments(sheet.moments || []);
    const marks = [];
    for (const f of (run.shown || []).slice(0, MARKS)) {
      const place = (sheet.places || []).find(p => p.id === f.id), [shape, word] = severities[f.severity];
      if (place) marks.push({ ...place, class: f.severity, shape, words: [`${f.id} ${f.kind}`, `${f.id}`], label: `${f.id} ${f.kind}, ${f.place}: ${word}. ${t`Show it.`}` });
    }
    score.selected = this.selected;
    score.marks = marks;
    if (score.bars && score.zoom === this.zoom() && score.width === score.drawing.clientWidth) score.mark(marks);
    else score.render(this.zoom());
    if (this.at !== undefined) this.place(this.at);
    performance.mark(score.beginning ? 'notation: the beginning is laid out' : 'notation: all is laid out');
    this.root.dataset.shows = score.beginning ? 'the beginning' : run.shown ? 'this' : 'the music';
  }

  // head is there where it has something to say.
  head() { this.bar.hidden = !this.title.textContent && !this.hint.textContent; }

  say(text) {
    this.state.textContent = text;
    document.body.classList.remove('no-notation');
  }

  // cannot says why there is none; the picture stands in for it.
  cannot(text) {
    this.score = null;
    this.paper.hidden = true;
    this.say(text);
    document.body.classList.add('no-notation');
  }

  // zoom is the size of the notes: so that two systems of three staves are seen, or, for a class, that they are read from the back row.
  zoom() {
    const { clientWidth: w, clientHeight: h } = this.paper;
    const letters = parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
    if (this.large) return Math.round(100 * this.size * Math.max(1, Math.min(w / 1000, h / 420))) / 100;
    return Math.round(100 * this.size * letters * (w < 560 ? 0.6 : Math.min(0.75, Math.max(0.6, h / TWO_SYSTEMS)))) / 100;
  }

  /** present shows the music large, for a class, or as before. */
  present(on) {
    this.large = on;
    this.fit();
  }

  resize(by) {
    this.size = Math.min(2.5, Math.max(0.5, this.size * by));
    this.fit();
  }

  // fit engraves anew where the width or the size of the letters has changed.
  fit() {
    const { score } = this;
    if (!score?.bars || this.paper.hidden || !this.paper.clientWidth || score.slices) return;
    if (score.width !== score.drawing.clientWidth || score.zoom !== this.zoom()) score.render(this.zoom());
  }

  // place shows what sounds at s of the playing, and keeps its system in view.
  place(at, follow) {
    this.at = at;
    if (!this.score?.bars || !this.moments) return;
    const system = this.score.place(...this.moments.at(at));
    if (follow && system >= 0 && system !== this.system && performance.now() - (this.held || -HELD) > HELD) this.bring(this.score.systems[system]);
    this.system = system;
  }

  // bring scrolls the paper, not the page, until a stretch of it is in view.
  bring({ top, bottom }) {
    const { paper, score } = this, room = 40;
    const from = score.root.offsetTop + top - room, until = score.root.offsetTop + bottom + room;
    if (from >= paper.scrollTop && until <= paper.scrollTop + paper.clientHeight) return;
    paper.scrollTo({ top: Math.max(0, from), behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
  }

  // select lets a finding stand out.
  select(id) {
    this.selected = id;
    const frame = this.score?.bars && this.score.select(id);
    if (frame && !frame.contains(document.activeElement)) this.bring({ top: frame.offsetTop, bottom: frame.offsetTop + frame.offsetHeight });
  }

  press(e) {
    if (!this.score?.bars || !this.moments || e.target.closest('button')) return;
    const box = this.score.drawing.getBoundingClientRect();
    const here = this.score.locate(e.clientX - box.left, e.clientY - box.top);
    const t = here && this.moments.time(here.bar, here.share, this.at || 0);
    if (t !== null) this.onseek(t);
  }

  print(on) {
    if (!this.score?.bars || this.root.hidden) return;
    if (on) this.score.print(640); else this.score.screen();
  }
}
