// The user's own church and organ, where there is no file yet: described in words, counted in seconds, clapped, or read from a printed stop list.
import * as api from './api.js';
import { Claps } from './claps.js';
import { el, number, count } from './dom.js';
import { FloorPlan } from './floorplan.js';
import { inEnglish, spoken, t } from './terms.js';

const LABELS = { walls: t`Walls`, ceiling: t`Ceiling`, floor: t`Floor`, windows: t`Windows`, seats: t`Seats`, carpet: t`Carpet` };

/** Own makes the dialogs; take gets the file that one of them made. */
export class Own {
  constructor(overview, take) {
    this.overview = overview;
    this.take = take;
    /** what ends a recording that is going on @type {(() => void) | null} */
    this.stop = null;
  }

  /** sheet opens a dialog with a title, its contents and the place of the answer. */
  sheet(title, ...contents) {
    const id = 'own-title';
    this.answer = el('div', { class: 'answer', 'aria-live': 'polite' });
    const dialog = el('dialog', { class: 'own', 'aria-labelledby': id, onclose: () => { this.stop?.(); dialog.remove(); } },
      el('div', { class: 'head' }, el('h2', { id }, title), el('form', { method: 'dialog' }, el('button', {}, t`Close`))),
      el('div', { class: 'inside' }, contents), this.answer);
    this.dialog = dialog;
    document.body.append(dialog);
    dialog.showModal();
  }

  /** working asks the desk and shows what comes of it, or the reason why not. */
  async working(ask, show) {
    this.answered(el('p', { class: 'hint' }, t`Working it out …`));
    try { this.answered(...await show(await ask())); } catch (error) {
      this.answered(el('p', { class: 'trouble', ...(error.english ? inEnglish : {}) }, error.message));
    }
  }

  /** answered shows an answer, where the dialog is longer than the screen by going to it. */
  answered(...nodes) {
    this.answer.replaceChildren(...nodes);
    this.answer.scrollIntoView({ block: 'start' });
  }

  /** offer are the buttons that use a made file, or save it. */
  offer(text, name, use) { return el('p', { class: 'row' }, this.offered(text, name, use)); }

  offered(text, name, use) {
    const link = el('a', { class: 'button', download: name, href: URL.createObjectURL(new Blob([text])) }, t`Save the file`);
    return [el('button', { class: 'big', onclick: () => {
      this.dialog.close();
      this.take(new File([text], name));
    } }, use), link];
  }

  /** cautioned is a caution as a sentence. */
  cautioned(caution, said) {
    const [text, as] = spoken(said, caution);
    return el('p', { class: 'hint sentence', ...as }, `${text}.`);
  }

  /** church asks what the church looks like, or how long the last chord was heard. */
  async church() {
    const { questions, counted_s: [fewest, most] } = await api.describing();
    const size = ['length', 'width', 'height'].map((name, i) => el('input', { type: 'number', id: `own-${name}`, min: 1.5, max: 500, step: 'any', value: [30, 12, 11][i], oninput: () => plan() }));
    const unit = el('select', { id: 'own-unit', onchange: () => plan() }, el('option', { value: 1 }, t`metres`), el('option', { value: 0.75 }, t`steps (0.75 m)`));
    const words = questions.map(q => [q.name, el('select', { id: `own-${q.name}` }, q.words.map(w => el('option', { value: w }, t(w))))]);
    const people = el('input', { type: 'number', id: 'own-people', min: 0, max: 5000, step: 10, value: 0 });
    const metres = () => size.map(i => +i.value * +unit.value);
    const floor = new FloorPlan();
    const plan = () => floor.resize(metres()[0], metres()[1]);
    const row = (text, input) => el('div', { class: 'knob' }, el('label', { for: input.id }, text), input);
    const seconds = el('input', { type: 'number', id: 'own-counted', min: fewest, max: most, step: 0.5, value: 5 });
    const organ = el('select', { id: 'own-chord' }, this.overview.organs.map(o => el('option', { value: o.name, selected: o.name === 'minster' }, t(o.title))));
    const made = reply => [el('p', {}, el('b', {}, t`About ${number(reply.rt_s, 1)} s`), `, ${Math.round(reply.volume_m3)} m³. `,
      reply.fillings.map((f, i) => `${i ? ', ' : ''}${f.people ? t`${f.people} people ${number(f.rt_s, 1)} s` : t`Empty ${number(f.rt_s, 1)} s`}`), '.'),
      this.cautioned(reply.caution, reply.said),
      this.offer(reply.toml, 'our-church.toml', t`Use this church`)];
    this.sheet(t`Your church`,
      el('p', { class: 'hint' }, t`Where nothing is measured. A few hand claps tell more.`),
      el('section', {}, el('h3', {}, t`What it looks like`),
        el('div', { class: 'halves' },
          el('div', { class: 'rows' }, row(t`Length`, size[0]), row(t`Width`, size[1]), row(t`Height`, size[2]), row(t`counted in`, unit),
            words.map(([name, input]) => row(LABELS[name] || name, input)), row(t`People`, people)), floor.node),
        el('button', { onclick: () => this.working(() => api.describeChurch({ size_m: metres(), people: +people.value, listener: floor.listener(), words: Object.fromEntries(words.map(([n, i]) => [n, i.value])) }), made) }, t`Work out its time`)),
      el('section', {}, el('h3', {}, t`Or what you counted`),
        el('p', { class: 'hint' }, t`Hold a full chord, let go, and count the seconds until nothing is left to hear.`),
        el('div', { class: 'rows' }, row(t`Seconds`, seconds), row(t`On an organ like`, organ)),
        el('button', { onclick: () => this.working(() => api.describeChurch({ counted_s: +seconds.value, organ: organ.value }), made) }, t`Work out its time`)));
    plan();
  }

