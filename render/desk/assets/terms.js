// The words of the page: in English, with British or American terms (crotchet and quarter note, bar and measure), or in the
// language of a table (../../terms/languages). What the desk itself says of the findings it says in the same, where it can.
import { keeper } from './keeper.js';

const TABLES = ['de', 'fr', 'it'];

const kept = keeper('terms');

/** wanted is a name of a table, 'american' or '' for British terms: what was chosen, or else the first that the browser asks for. */
export function wanted(chosen, asked) {
  if (chosen) return chosen === 'british' ? '' : chosen;
  const first = asked.map(tag => tag.toLowerCase().split('-')[0]).find(l => l === 'en' || TABLES.includes(l));
  return first && first !== 'en' ? first : '';
}

const terms = wanted(kept.get(), globalThis.navigator?.languages || []);

/** language of the page, as in the attribute lang. */
export const language = TABLES.includes(terms) ? terms : 'en';

/** words are English texts in the language of the page. {0}, {1} … stand for what is put in. @type {Record<string, string>} */
const words = language === 'en' ? {} : await table(language);

async function table(name) {
  const inside = document.getElementById(`words-${name}`); // a page that has everything inside itself
  if (inside) return JSON.parse(inside.textContent);
  try { return await (await fetch(`/words/${name}.json`)).json(); } catch { return {}; } // English is better than nothing
}

/** t is a text in the language of the page: t`Undone: ${what}`, or t(text) where the text is already there. What stands for several
 * of a thing is set apart where English has one word: t`lost|several`. */
export function t(text, ...values) {
  const key = typeof text === 'string' ? text : text.reduce((all, part, i) => `${all}{${i - 1}}${part}`);
  const said = words[key] ?? key.replace(/\|several$/, '');
  return values.length ? said.replace(/\{(\d)\}/g, (_, i) => String(values[i])) : said;
}

/** inEnglish is the attribute of what stays English in a page of another language. */
export const inEnglish = language === 'en' ? {} : { lang: 'en' };

/** spoken is a text of the program in the language of the page, by the desk's sayings of it, and the attributes that it goes with. */
export const spoken = (said, text) => (said?.[text] ? [said[text], {}] : [text, inEnglish]);

const american = terms === 'american';

/** header and query ask the desk for the terms of the page. */
export const header = () => (terms ? { 'X-Terms': terms } : {});
export const query = path => (terms ? `${path}${path.includes('?') ? '&' : '?'}terms=${terms}` : path);

const plural = new Intl.PluralRules(language);

/** counted is one word or the other, by how many there are. */
export const counted = (n, one, many) => t(plural.select(n) === 'one' ? one : many);

/** crotchets are so many of them. */
export const crotchets = n => (american ? (n > 1 ? 'quarter notes' : 'quarter note') : counted(n > 1 ? 2 : 1, 'crotchet', 'crotchets'));

/** perMinute is the unit of a tempo. */
export const perMinute = () => (american ? 'quarter notes a minute' : t`crotchets a minute`);

/** barWord is what so many bars are called. */
export const barWord = n => (american ? (n === 1 ? 'measure' : 'measures') : counted(n, 'bar', 'bars'));

/** translate puts what stands in the page's own HTML into its language. */
export function translate() {
  document.documentElement.lang = language;
  if (language === 'en') return;
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode, text = node.nodeValue.trim();
    if (words[text]) node.nodeValue = node.nodeValue.replace(text, () => words[text]);
  }
  for (const name of ['title', 'aria-label', 'placeholder']) {
    for (const e of document.body.querySelectorAll(`[${name}]`)) e.setAttribute(name, t(e.getAttribute(name)));
  }
}
