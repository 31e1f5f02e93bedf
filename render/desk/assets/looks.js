// Light or dark, the size of the letters, and whose terms are spoken.
import { $ } from './dom.js';
import { keeper } from './keeper.js';

/** looks sets the page as it was chosen; changed is called after each choice. */
export function looks(changed) {
  const terms = keeper('terms');
  $('terms').value = terms.get();
  $('terms').addEventListener('change', e => { // every text is asked for anew
    terms.set(e.target.value);
    location.reload();
  });
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
