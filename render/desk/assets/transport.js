// The row that plays: what is heard, from where, how loud.
import { $, el, clock, number, radios, reword } from './dom.js';
import { keeper } from './keeper.js';
import { trouble, failed } from './messages.js';
import { guess } from './timemap.js';
import { explained } from './explain.js';
import { barWord, t } from './terms.js';

const SILENT = -40;     // dB at the lower end of the volume, where nothing is heard
const OPENING = 50;     // ms between looks whether a piece has been opened
const BEFORE = 2;       // s before a finding that listening to it begins
const LONGEST_LOOP = 20; // s

export class Transport {
  /** view shows the place that sounds; changed is called when another kind of sound is chosen. */
  constructor(state, player, view, { changed }) {
    this.state = state;
    this.player = player;
    this.view = view;
    this.changed = changed;
    this.heard = 'a'; // version that the tracks are of
    this.kept = keeper('ears');
    state.ears = this.kept.get() === 'headphones';
    this.wire();
  }

  wire() {
    const { player } = this;
    player.addEventListener('move', () => this.paint());
    player.addEventListener('state', () => this.played());
    player.addEventListener('busy', e => trouble(e.detail));
    player.addEventListener('failed', e => trouble(e.detail));
    player.addEventListener('loud', () => this.caution());
    player.addEventListener('preparing', e => this.preparing(e.detail));
    player.calm = async () => {
      while (document.body.classList.contains('busy')) await new Promise(done => { setTimeout(done, OPENING); }); // a piece is on its way
      await this.view.settled();
    };
    this.view.patience = () => player.begun();
    $('play').addEventListener('click', () => this.toggle());
    $('loop').addEventListener('click', () => this.setLoop(null));
    $('match').addEventListener('change', e => { player.match = e.target.checked; player.gains(); });
    $('volume').addEventListener('input', e => {
      const db = +e.target.value;
      player.volume = db <= SILENT ? -120 : db;
      e.target.setAttribute('aria-valuetext', `${number(db, 0)} dB`);
      player.gains();
    });
    for (const r of radios('dry')) r.addEventListener('change', () => this.setDry(r.value === 'dry'));
    for (const r of radios('ears')) r.addEventListener('change', () => this.setEars(r.value === 'ears'));
  }

  /** preparing says that sound is being made, and of what, while what is judged is already new. */
  preparing(what) {
    const room = t`Preparing the new room; until then you hear the one before.`;
    const turned = { building: room, 'reverberation time': room, people: room, 'own building': room, seat: t`Preparing the new seat; until then you hear the one before.`,
      organ: t`Preparing the new organ; until then you hear the one before.`, tempo: t`Preparing the new tempo; until then you hear the one before.` };
    const last = this.state.project?.doc.past.at(-1)?.what;
    $('preparing').hidden = !what;
    $('preparing').textContent = what === 'next' ? turned[last] || t`Preparing the new sound; until then you hear the one before.` : t`The sound is being made; the music waits for it.`;
  }

  open(id) {
    this.player.open(id);
    $('transport').hidden = false;
  }

  close() {
    this.player.open('');
    $('transport').hidden = true;
  }

  /** key of the sound of a version's run. */
  key(k, dry) {
    return `${this.state.runs[k].key}${dry ? ' dry' : ''}${this.state.forEars(k, dry) ? ' ears' : ''}`;
  }

  /** tracks asks for the sound of what is shown: the version that is looked at, what it may be switched to after it. */
  tracks() {
    const { state, player } = this, k = state.letter, other = k === 'a' ? 'b' : 'a';
    if (!state.run) return;
    const entry = (x, dry) => {
      const { side, document } = state.runs[x];
      return { key: this.key(x, dry), side, dry, ears: state.forEars(x, dry), guess: guess(document.timeline, dry), bars: document.bars };
    };
    const want = [entry(k, state.dry), entry(k, !state.dry)];
    if (state.doc.b && state.runs[other]) want.splice(1, 0, entry(other, state.dry));
    const seen = new Set();
    player.reference = this.key(state.runs.a ? 'a' : k, false);
    this.heard = k;
    player.want(want.filter(w => !seen.has(w.key) && seen.add(w.key)));
    this.view.loop(player.loop);
    this.caution();
    this.paint();
  }

  play(at) { this.player.play(at).catch(failed); }

