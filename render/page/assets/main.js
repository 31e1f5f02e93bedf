// The page that is one file: opens its store, starts the program in workers, and then the desk's own page.
import { use } from '../../desk/assets/door.js';
import { failed } from '../../desk/assets/messages.js';
import { Workers } from './workers.js';
import { openShelf } from './shelf.js';
import { licences } from './licences.js';

const text = id => document.getElementById(id).textContent;

const shelf = await openShelf();
const script = URL.createObjectURL(new Blob([text('page-worker')], { type: 'text/javascript' }));
const program = document.getElementById('page-program');
const door = new Workers({ make: () => new Worker(script), program: program.textContent, vectors: text('page-vectors'), known: { '/api/desk': text('page-overview') }, shelf, cores: navigator.hardwareConcurrency || 2 });
program.remove();
use(door);
document.getElementById('page-passing').hidden = shelf.lasting;
licences(text('page-licences'));

// Links to files of the desk are answered by the workers.
document.addEventListener('click', e => {
  const link = e.target instanceof Element && e.target.closest('a[href^="/"]');
  if (!link || e.defaultPrevented) return;
  e.preventDefault();
  door.download(link.getAttribute('href')).catch(failed);
});

await import('../../desk/assets/desk.js');
document.documentElement.dataset.started = 'yes';
