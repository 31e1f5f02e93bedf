// For a class: the music large and alone with the player, one finding at a time, gone through with the keys of a clicker.
import { $, count, signed } from './dom.js';
import { inEnglish, t } from './terms.js';

export class Presenting {
  /** step goes on or back by findings, listen plays from one, large lets the music be large or as before. */
  constructor(state, { step, listen, large }) {
    this.state = state;
    this.actions = { step, listen, large };
    this.on = false;
    this.finding = null;
    for (const [id, act] of /** @type {[string, () => void][]} */ ([['present', () => this.turn(true)], ['caption-leave', () => this.turn(false)], ['caption-on', () => step(1)],
      ['caption-back', () => step(-1)], ['caption-listen', () => this.finding && listen(this.finding)]])) $(id).addEventListener('click', act);
    // The browser leaves the full screen by itself at Escape, without a word to the page but this.
    document.addEventListener('fullscreenchange', () => { if (!document.fullscreenElement) this.turn(false); });
  }

  /** turn begins and ends it. */
  turn(on = !this.on) {
    if (on === this.on || on && !this.state.run) return;
    this.on = on;
    document.body.classList.toggle('presenting', on);
    $('caption').hidden = !on;
    for (const menu of document.querySelectorAll('details.menu[open]')) /** @type {HTMLDetailsElement} */ (menu).open = false;
    if (on) document.documentElement.requestFullscreen?.().catch(() => { /* it does as well in a window */ });
    else if (document.fullscreenElement) document.exitFullscreen().catch(() => { /* it is left already */ });
    this.actions.large(on);
    this.show(this.finding?.id);
    (on ? $('caption-on') : $('play')).focus({ preventScroll: true });
  }

  /** show says which finding stands out, undefined for none. */
  show(id) {
    const shown = this.state.run?.shown || [], f = this.finding = shown.find(x => x.id === id) || null;
    if (!this.on) return;
    const inTime = [...shown].sort((a, b) => a.at_s - b.at_s);
    $('caption-where').replaceChildren(...(f ? [signed(f.severity, ` ${f.id}`), ` ${f.place}: ${f.kind} `, t`(${inTime.indexOf(f) + 1} of ${shown.length})`]
      : [`${this.state.doc.name}: ${count(shown.length, 'finding', 'findings')}`]));
    $('caption-message').textContent = f ? f.message : '';
    $('caption-message').lang = f && !f.said ? inEnglish.lang || '' : '';
    $('caption-listen').disabled = !f;
  }
}
