// The page's door to the program in its workers: requests are answered as a server would.
import { t } from '../../desk/assets/terms.js';

const RESTARTS = 3;       // of a worker before it is given up
const OVER = t`The program ran out of memory and was started again; the project is as it was.`;
const GIVEN_UP = t`This piece takes more memory than this browser gives. Close other pages, or cut the score, and load this page again.`;

const REHEARSAL = '/rehearse/';
const REST = 300; // ms without work before a rehearsal goes on
const FEW = 2;    // cores, of which findings and sound cannot have one each
const LOOK = 50;  // ms between two looks whether what is heard will last until the findings are there

const busy = text => Object.assign(new Error(text), { status: 503 });
const rehearsal = job => job.path.startsWith(REHEARSAL);
const run = job => /\/proof$/.test(job.path);
const gone = () => new DOMException('given up', 'AbortError');

/** Workers are at least two, so that findings never wait for sound: one judges and keeps, one renders, and where
 * there are cores, one measures how loud it is. */
export class Workers {
  /** parts come when the page has them: make gives a new Worker, program and vectors are WebAssembly in base64, the program packed. shelf keeps the
   * projects, or comes later too. known are the program's answers that are the same each time (JSON by address). */
  constructor({ parts, shelf, cores, known = {} }) {
    this.known = known;
    this.parts = parts;
    this.shelf = shelf;
    this.module = new Promise(done => { this.compiled = done; });
    this.few = cores <= FEW;
    this.alone = cores === 1;
    this.spare = () => true; // whether no sound need be made for a moment: the player knows
    this.lastId = 0;
    this.judge = new Hand(this, 1, true);
    this.sound = new Hand(this, Infinity);
    this.meter = cores > 2 ? new Hand(this, Infinity) : this.sound;
    this.rehearsed = this.rehearse();
  }

  get hands() { return [...new Set([this.judge, this.sound, this.meter])]; }

  /** rehearse has the workers go through short pieces while nobody asks for anything: a browser runs a program slowly until it
   * has compiled what runs often. Whoever asks for something breaks it off, and a worker that has done the real thing needs none. */
  async rehearse() {
    let left = this.hands;
    try {
      for (let step = 0; left.length; step++) {
        for (const hand of left) if (await this.practise(hand, step)) left = left.filter(other => other !== hand);
      }
    } catch { /* a worker has died of it */ }
  }

  /** practise takes a worker through one step; true when it needs no more. */
  async practise(hand, step) {
    for (;;) {
      await this.idle();
      if (hand.practised) return true;
      const { signal } = this.rehearsal = new AbortController();
      try {
        return (await this.ask(hand, `${REHEARSAL}${hand === this.judge ? 'judge' : 'sound'}/${step}`, { method: 'POST', signal })).status === 204;
      } catch (error) {
        if (!signal.aborted) throw error;
      }
    }
  }

  /** idle ends when every worker has been ready and without work for a while. */
  async idle() {
    for (let since = Date.now(); Date.now() - since < REST; await new Promise(done => setTimeout(done, REST / 3))) {
      if (!this.hands.every(hand => hand.resting)) since = Date.now();
    }
  }

  /** share gives the processor to a run first where there are few cores: the others make no sound meanwhile, unless what is heard would run dry. */
  share() {
    if (!this.few) return;
    clearTimeout(this.look);
    const { judging } = this.judge, hold = judging && this.spare();
    for (const hand of this.hands) if (hand !== this.judge) hand.hold(hold);
    if (judging) this.look = setTimeout(() => this.share(), LOOK);
  }

  /** hand is the worker that answers an address. */
  hand(path) {
    if (/\/sound$|\.wav$/.test(path)) return this.sound;
    return /\/loudness$/.test(path) ? this.meter : this.judge;
  }

  async fetch(path, { method = 'GET', body = undefined, headers = {}, signal = undefined } = {}) {
    if (method === 'GET' && this.known[path]) return new Response(this.known[path], { headers: { 'Content-Type': 'application/json' } });
    return this.ask(this.hand(path), path, { method, body, headers, signal });
  }

  async ask(hand, path, { method = 'GET', body = undefined, headers = {}, signal = undefined }) {
    const bytes = body === undefined ? null : typeof body === 'string' ? new TextEncoder().encode(body) : new Uint8Array(await new Response(body).arrayBuffer());
    if (signal?.aborted) throw gone();
    return new Promise((done, failed) => {
      const job = { id: ++this.lastId, path, method, headers, bytes, done, failed, stream: null, tries: 0 };
      signal?.addEventListener('abort', () => hand.leave(job), { once: true });
      hand.take(job);
    });
  }

  async download(path) {
    const response = await this.fetch(path);
    if (!response.ok) throw new Error((await response.json()).error);
    const name = fileName(response.headers.get('Content-Disposition')) || path.split('/').pop().split('?')[0];
    const link = document.createElement('a');
    link.href = URL.createObjectURL(await response.blob());
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  }

  async library({ style, library, script }) {
    const texts = await Promise.all([style, library, script].map(async path => (await this.fetch(path)).text()));
    for (const [i, tag] of ['style', 'script', 'script'].entries()) {
      const e = document.createElement(tag);
      e.textContent = texts[i]; // the page's policy knows its hash
      document.head.append(e);
    }
  }
}

/** fileName is that of a Content-Disposition. */
export function fileName(disposition) {
  const coded = /filename\*=utf-8''([^;]+)/i.exec(disposition || '');
  if (coded) return decodeURIComponent(coded[1]);
  const plain = /filename="?((?:[^";\\]|\\.)+)"?/.exec(disposition || '');
  return plain ? plain[1].replace(/\\(.)/g, '$1') : '';
}

