// What was found: the verdict, the findings in words, the remarks, and rewriting against one of them.
import { $, el, clock, count, number } from './dom.js';
import { list, difference, tally, signs, unfold } from './findings.js';
import { trouble, say } from './messages.js';
import { note, told } from './versions.js';
import { barWord, inEnglish, spoken, t } from './terms.js';
import { whole } from './whole.js';
import { term } from './explain.js';

const REMARKS = 60; // the most that are written out

export class Found {
  /** listen and loop get a finding, select its number, link a finding and what is to be written on the link to its lesson sheet. */
  constructor(state, actions) {
    this.state = state;
    this.actions = { ...actions, mend: (f, offer, button) => this.mend(f, offer, button) };
    this.listed = null; // the run whose findings are written out
    $('list').addEventListener('click', e => {
      const article = e.target.closest('.finding');
      if (!article) return;
      const again = article.matches('.open') && e.target.closest('.line');
      this.select(Number(article.id.slice('finding-'.length)));
      if (again) unfold(article, false);
    });
  }

  open() {
    this.listed = null;
    this.said = '';
    $('verdict').textContent = t`Working it out …`;
    for (const id of ['facts', 'whole', 'list', 'difference', 'remarks']) $(id).replaceChildren();
    $('more').hidden = true;
  }

  show() {
    const { state } = this, { run } = state;
    const version = state.doc.b ? `${state.name(state.letter)}: ` : '', text = `${version}${tally(run.shown)}`;
    if (this.said !== text) {
      this.said = text;
      $('verdict').replaceChildren(version, ...signs(run.shown));
      say(text);
    }
    $('facts').replaceChildren(...facts(run.document));
    const { cautions = [] } = run.document.room;
    $('room-said').hidden = !cautions.length;
    $('room-said').replaceChildren(t`Of this room:`, ' ', ...cautions.map((c, i) => { const [text, as] = spoken(run.said, c); return el('span', as, text, i < cautions.length - 1 ? '; ' : '.'); }));
    if (this.listed !== run) this.list(run);
    $('difference').replaceChildren(...(state.doc.b && state.runs.a && state.runs.b ? [difference(state.runs.a, state.runs.b, state)] : []));
  }

  list(run) {
    this.listed = run;
    this.select(undefined);
    $('whole').replaceChildren(...whole(run.whole, run.said));
    $('list').replaceChildren(...list(run, this.actions));
    const remarks = run.document.remarks || [];
    $('more').hidden = !remarks.length;
    $('more').querySelector('summary').textContent = t`Assumed, repaired, not understood: ${remarks.length}`;
    $('remarks').replaceChildren(...remarks.slice(0, REMARKS).map(m => el('li', {}, m.bar ? `${t`Bar ${m.bar}:`} ` : '', told(run, m.text))));
  }

  /** select lets a finding stand out. */
  select(id) {
    const mine = $(`finding-${id}`);
    for (const x of document.querySelectorAll('.finding.here, .finding.open')) {
      if (x === mine) continue;
      x.classList.remove('here');
      unfold(x, false);
    }
    if (mine) {
      mine.classList.add('here');
      unfold(mine, true);
    }
    this.selected = id;
    this.actions.select(id);
  }

  /** show it: to a finding and its words. */
  go(f) {
    this.select(f.id);
    const e = $(`finding-${f.id}`);
    if (!e) return;
    e.focus({ preventScroll: true });
    e.scrollIntoView({ block: 'nearest', behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
  }

  /** step goes on or back by findings, in the order of the music. */
  step(by) {
    const { run } = this.state;
    if (!run?.shown.length) return;
    const inTime = [...run.shown].sort((a, b) => a.at_s - b.at_s);
    const here = inTime.findIndex(f => f.id === this.selected), i = here < 0 && by < 0 ? inTime.length : here;
    this.go(inTime[(i + by + inTime.length) % inTime.length]);
  }

  /** mend rewrites the score against a finding and says what that was worth. */
  async mend(f, offer, button) {
    const { project } = this.state;
    const article = button.closest('article'), outcome = article.querySelector('.outcome');
    const buttons = article.querySelectorAll('.offers button');
    buttons.forEach(b => { b.disabled = true; });
    outcome.hidden = false;
    outcome.textContent = t`Rewriting it and running it …`;
    try {
      const done = await project.mend(f.id, offer.name);
      say(`${done.what} ${done.verdict}`);
      outcome.replaceChildren(el('span', done.said ? {} : inEnglish, `${done.what ? `${done.what} ` : ''}${done.verdict}`));
      if (!done.helps && done.written) {
        outcome.append(' ', el('button', { onclick: () => project.mend(f.id, offer.name, true).catch(error => trouble(error.message)) }, t`Write it all the same`));
      }
      if (done.helps) {
        trouble('');
        note(done.verdict, done.said);
      }
    } catch (error) {
      outcome.textContent = error.message;
      if (error.status === 409) $('conflict').hidden = false;
    } finally { buttons.forEach(b => { b.disabled = false; }); }
  }
}

/** facts of a run in one line, but for those that the knobs say: nodes. */
export function facts({ score, room, unread }) {
  const before = [unread ? t`${count(unread, 'instruction', 'instructions')} about stops not read (below)` : '', `${score.bars} ${barWord(score.bars)}`, clock(score.duration_s), ''];
  const unsure = hz => (room.unsure_hz || []).includes(hz), away = number(room.distance_m, 0);
  return [before.filter((x, i) => x || i === 3).join(' · '), term('rt', 'RT'), ' ', unsure(500) && !unsure(1000) ? t`${number(room.rt60_s['1000'], 1)} s at 1 kHz · ${away} m from the organ`
    : unsure(500) ? t`${number(room.rt60_s['500'], 1)} s at 500 Hz, not sure · ${away} m from the organ` : t`${number(room.rt60_s['500'], 1)} s at 500 Hz · ${away} m from the organ`];
}
