// The page that is one file: opens its store and the desk's own page, and then starts the program in workers. It runs while the rest of the file is read.
import { use } from '../../desk/assets/door.js';
import { failed } from '../../desk/assets/messages.js';
import { Workers } from './workers.js';
import { openShelf } from './shelf.js';
import { licences } from './licences.js';

const text = id => document.getElementById(id).textContent;
const parsed = document.readyState === 'loading' ? new Promise(done => document.addEventListener('DOMContentLoaded', done, { once: true })) : null;
const pause = ms => new Promise(done => setTimeout(done, ms));
const painted = () => Promise.race([new Promise(done => requestAnimationFrame(() => setTimeout(done))), pause(200)]); // no frames come to a page in the background

/** @type {(parts: any) => void} */
let begin = () => {};
const shelf = openShelf();
const door = new Workers({ parts: new Promise(done => { begin = done; }), known: { '/api/desk': text('page-overview') }, shelf, cores: navigator.hardwareConcurrency || 2 });
use(door);

// Links to files of the desk are answered by the workers.
document.addEventListener('click', e => {
  const link = e.target instanceof Element && e.target.closest('a[href^="/"]');
  if (!link || e.defaultPrevented) return;
  e.preventDefault();
  door.download(link.getAttribute('href')).catch(failed);
});

await import('../../desk/assets/desk.js');
document.documentElement.dataset.started = 'yes';

// The page can be read and used before the program has arrived in it; on one core each would make the other slow.
await painted();
await parsed;
document.getElementById('page-passing').hidden = (await shelf).lasting;
licences(text('page-licences'));
const script = URL.createObjectURL(new Blob([text('page-worker')], { type: 'text/javascript' })), program = document.getElementById('page-program');
begin({ make: () => new Worker(script), program: program.textContent, vectors: text('page-vectors') });
program.remove();
