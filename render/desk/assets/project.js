// The project on the desk: its state, undo, and saving so that no tab overwrites another.
import * as api from './api.js';

const pendingKey = id => `afterchord-desk:unsaved:${id}`;
// The steps that undo goes back are bounded in all: the server keeps no more (maxPastBytes), nor does the browser.
const pastBytes = 400 << 10;
const copy = x => structuredClone(x);

export class Project extends EventTarget {
  constructor(doc) {
    super();
    this.take(doc);
    this.dirty = false;
    this.saving = null;
    this.timer = 0;
    this.lastWhat = '';
    this.lastAt = 0;
    this.channel = new BroadcastChannel('afterchord-desk');
    this.channel.onmessage = e => {
      if (e.data.id !== this.doc.id || e.data.version <= this.doc.version) return;
      if (!this.dirty && !this.saving) this.reload();
    };
    this.restore();
  }

  take(doc) {
    this.doc = doc;
    this.doc.past ||= [];
    /** @type {import('./types').ProjectDocument['past']} what undo has taken back, the last one last */
    this.future = [];
  }

  // close gives the desk to another project; what is not saved yet still is, in silence.
  close() {
    this.channel.onmessage = null;
    this.flush().finally(() => this.channel.close());
    this.closed = true;
  }

  get side() { return this.doc[this.doc.active] || this.doc.a; }
  get letter() { return this.doc.active; }

  say(type, detail) { if (!this.closed) this.dispatchEvent(new CustomEvent(type, { detail })); }

  // change edits the state by f; what names it for undo. Quick successions of the same what (a dragged slider) are one step.
  change(what, f) {
    const now = Date.now();
    if (what && !(what === this.lastWhat && now - this.lastAt < 1500)) {
      this.doc.past.push(this.as(what));
      while (this.doc.past.length > 60 || JSON.stringify(this.doc.past).length > pastBytes && this.doc.past.length > 1) this.doc.past.shift();
    }
    if (what) this.future = [];
    this.lastWhat = what;
    this.lastAt = now;
    f(this.doc);
    if (!this.doc.b) this.doc.active = 'a';
    this.touched();
  }

  /** as is the present state, under the name of what comes after it. */
  as(what) { return copy({ what, a: this.doc.a, b: this.doc.b || null, names: this.doc.names || {} }); }

  undo() { return this.step(this.doc.past, this.future); }

  redo() { return this.step(this.future, this.doc.past); }

  /** step goes to the last state of one list and leaves the present one in the other; it gives what the change was called. */
  step(from, to) {
    const there = from.pop();
    if (!there) return null;
    to.push(this.as(there.what));
    this.doc.a = there.a;
    this.doc.b = there.b || null;
    this.doc.names = there.names || {};
    if (!this.doc.b) this.doc.active = 'a';
    this.seated();
    this.lastWhat = '';
    this.touched();
    return there.what;
  }

