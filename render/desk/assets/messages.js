// What the page says to its user.
import { $ } from './dom.js';

/** trouble shows what went wrong in one line, until the next; '' takes it away. */
export function trouble(text) {
  $('trouble').textContent = text || '';
  $('trouble').hidden = !text;
}

/** failed shows an error. */
export const failed = error => trouble(error.message);

/** say is for those who hear the page. */
export const say = text => { $('said').textContent = text; };
