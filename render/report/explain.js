// Terms explained under the pointer, at the touch of a finger and at the focus: one at a time, beside its word. The report and the
// desk have it.

/** explanations explains the words of class term; textOf is the text of one. @param {(word: HTMLElement) => string} textOf */
export function explanations(textOf) {
  const box = document.createElement('div');
  Object.assign(box, { className: 'explanation', id: 'explanation', role: 'tooltip', hidden: true });
  document.body.append(box);
  let of = null;
  const hide = () => {
    if (of?.getAttribute('aria-describedby') === box.id) of.removeAttribute('aria-describedby');
    of = null;
    box.hidden = true;
  };
  const place = word => {
    const at = word.getBoundingClientRect(), { offsetWidth: w, offsetHeight: h } = box, below = at.bottom + 6;
    box.style.left = `${Math.max(8, Math.min(at.left, innerWidth - w - 8))}px`;
    box.style.top = `${below + h < innerHeight ? below : Math.max(8, at.top - h - 6)}px`;
  };
  const show = word => {
    hide();
    of = word;
    box.textContent = textOf(word);
    if (!word.hasAttribute('aria-describedby')) word.setAttribute('aria-describedby', box.id);
    box.hidden = false;
    place(word);
  };
  const wordOf = e => (e.target instanceof Element ? e.target.closest('.term') : null);
  document.addEventListener('pointerover', e => { if (e.pointerType === 'mouse' && wordOf(e)) show(wordOf(e)); });
  document.addEventListener('pointerout', e => { if (e.pointerType === 'mouse' && wordOf(e)) hide(); });
  document.addEventListener('focusin', e => { if (wordOf(e)) show(wordOf(e)); else hide(); });
  document.addEventListener('click', e => { if (wordOf(e)) { e.stopPropagation(); show(wordOf(e)); } else hide(); }, true);
  document.addEventListener('keydown', e => { if (e.key === 'Escape') hide(); });
  document.addEventListener('scroll', () => { if (of && of === document.activeElement) place(of); else hide(); }, true);
}
