// Terms that not everybody who writes music knows: explained under the pointer, at the touch of a finger and at the focus.
import { el } from './dom.js';
import { t } from './terms.js';

const TERMS = {
  rt: t`Reverberation time (RT60): how long a loud sound takes to die away by 60 dB, after the keys are up. At 500 Hz, near the b above middle c; the bass usually rings longer, the treble shorter.`,
  share: t`Of the sound that is struck here, how much the ear makes out beside what still rings: nothing at 0 %, all of it, as if it sounded alone, at 100 %. Computed as partial loudness.`,
  db: t`Decibels. 10 dB more sound about twice as loud; 1 dB is just noticed. Levels at the seat: talk about 60 dB, full organ in a church 90 to 100 dB.`,
};

/** term is a word that explains itself. @param {keyof typeof TERMS} name */
export const term = (name, text) => el('button', { type: 'button', class: 'term', 'data-term': name }, text);

/** explained is a text in which the first decibels explain themselves, a list of nodes. */
export function explained(text) {
  const m = /\bdB\b/.exec(text);
  return m ? [text.slice(0, m.index), term('db', m[0]), text.slice(m.index + m[0].length)] : [text];
}

/** explanations shows one at a time, beside its word. */
export function explanations() {
  const box = el('div', { class: 'explanation', id: 'explanation', role: 'tooltip', hidden: true });
  document.body.append(box);
  let of = null;
  const hide = () => {
    of?.removeAttribute('aria-describedby');
    of = null;
    box.hidden = true;
  };
  const show = word => {
    hide();
    of = word;
    box.textContent = TERMS[word.dataset.term];
    word.setAttribute('aria-describedby', 'explanation');
    box.hidden = false;
    const at = word.getBoundingClientRect(), { offsetWidth: w, offsetHeight: h } = box, below = at.bottom + 6;
    box.style.left = `${Math.max(8, Math.min(at.left, innerWidth - w - 8))}px`;
    box.style.top = `${below + h < innerHeight ? below : Math.max(8, at.top - h - 6)}px`;
  };
  const wordOf = e => (e.target instanceof Element ? e.target.closest('.term') : null);
  document.addEventListener('pointerover', e => { if (e.pointerType === 'mouse' && wordOf(e)) show(wordOf(e)); });
  document.addEventListener('pointerout', e => { if (e.pointerType === 'mouse' && wordOf(e)) hide(); });
  document.addEventListener('focusin', e => { if (wordOf(e)) show(wordOf(e)); else hide(); });
  document.addEventListener('click', e => { if (wordOf(e)) { e.stopPropagation(); show(wordOf(e)); } else hide(); }, true);
  document.addEventListener('keydown', e => { if (e.key === 'Escape') hide(); });
  document.addEventListener('scroll', hide, true);
}
