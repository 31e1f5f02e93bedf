// Light or dark, and the size of the letters.
import { $ } from './dom.js';
import { keeper } from './keeper.js';

/** looks sets the page as it was chosen; changed is called after each choice. */
export function looks(changed) {
  for (const name of ['theme', 'size']) {
    const apply = value => { document.documentElement.dataset[name] = value; };
    const kept = keeper(name);
    $(name).value = kept.get();
    apply($(name).value);
    $(name).addEventListener('change', e => {
      apply(e.target.value);
      kept.set(e.target.value);
      changed();
    });
  }
}