/** Hand is one worker with what it has to do; one of them compiles the program for all. Atmost requests are given to it at once: while it computes it hears nothing,
 * so what waits here can still be given up. */
export class Hand {
  constructor(door, atMost, compiles = false) {
    this.door = door;
    this.atMost = atMost;
    this.compiles = compiles;
    this.queue = [];
    this.under = new Map();
    this.restarts = 0;
    this.practised = false; // it has judged or played what somebody asked for
    this.rested = new Promise(done => { this.rest = done; });   // it is ready and was without work once
    this.called = new Promise(done => { this.call = done; });   // it was asked for something
    this.start();
  }

  async start() {
    this.ready = false;
    this.held = false;
    const parts = await this.door.parts, { vectors } = parts, worker = this.worker = parts.make();
    worker.onmessage = e => { if (worker === this.worker) this[`on_${e.data.what}`](e.data); };
    worker.onerror = e => { e.preventDefault?.(); if (worker === this.worker) this.on_over({ said: e.message }); };
    if (this.compiles) worker.postMessage({ what: 'start', base64: parts.program, vectors });
    else {
      const module = await this.door.module;
      if (this.door.alone) await Promise.race([this.door.judge.rested, this.called]);
      if (worker === this.worker) worker.postMessage({ what: 'start', module, vectors });
    }
  }

  get resting() { return this.given || (this.ready && !this.queue.length && !this.under.size); }

  /** judging says that it has a run to do or under way. */
  get judging() { return !this.given && [...this.queue, ...this.under.values()].some(job => run(job) && !job.left); }

  take(job) {
    if (this.given) { job.failed(busy(GIVEN_UP)); return; }
    if (!rehearsal(job)) this.door.rehearsal?.abort();
    this.call();
    if (run(job)) this.queue.unshift(job); else this.queue.push(job);
    this.next();
  }

  /** hold has the worker stop where it breathes, or go on. */
  hold(on) {
    if (on === this.held || !this.ready) return;
    this.held = on;
    this.worker.postMessage({ what: on ? 'hold' : 'resume' });
  }

  next() {
    while (this.ready && this.queue.length && this.under.size < this.atMost) {
      const job = this.queue.shift();
      this.under.set(job.id, job);
      const { id, method, path, headers, bytes } = job;
      this.worker.postMessage({ what: 'ask', id, method, path, headers, body: bytes });
    }
    if (this.ready && this.resting) this.rest();
    this.door.share();
  }

  leave(job) {
    this.queue = this.queue.filter(x => x !== job);
    if (this.under.has(job.id)) this.worker.postMessage({ what: 'leave', id: job.id });
    job.left = true;
    job.failed(gone());
    this.door.share();
    if (job.stream) try { job.stream.error(gone()); } catch { /* it has ended */ }
  }

  async on_module({ module }) {
    this.compiles = false;
    this.door.compiled(module);
    (await this.door.parts).program = ''; // megabytes
  }

  on_ready() {
    this.ready = true;
    this.next();
  }

  on_head({ id, status, headers }) {
    const job = this.under.get(id);
    if (!job || job.left) return;
    this.practised ||= /\/(proof|sound)$/.test(job.path);
    const empty = status === 204 || status === 304;
    const body = empty ? null : new ReadableStream({
      start: controller => { job.stream = controller; },
      cancel: () => this.leave(job),
      pull: () => this.taken(job),
    }, { highWaterMark: 0 });
    job.parts = [];
    job.done(new Response(body, { status, headers }));
  }

  on_part({ id, bytes }) {
    const job = this.under.get(id);
    if (!job || job.left) return;
    job.parts.push(bytes);
    if (job.wants) this.taken(job);
  }

  /** taken hands a part on when it is wanted, and lets the worker make another. */
  taken(job) {
    const bytes = job.parts.shift();
    job.wants = !bytes;
    if (!bytes) {
      if (job.ended) this.close(job);
      return;
    }
    job.stream.enqueue(bytes);
    if (!job.ended) this.worker.postMessage({ what: 'more', id: job.id, bytes: bytes.length });
  }

  on_end({ id, why }) {
    const job = this.under.get(id);
    this.under.delete(id);
    if (job && !job.left) {
      job.ended = true;
      job.why = why;
      if (!job.stream) job.failed(new Error(why || t`there was no answer`));
      else if (job.wants || why) this.close(job);
    }
    this.next();
  }

  close(job) {
    if (job.why) job.stream.error(new Error(job.why)); else job.stream.close();
  }

  async on_shelf({ call, args: [what, ...args] }) {
    const { worker } = this;
    try {
      const value = await (await this.door.shelf)[what](...args);
      worker.postMessage({ what: 'shelf', call, value });
    } catch (error) {
      worker.postMessage({ what: 'shelf', call, error: error.message });
    }
  }

  /** on_over starts the worker again. What it was asked and has not begun to answer is asked once more. */
  on_over({ said }) {
    if (said) console.warn(said);
    this.worker.terminate();
    const all = [...this.under.values()], jobs = all.filter(job => !job.left);
    this.under.clear();
    if (!all.some(rehearsal)) this.given = ++this.restarts > RESTARTS; // nobody has missed anything yet
    for (const job of jobs) {
      if (job.stream) { if (!job.ended) job.stream.error(busy(OVER)); }
      else if (!this.given && job.tries++ < 1 && job.method !== 'PUT' && !rehearsal(job)) this.queue.unshift(job);
      else job.failed(busy(this.given ? GIVEN_UP : OVER));
    }
    if (this.given) {
      for (const job of this.queue.splice(0)) job.failed(busy(GIVEN_UP));
      this.rest();
      this.door.share();
      return;
    }
    this.start();
  }
}
