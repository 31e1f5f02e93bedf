// What the keys of the keyboard do.

const TEXT = 'textarea, select, input:not([type=range], [type=radio], [type=checkbox], [type=file])';

/** What has the focus keeps the keys that it needs itself; letters go to the page from everywhere but a field of text. */
const KEPT = {
  ' ': `${TEXT}, input, button, summary, a`,
  ArrowLeft: `${TEXT}, [type=range], [type=radio]`,
  ArrowRight: `${TEXT}, [type=range], [type=radio]`,
};

/** past is what the keys of undo and redo do here, null for others. */
const past = (e, { undo, redo }) => {
  const key = e.key.toLowerCase();
  if (key === 'z') return e.shiftKey ? redo : undo;
  return key === 'y' ? redo : null;
};

/** keys lets actions be done by name of a key, where an action that gives false leaves it to the browser, and undo and redo by their usual keys. */
export function keys(ready, actions, back) {
  document.addEventListener('keydown', e => {
    const target = /** @type {Element} */ (e.target);
    if (!ready() || target.closest('dialog')) return;
    const act = e.ctrlKey || e.metaKey ? !target.closest(TEXT) && past(e, back)
      : !e.altKey && !target.closest(KEPT[e.key] || TEXT) && actions[e.key];
    if (!act) return;
    if (act() !== false) e.preventDefault();
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
