// The door of the page: how a request reaches the desk. Another way is set with use before the page starts.
import { el } from './dom.js';
import { t } from './terms.js';

const CLOSED = t`The desk is closed. Start it again (the program afterchord); this page then goes on by itself.`;

/** server is a desk that serves this page. @type {import('./types').Door} */
const server = {
  async fetch(path, options) {
    try {
      return await fetch(path, { ...options, cache: 'no-store' });
    } catch (error) {
      throw error.name === 'AbortError' ? error : Object.assign(new Error(CLOSED), { closed: true });
    }
  },

  async download(path) { // the browser shows how far it is
    const link = el('a', { href: path, download: '', hidden: true });
    document.body.append(link);
    link.click();
    link.remove();
  },

  async library({ style, library, script }) {
    const arrives = (tag, attributes) => new Promise((done, failed) => {
      document.head.append(el(tag, { ...attributes, onload: done, onerror: () => failed(new Error(t`the engraving library did not come`)) }));
    });
    await Promise.all([arrives('link', { rel: 'stylesheet', href: style }), arrives('script', { src: library }), arrives('script', { src: script })]);
  },
};

let open = server;

/** door is the one that the page goes through. */
export const door = () => open;

/** use lets the page go through another. */
export const use = other => { open = other; };
