// The piece to look at: a picture in time of each version, and the notation of the one that is heard.
import { $, radios } from './dom.js';
import { keeper } from './keeper.js';
import { Picture } from './picture.js';
import { Notation } from './notation.js';
import { mapTime } from './timemap.js';

const NEXT = { both: 'notation', notation: 'picture', picture: 'both' };

export class ScoreView {
  /** seek gets a version and s of its playing, finding a version and a finding, keys what is pressed on the piece. */
  constructor(state, { seek, finding, keys }) {
    this.state = state;
    this.actions = { seek, finding, keys };
    this.pictures = { a: null, b: null };
    /** @type {Notation} where the program has the engraving library */
    this.notation = null;
    this.kept = keeper('shown');
    this.patience = async () => {}; // resolves when the page may do long work
    addEventListener('beforeprint', () => this.print(true));
    addEventListener('afterprint', () => this.print(false));
  }

  /** print draws the piece for paper, or for the screen again. */
  print(on) {
    for (const picture of Object.values(this.pictures)) picture?.print(on);
    this.notation?.print(on);
  }

  /** withNotation adds the notation, and the choice between it and the picture. */
  withNotation(assets) {
    const { state } = this, { seek, finding, keys } = this.actions;
    this.notation = new Notation(assets, { onseek: at => seek(state.letter, at), onfinding: f => finding(state.letter, f), onkeys: keys, patience: () => this.patience() });
    $('pictures').before(this.notation.root);
    $('note-size').append(...this.notation.sizes);
    for (const id of ['shown', 'notation-key', 'note-size', 'licences']) $(id).hidden = false;
    $('licences').firstChild.href = assets.licences;
    for (const r of radios('shown')) r.addEventListener('change', () => this.choose(r.value));
    this.apply(Object.keys(NEXT).includes(this.kept.get()) ? this.kept.get() : 'notation');
    this.notation.ready();
  }

  /** choose shows notation, picture or both. */
  choose(what) {
    if (!this.notation) return;
    this.apply(what);
    this.kept.set(what);
  }

  next() { this.choose(NEXT[document.body.dataset.shown]); }

  apply(what) {
    document.body.dataset.shown = what;
    for (const r of radios('shown')) r.checked = r.value === what;
    this.notation.root.hidden = what === 'picture';
    this.notation.update();
  }

  /** open begins with another project. */
  open(id) {
    this.pictures = { a: null, b: null };
    $('pictures').replaceChildren();
    this.notation?.open(id);
  }

  /** begin lets the music be engraved while it is being judged. */
  begin(side) { this.notation?.begin(side); }

  /** show draws the runs that there are. */
  show() {
    const { state } = this;
    this.notation?.show(state.run, state.name(state.letter)); // asks for its places while the pictures are drawn
    for (const k of ['a', 'b']) this.showPicture(k);
  }

  showPicture(k) {
    const { state, pictures } = this, run = state.runs[k];
    if (!run || !state.letters.includes(k)) {
      pictures[k]?.root.remove();
      pictures[k] = null;
      return;
    }
    const picture = pictures[k] ||= this.newPicture(k);
    if (!picture.root.isConnected) {
      if (k === 'a') $('pictures').prepend(picture.root); else $('pictures').append(picture.root);
    }
    if (picture.run !== run || picture.title !== state.name(k)) {
      picture.run = run;
      picture.title = state.name(k);
      picture.show(run.document, run.shown, picture.title);
    }
    picture.root.classList.toggle('chosen', !!state.doc.b && k === state.letter);
  }

  newPicture(k) {
    const picture = new Picture(k, { onseek: this.actions.seek, onfinding: this.actions.finding });
    picture.scroll.addEventListener('keydown', this.actions.keys);
    return picture;
  }

  /** place shows what sounds: s of the playing that has these bars. */
  place(at, bars, playing) {
    const { state } = this;
    for (const k of ['a', 'b']) if (this.pictures[k] && state.runs[k]) this.pictures[k].place(mapTime(bars, state.runs[k].document.bars, at), playing);
    if (state.run) this.notation?.place(mapTime(bars, state.run.document.bars, at), playing);
  }

  /** loop shows the stretch that is repeated, in the version that is heard; null takes it away. */
  loop(span) {
    const { state } = this;
    for (const k of ['a', 'b']) {
      if (!this.pictures[k] || !state.runs[k]) continue;
      const time = s => mapTime(span.bars, state.runs[k].document.bars, s);
      this.pictures[k].loop(span && k === state.letter ? { from: time(span.from), until: time(span.until) } : null);
    }
  }

  /** select lets a finding of the version that is heard stand out. */
  select(id) {
    for (const k of ['a', 'b']) this.pictures[k]?.select(k === this.state.letter ? id : undefined);
    this.notation?.select(id);
  }

  /** present shows the music large and alone, or all as it was. */
  present(on) {
    document.body.dataset.shown = on ? 'notation' : radios('shown').find(r => r.checked)?.value || 'notation';
    if (!this.notation) return;
    this.notation.root.hidden = document.body.dataset.shown === 'picture';
    this.notation.present(on);
    this.notation.update();
  }

  again() { this.notation?.again(); }

  fit() { this.notation?.fit(); }

  /** settled ends when nothing is being engraved. */
  settled() { return this.notation ? this.notation.settled() : Promise.resolve(); }
}
