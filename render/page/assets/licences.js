// The notices of what is inside the page, as a file to keep.
import { $, el } from '../../desk/assets/dom.js';
import { t } from '../../desk/assets/terms.js';

/** licences adds the way to a text to the page's menu. */
export function licences(text) {
  const address = URL.createObjectURL(new Blob([text], { type: 'text/plain;charset=utf-8' }));
  $('licences').after(el('p', { class: 'hint' }, el('a', { href: address, download: 'licences.txt' }, t`Licences of what is in this page`)));
}
