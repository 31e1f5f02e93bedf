// What the page says to its user.
import { $ } from './dom.js';
import { inEnglish } from './terms.js';

/** trouble shows what went wrong in one line, until the next; '' takes it away. What the desk says is English. */
export function trouble(text, english = false) {
  $('trouble').lang = english ? inEnglish.lang || '' : '';
  $('trouble').textContent = text || '';
  $('trouble').hidden = !text;
}

/** failed shows an error. */
export const failed = error => trouble(error.message, error.english);

/** say is for those who hear the page. */
export const say = text => { $('said').textContent = text; };