  touched() {
    this.dirty = true;
    this.remember();
    this.say('change');
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), 400);
  }

  state() {
    const { name, a, b, active, names, past } = this.doc;
    return copy({ name, a, b: b || null, active, names: names || {}, past });
  }

  // What is not yet on the disk survives a reload here.
  remember() {
    try { localStorage.setItem(pendingKey(this.doc.id), JSON.stringify({ version: this.doc.version, state: this.state() })); } catch { /* private mode: the server has the last save */ }
  }

  forget() {
    try { localStorage.removeItem(pendingKey(this.doc.id)); } catch { /* nothing is kept here */ }
  }

  restore() {
    try {
      const kept = JSON.parse(localStorage.getItem(pendingKey(this.doc.id)));
      if (kept && kept.version === this.doc.version) {
        Object.assign(this.doc, kept.state);
        this.dirty = true;
        this.timer = setTimeout(() => this.flush(), 0);
      } else if (kept) this.forget();
    } catch { /* nothing kept */ }
  }

  // flush saves what was changed; it resolves when the disk has it.
  async flush() {
    clearTimeout(this.timer);
    while (this.saving) await this.saving;
    if (!this.dirty || this.closed) return;
    this.saving = this.put();
    try { await this.saving; } finally { this.saving = null; }
  }

  async put() {
    this.dirty = false;
    this.say('saving');
    try {
      const done = await api.save(this.doc.id, this.doc.version, this.state());
      this.doc.version = done.version;
      if (this.dirty) this.remember(); else this.forget();
      this.channel.postMessage({ id: this.doc.id, version: this.doc.version });
      this.say('saved');
      if (this.dirty) this.timer = setTimeout(() => this.flush(), 400);
    } catch (error) {
      this.dirty = true;
      if (error.status === 409) { this.say('conflict'); return; }
      const never = error.status >= 400 && error.status < 500 && error.status !== 408 && error.status !== 429;
      this.say('unsaved', { why: error.message, never });
      if (!never) this.timer = setTimeout(() => this.flush(), 3000);
    }
  }

  // mend asks for a rewriting against a finding and looks at it.
  async mend(finding, remedy, anyway) {
    await this.flush();
    const letter = this.letter;
    const done = await api.mend(this.doc.id, this.doc.version, { side: this.side, finding, remedy, anyway: !!anyway });
    if (done.project) {
      this.rebase(done.project);
      this.change('rewriting', d => { d[letter].score = done.score; d[letter].dynamics = []; });
      await this.flush();
    }
    return done;
  }

  // renew puts a new version of the score (null: the file that the project follows) in the place of the one that
  // came before, under the same knobs. What they say of bars and parts that it does not have is left out.
  async renew(file) {
    await this.flush();
    const done = await api.renew(this.doc.id, this.doc.version, file);
    const parts = new Set(done.parts), bars = new Set(done.bars);
    const sides = d => [d.a, d.b].filter(s => s && s.score !== done.score && (s === d[d.active] || d.scores[s.score].from === s.score));
    if (done.same && !sides(this.doc).length) return done;
    this.rebase(done.project);
    this.change('new version of the score', d => {
      for (const s of sides(d)) {
        s.score = done.score;
        s.dynamics = (s.dynamics || []).filter(m => parts.has(m.part) && bars.has(m.bar));
        s.assign = Object.fromEntries(Object.entries(s.assign || {}).filter(([part]) => parts.has(part)));
      }
    });
    await this.flush();
    return { ...done, same: false };
  }

  /** ownFile takes a building or an organ of the user's and puts it into the version that is looked at. */
  async ownFile(file) {
    await this.flush();
    const { project, kind } = await api.ownFile(this.doc.id, this.doc.version, file);
    this.rebase(project);
    this.change(kind === 'organ' ? 'own organ' : 'own building', d => {
      const side = d[this.letter];
      side[kind] = 'own';
      if (kind === 'organ') side.assign = {};
      else if (d.response.seats?.includes('my place')) side.seat = 'my place'; // where it was put on the plan
      this.seated();
    });
  }

  /** seated gives the versions in the user's church a seat that it has: another may have stood there. */
  seated() {
    const { a, b, response } = this.doc, seats = response?.seats || [];
    for (const side of [a, b]) {
      if (side?.room === 'own' && seats.length && !seats.includes(side.seat)) side.seat = seats.includes('middle') ? 'middle' : seats[0];
    }
  }

  // rebase takes what the server changed and keeps what is looked at.
  rebase(doc) {
    this.doc.version = doc.version;
    this.doc.scores = doc.scores;
    this.doc.response = doc.response;
    this.doc.organ = doc.organ;
    if (!this.closed) this.channel.postMessage({ id: doc.id, version: doc.version });
    if (this.dirty) this.remember();
  }

  async reload() {
    this.take(await api.project(this.doc.id));
    this.dirty = false;
    this.forget();
    this.say('change');
    this.say('saved');
  }

  // keepMine saves over another window's change; undo goes back to it.
  async keepMine() {
    const theirs = await api.project(this.doc.id);
    this.doc.version = theirs.version;
    this.doc.scores = theirs.scores;
    this.doc.response = theirs.response;
    this.doc.organ = theirs.organ;
    this.doc.past.push({ what: 'the other window', a: theirs.a, b: theirs.b || null, names: theirs.names || {} });
    this.dirty = true;
    await this.flush();
    this.say('change');
  }
}