  /** organ reads a stop list that is pasted in. */
  organ() {
    const list = el('textarea', { id: 'own-list', rows: 10, spellcheck: 'false', placeholder: 'Great\nOpen Diapason 8\nPrincipal 4\n…\nPedal\nBourdon 16' });
    this.sheet(t`Your organ, from its stop list`,
      el('label', { for: 'own-list' }, t`Paste the stop list as a programme, a builder or a parish page prints it, in English, German, French, Italian, Spanish, Dutch, Swedish, Danish or Norwegian`), list,
      el('button', { onclick: () => this.working(() => api.describeOrgan(list.value), reading => this.reading(reading)) }, t`Read it`));
  }

  /** reading shows how each line was read, side by side. */
  reading({ lines, assumed, doubts, unread, divisions, wind, toml, said }) {
    const as = (tag, text, attributes) => { const [words, how] = spoken(said, text); return el(tag, { ...attributes, ...how }, words); };
    const asks = lines.some(l => l.readings.some(r => r.ask));
    const cells = l => l.readings.map((r, i) => el('tr', { class: r.unread ? 'unread' : null },
      i ? null : ['number', 'printed'].map(what => el('td', { class: what, rowspan: l.readings.length }, what === 'number' ? String(l.number) : l.text)),
      r.unread ? el('td', {}, t`not understood: ${r.text}`) : as('td', r.text), asks ? r.ask ? as('td', r.ask, { class: 'hint' }) : el('td') : null));
    return [
      el('p', {}, divisions.map((d, i) => `${d.name} ${i ? d.stops : count(d.stops, 'stop', 'stops')}`).join(', '), '. ',
        el('b', {}, unread ? t`${unread} not understood and left out.` : t`Every line was understood.`)),
      doubts?.length ? el('div', {}, el('b', {}, t`Please check:`), el('ul', {}, doubts.map(d => as('li', d)))) : null,
      this.offer(toml, 'our-organ.toml', t`Use this organ`),
      el('table', {}, el('thead', {}, el('tr', {}, [t`line`, t`as printed`, t`read as`, ...(asks ? [t`assumed`] : [])].map(h => el('th', { scope: 'col' }, h)))), lines.map(l => el('tbody', {}, cells(l)))),
      wind ? el('p', { class: 'hint' }, t`A wind pressure is a number for reckoning here: what stands on an organ's wind is set by its builder, and nobody else changes it.`) : null,
      assumed?.length ? el('div', {}, el('b', {}, t`Assumed of the whole`), el('ul', {}, assumed.map(a => as('li', a)))) : null,
    ].filter(Boolean);
  }

  /** claps records hand claps, or takes recordings of them. */
  claps() { new Claps(this).open(); }
}
