// New versions of the score: dropped, chosen, or saved by the notation program into the file that the project follows.
import { ask } from './api.js';
import { $, el, count } from './dom.js';
import { differences, tally } from './findings.js';
import { failed, say } from './messages.js';
import { follow } from './watched.js';
import { t } from './terms.js';

const PAUSE = 3000; // ms until a desk that does not answer is asked again

/** stem of a file's name: what a browser or a notation program adds to make it another one is left out. */
export const stem = name => name.replace(/\.[^.]*$/, '').replace(/[ _-]*(\(\d+\)|copy|v?\d+)$/i, '').trim().toLowerCase();

/** newest is the score of a project that came last from its user. */
export const newest = scores => scores.reduce((best, s, i) => (s.from === i && (s.edition || 0) >= (scores[best].edition || 0) ? i : best), 0);

/** isNext says whether a file is a new version of the score on the desk, by its name. */
export const isNext = (doc, name) => stem(doc.scores[newest(doc.scores)].shown) === stem(name);

/** Renewed puts new versions of the score under the knobs as they are, and says what they changed. */
export class Renewed {
  constructor(state) {
    this.state = state;
    this.before = null; // the run of the version before
    this.following = null;
    /** @type {AbortController} */
    this.watching = null;
    addEventListener('online', () => this.following?.wake?.());
  }

  /** open follows the file of another project, if it has one. */
  open(project) {
    this.close();
    const mine = this.following = { abort: new AbortController(), wake: null };
    this.follow(project, mine);
  }

  /** watch follows a file that the browser lets the page read again, as long as the project is on the desk. */
  watch(handle, file) {
    this.watching?.abort();
    this.watching = new AbortController();
    $('followed').hidden = false;
    $('followed').textContent = t`follows ${file.name}`;
    follow(handle, file, now => this.take(now), this.watching.signal);
  }

  close() {
    this.forget();
    this.following?.abort.abort();
    this.following = null;
    this.watching?.abort();
  }

  forget() {
    this.before = null;
    $('renewed').replaceChildren();
  }

  async follow(project, mine) {
    const { signal } = mine.abort;
    let seen = '';
    while (!signal.aborted) {
      try {
        const reply = await (await ask('GET', `/api/projects/${project.doc.id}/watch?seen=${seen}`, { signal })).json();
        if (!reply.watched) return;
        $('followed').hidden = false;
        $('followed').textContent = t`follows ${reply.file}`;
        if (seen !== reply.sum) {
          const first = seen === '';
          seen = reply.sum;
          await this.take(null, first);
        }
      } catch (error) {
        if (signal.aborted) return;
        if (error.status === 404) return;
        await new Promise(done => { mine.wake = done; setTimeout(done, PAUSE); });
      }
    }
  }

  /** take puts a file (null: the one that is followed) in the place of the score. quiet where nothing new is no news. */
  async take(file, quiet = false) {
    const { state } = this, { project } = state, run = state.run;
    try {
      const done = await project.renew(file);
      if (done.same) { if (!quiet) say(t`The score is the same as before.`); return; }
      if (run) this.before = run;
      say(t`A new version of the score.`);
    } catch (error) { failed(error); }
  }

  /** show says what the new version changed, once it has been run. */
  show() {
    const { before, state } = this, { run } = state;
    if (!before || !run || run.side.score === before.side.score) { if (!before) $('renewed').replaceChildren(); return; }
    const { gone, came, left } = differences(before, run);
    const item = (sign, word, f) => el('li', {}, el('b', {}, `${sign} ${word}`), ` ${f.kind}, ${f.place}`);
    $('renewed').replaceChildren(el('section', { class: 'difference', 'aria-label': t`What changed since the last version of the score` },
      el('p', {}, el('b', {}, t`Since the last version:`), ' ', t`${gone.length} gone, ${came.length} new, ${count(left.length, 'finding', 'findings')} as before. Was ${tally(before.shown)}; now ${tally(run.shown)}.`, ' ',
        el('button', { onclick: () => this.forget() }, t`Good`)),
      el('ul', {}, gone.slice(0, 12).map(f => item('−', t`gone:`, f)), came.slice(0, 12).map(f => item('+', t`new:`, f)))));
  }
}