  toggle() {
    if (this.player.playing) this.player.stop(); else this.play();
  }

  /** playFrom leaves the loop and plays from s on. */
  playFrom(at) {
    this.setLoop(null);
    this.play(at);
  }

  listen(finding) { this.playFrom(Math.max(0, finding.at_s - BEFORE)); }

  loopFinding(f) {
    const { document } = this.state.run;
    const last = document.bars.findLast(b => b.at_s <= f.at_s);
    const next = document.bars.find(b => b.at_s > Math.max(f.until_s, f.at_s + 0.5));
    const from = Math.max(0, Math.min(f.at_s - 1, last ? last.at_s : f.at_s));
    this.setLoop({ from, until: Math.min(from + LONGEST_LOOP, next ? next.at_s : document.score.duration_s) });
    this.play(from);
  }

  setLoop(span) {
    this.player.setLoop(span && { ...span, bars: this.state.run.document.bars });
    this.view.loop(this.player.loop);
    $('loop').disabled = !span;
    $('loop').setAttribute('aria-pressed', String(!!span));
  }

  /** bar goes by whole bars; back from the middle of one is to its beginning. */
  bar(by) {
    const bars = this.state.runs[this.heard]?.document.bars || [], at = this.player.position();
    let i = bars.findLastIndex(b => b.at_s <= at + 0.05);
    if (by < 0 && i >= 0 && at - bars[i].at_s > 0.6) i++;
    const b = bars[Math.min(bars.length - 1, Math.max(0, i + by))];
    if (b) this.player.seek(b.at_s);
  }

  setDry(on) {
    this.state.dry = on;
    for (const r of radios('dry')) r.checked = (r.value === 'dry') === on;
    this.hearing();
    this.tracks();
  }

  setEars(on) {
    this.state.ears = on;
    this.kept.set(on ? 'headphones' : '');
    this.hearing();
    this.changed();
    this.tracks();
  }

  toggleEars() { if (!$('ears').disabled) this.setEars(!this.state.ears); }

  /** hearing shows what the sound is made for, and why there is no choice where there is none. */
  hearing() {
    const { state } = this;
    const fixed = !state.dry && state.recorded(state.letter);
    $('ears').disabled = fixed;
    $('ears-why').hidden = !fixed;
    for (const r of radios('ears')) r.checked = (r.value === 'ears') === (state.ears && !fixed);
    $('ab').hidden = !state.doc.b;
    for (const r of radios('ab')) {
      const k = /** @type {import('./types').Letter} */ (r.value), called = state.doc.b ? state.called(k) : '';
      r.checked = k === state.letter;
      r.nextElementSibling.replaceChildren(el('b', {}, k.toUpperCase()), called ? el('span', { class: 'called', title: called }, ` ${called}`) : '');
    }
  }

  /** paint shows the place. */
  paint() {
    const at = this.player.position(), bars = this.player.bars();
    const bar = bars.findLast(b => b.at_s <= at + 1e-6);
    reword($('clock'), `${clock(at)}${bar ? ` · ${barWord(1)} ${bar.number}` : ''}`);
    $('clock').dataset.seconds = at.toFixed(3);
    if (this.state.project) this.view.place(at, bars, this.player.playing);
  }

  played() {
    const { playing } = this.player;
    $('play').textContent = playing ? t`Stop` : t`Play`;
    $('play').setAttribute('aria-pressed', String(playing));
    document.body.classList.toggle('playing', playing);
    const frame = () => {
      if (!this.player.playing) return;
      this.paint();
      requestAnimationFrame(frame);
    };
    frame();
  }

  /** caution says how loud the version that is heard is at this seat, as soon as that is known. */
  caution() {
    const { runs, ears } = this.state;
    const loud = runs[this.heard] && this.player.tracks.get(this.key(this.heard, false))?.loud;
    const said = loud && loud.loudest_db > 0 ? t`At this seat the loudest moment is ${Math.round(loud.loudest_db)} dB.` : t`An organ in a church is loud.`;
    const soft = ears ? t`Start softly, with the volume down before the headphones go on; loud sound harms hearing.` : t`Start softly; loud sound harms hearing.`;
    $('caution').replaceChildren(el('b', {}, t`Mind your ears.`), ' ', ...explained(said), ` ${soft}`);
  }
}
