// What the keys of the keyboard do.

const CONTROLS = 'input, select, textarea, button, summary, a';
const TEXT = 'input[id=title], textarea';

/** keys lets actions be done by name of a key, where no control has the focus; undo by its usual keys. */
export function keys(ready, actions, undo) {
  document.addEventListener('keydown', e => {
    const target = /** @type {Element} */ (e.target);
    if (!ready()) return;
    const act = e.ctrlKey || e.metaKey ? e.key === 'z' && !target.closest(TEXT) && undo
      : !e.altKey && !target.closest(CONTROLS) && actions[e.key];
    if (!act) return;
    e.preventDefault();
    act();
  });
}

/** menus close when something else is clicked, or by Escape. */
export function menus() {
  const open = () => /** @type {NodeListOf<HTMLDetailsElement>} */ (document.querySelectorAll('details.menu[open]'));
  document.addEventListener('click', e => { for (const m of open()) if (!m.contains(/** @type {Node} */ (e.target))) m.open = false; });
  document.addEventListener('keydown', e => {
    if (e.key !== 'Escape') return;
    for (const m of open()) {
      m.open = false;
      m.querySelector('summary').focus();
    }
  });
}
