// Where the page keeps projects: in the browser's own database, or in memory where it keeps nothing.
import { t } from '../../desk/assets/terms.js';

const FULL = t`the browser’s store is full; keep the whole project as a file (Export), then delete what is not needed (Pieces)`;

const failure = error => new Error(error?.name === 'QuotaExceededError' ? FULL : error?.message || t`the browser’s store failed`);
const absent = () => new Error('not there');
const changed = () => new Error('changed elsewhere');

/** openShelf gives a shelf; its lasting is false where nothing outlives the page. */
export async function openShelf(factory = indexed()) {
  try { return new Database(await opened(factory)); } catch { return new Memory(); }
}

function indexed() {
  try { return globalThis.indexedDB; } catch { return null; } // denied
}

const opened = factory => new Promise((done, failed) => {
  const asked = factory.open('afterchord', 1);
  asked.onupgradeneeded = () => {
    asked.result.createObjectStore('states', { keyPath: 'id' });
    asked.result.createObjectStore('files', { keyPath: ['id', 'file'] });
  };
  asked.onsuccess = () => done(asked.result);
  asked.onerror = () => failed(asked.error);
  asked.onblocked = () => failed(new Error('blocked'));
});

/** Database keeps each state in one transaction: a save that is cut short leaves what was there. */
export class Database {
  constructor(db) {
    this.db = db;
    this.lasting = true;
    db.onversionchange = () => db.close();
  }

  /** within runs requests in one transaction; it ends when the disk has them. */
  within(stores, mode, work) {
    return new Promise((done, failed) => {
      const t = this.db.transaction(stores, mode, { durability: 'strict' });
      let value, why = null;
      t.oncomplete = () => done(value);
      t.onabort = () => failed(why || failure(t.error));
      work(t, result => { value = result; }, error => {
        why = error;
        t.abort();
      });
    });
  }

  one(store, key) {
    return this.within([store], 'readonly', (t, give) => {
      const asked = t.objectStore(store).get(key);
      asked.onsuccess = () => give(asked.result);
    });
  }

  projects() {
    return this.within(['states'], 'readonly', (t, give) => {
      const out = [];
      t.objectStore('states').openCursor().onsuccess = e => {
        const at = e.target.result;
        if (!at) { give(out); return; }
        out.push({ id: at.value.id, saved: at.value.saved });
        at.continue();
      };
    });
  }

  async state(id) {
    const kept = await this.one('states', id);
    if (!kept) throw absent();
    return kept.state;
  }

  save(id, version, state) {
    return this.within(['states'], 'readwrite', (t, give, fail) => {
      const states = t.objectStore('states'), asked = states.get(id);
      asked.onsuccess = () => {
        if ((asked.result?.version || 0) !== version - 1) fail(changed()); else states.put({ id, version, saved: Date.now(), state });
      };
    });
  }

  async read(id, file) {
    const kept = await this.one('files', [id, file]);
    if (!kept) throw absent();
    return kept.data;
  }

  write(id, file, data) {
    return this.within(['files'], 'readwrite', t => { t.objectStore('files').put({ id, file, data }); });
  }

  async has(id, file) { return !!await this.one('files', [id, file]); }

  remove(id) {
    return this.within(['states', 'files'], 'readwrite', t => {
      t.objectStore('states').delete(id);
      t.objectStore('files').delete(IDBKeyRange.bound([id], [id, []]));
    });
  }
}

/** Memory keeps projects until the page is closed. */
export class Memory {
  constructor() {
    this.lasting = false;
    this.states = new Map();
    this.files = new Map();
  }

  async projects() { return [...this.states].map(([id, { saved }]) => ({ id, saved })); }

  async state(id) {
    if (!this.states.has(id)) throw absent();
    return this.states.get(id).state;
  }

  async save(id, version, state) {
    if ((this.states.get(id)?.version || 0) !== version - 1) throw changed();
    this.states.set(id, { version, saved: Date.now(), state });
  }

  async read(id, file) {
    if (!this.files.has(`${id}/${file}`)) throw absent();
    return this.files.get(`${id}/${file}`);
  }

  async write(id, file, data) { this.files.set(`${id}/${file}`, data); }

  async has(id, file) { return this.files.has(`${id}/${file}`); }

  async remove(id) {
    this.states.delete(id);
    for (const key of this.files.keys()) if (key.startsWith(`${id}/`)) this.files.delete(key);
  }
}
