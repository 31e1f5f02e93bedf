import test from 'node:test';
import assert from 'node:assert/strict';
import { setTimeout as pause } from 'node:timers/promises';
import { Workers, fileName } from '../../page/assets/workers.js';
import { Memory, openShelf } from '../../page/assets/shelf.js';

/** FakeWorker answers as assets/worker.js does: with what answer says to a request, once it is ready. */
class FakeWorker {
  static made = [];
  static answer = (w, m) => w.reply(m, 200, 'ok');
  static rehearse = (w, m) => w.reply(m, 204);

  constructor() {
    this.asked = [];
    this.told = [];
    FakeWorker.made.push(this);
  }

  say(data) { this.onmessage?.({ data }); }

  postMessage(m) {
    this.told.push(m);
    queueMicrotask(() => {
      if (m.what === 'start') {
        if (m.base64) this.say({ what: 'module', module: 'compiled' });
        this.say({ what: 'ready' });
      } else if (m.what === 'ask' && m.path.startsWith('/rehearse/')) {
        (FakeWorker.made.includes(this) ? FakeWorker.rehearse : w => w.reply(m, 204))(this, m); // others are of an earlier test
      } else if (m.what === 'ask') {
        this.asked.push(m.path);
        FakeWorker.answer(this, m);
      }
    });
  }

  reply({ id }, status, ...texts) {
    this.say({ what: 'head', id, status, headers: { 'Content-Type': 'text/plain' } });
    for (const t of texts) this.say({ what: 'part', id, bytes: new TextEncoder().encode(t) });
    this.say({ what: 'end', id, why: '' });
  }

  terminate() { this.ended = true; }
}

function door(cores = 2, answer = (w, m) => w.reply(m, 200, 'ok'), rehearse = (w, m) => w.reply(m, 204)) {
  FakeWorker.made = [];
  FakeWorker.answer = answer;
  FakeWorker.rehearse = rehearse;
  return new Workers({ parts: Promise.resolve({ make: () => new FakeWorker(), program: 'AAAA', vectors: 'AAAA' }), shelf: new Memory(), cores });
}

const text = async response => (await response).text();

test('findings and sound have a worker each, and loudness its own where there are cores', async () => {
  for (const [cores, workers] of [[1, 2], [2, 2], [8, 3]]) {
    const d = door(cores);
    await Promise.all(['proof', 'sound', 'loudness', 'files/a/heard.wav'].map(x => text(d.fetch(`/api/projects/p/${x}`, { method: 'POST', body: '{}' }))));
    assert.equal(FakeWorker.made.length, workers);
    assert.deepEqual(FakeWorker.made[0].asked, ['/api/projects/p/proof']);
    assert.ok(FakeWorker.made[1].asked.includes('/api/projects/p/sound'));
  }
});

test('what waits behind a run can be given up, and a run goes before other requests', async () => {
  let finish;
  const d = door(2, (w, m) => { if (m.path === '/slow') finish = () => w.reply(m, 200, 'slow'); else w.reply(m, 200, m.path); });
  const slow = text(d.fetch('/slow'));
  await pause(5);
  const abort = new AbortController();
  const old = d.fetch('/api/projects/p/proof', { method: 'POST', body: '1', signal: abort.signal });
  const other = text(d.fetch('/other')), next = text(d.fetch('/api/projects/p/proof', { method: 'POST', body: '2' }));
  await pause(5);
  abort.abort();
  await assert.rejects(old, { name: 'AbortError' });
  finish();
  assert.deepEqual(await Promise.all([slow, other, next]), ['slow', '/other', '/api/projects/p/proof']);
  assert.deepEqual(FakeWorker.made[0].asked, ['/slow', '/api/projects/p/proof', '/other']);
});

test('a long answer is taken piece by piece, and the worker is told what was taken', async () => {
  const d = door(2, (w, m) => w.reply(m, 200, 'first ', 'second ', 'third'));
  assert.equal(await text(d.fetch('/x/sound', { method: 'POST' })), 'first second third');
});

test('a worker that dies is started again; what it had not begun is asked again, what it had begun says so', async () => {
  let deaths = 0;
  const d = door(2, (w, m) => {
    if (m.path === '/once' && deaths++ === 0) w.say({ what: 'over', said: '' });
    else if (m.path === '/begun') {
      w.say({ what: 'head', id: m.id, status: 200, headers: {} });
      w.say({ what: 'over', said: '' });
    } else w.reply(m, 200, 'again');
  });
  assert.equal(await text(d.fetch('/once')), 'again');
  await assert.rejects(text(d.fetch('/begun')), { status: 503, message: /started again; the project is as it was/ });
  assert.equal(await text(d.fetch('/after')), 'again');
});

test('a worker that dies again and again is given up in words', async () => {
  const d = door(2, (w, m) => w.say({ what: 'over', said: '' }));
  await assert.rejects(d.fetch('/a'), { status: 503 });
  await assert.rejects(d.fetch('/b'), { message: /more memory than this browser gives/ });
  await assert.rejects(d.fetch('/c'), { message: /more memory than this browser gives/ });
});

test('workers rehearse while nobody asks for anything, and stop where they have done the real thing', async () => {
  const steps = [];
  const d = door(8, (w, m) => w.reply(m, 200, 'ok'), (w, m) => {
    steps.push(`${FakeWorker.made.indexOf(w)} ${m.path}`);
    w.reply(m, m.path.endsWith('/1') ? 204 : 200);
  });
  await text(d.fetch('/api/projects/p/sound', { method: 'POST' }));
  await d.rehearsed;
  assert.deepEqual(steps, ['0 /rehearse/judge/0', '2 /rehearse/sound/0', '0 /rehearse/judge/1', '2 /rehearse/sound/1']);
});

test('a request goes before the next step of a rehearsal', async () => {
  let finish;
  const order = [];
  const d = door(2, (w, m) => { order.push(m.path); finish = () => w.reply(m, 200, 'ok'); }, (w, m) => {
    order.push(m.path);
    w.reply(m, m.path.endsWith('/1') ? 204 : 200);
  });
  while (!order.length) await pause(20);
  const asked = text(d.fetch('/asked'));
  await pause(700);
  assert.deepEqual(order, ['/rehearse/judge/0', '/asked']);
  finish();
  await asked;
  await d.rehearsed;
  assert.equal(order[2], '/rehearse/sound/0');
});

test('whoever asks for something breaks a rehearsal off, which begins that step again when all rest', async () => {
  const order = [];
  let under;
  const d = door(2, (w, m) => { order.push(m.path); w.reply(m, 200, 'ok'); }, (w, m) => {
    order.push(m.path);
    if (order.length === 1) under = () => w.reply(m, 200); // a long one
    else w.reply(m, 204);
  });
  while (!order.length) await pause(20);
  const asked = text(d.fetch('/asked'));
  await pause(20);
  assert.ok(FakeWorker.made[0].told.some(m => m.what === 'leave'));
  under();
  await asked;
  await d.rehearsed;
  assert.deepEqual(order, ['/rehearse/judge/0', '/asked', '/rehearse/judge/0', '/rehearse/sound/0']);
});

test('where there are few cores no sound is made during a run, unless what is heard would run dry', async () => {
  for (const cores of [2, 8]) {
    let finish;
    const d = door(cores, (w, m) => { if (m.path === '/proof') finish = () => w.reply(m, 200, 'ok'); else w.reply(m, 200, 'ok'); });
    await text(d.fetch('/sound'));
    const said = () => FakeWorker.made[1].told.map(m => m.what).filter(what => what === 'hold' || what === 'resume');
    const run = text(d.fetch('/proof'));
    await pause(20);
    assert.deepEqual(said(), cores > 2 ? [] : ['hold']);
    d.spare = () => false;
    await pause(200);
    assert.deepEqual(said(), cores > 2 ? [] : ['hold', 'resume']);
    d.spare = () => true;
    await pause(200);
    finish();
    await run;
    assert.deepEqual(said(), cores > 2 ? [] : ['hold', 'resume', 'hold', 'resume']);
  }
});

test('where there is one core the worker for sound starts after that for findings has done what it was asked, or when sound is asked for', async () => {
  let finish;
  const d = door(1, (w, m) => { if (m.path === '/proof') finish = () => w.reply(m, 200, 'ok'); else w.reply(m, 200, 'ok'); });
  const run = text(d.fetch('/proof'));
  await pause(50);
  assert.deepEqual(FakeWorker.made[1].told, []);
  assert.equal(await text(d.fetch('/sound')), 'ok');
  finish();
  await run;
});

test('a worker that dies in a rehearsal has lost nothing of anybody’s', async () => {
  let deaths = 0;
  const d = door(2, (w, m) => w.reply(m, 200, 'ok'), w => { deaths++; w.say({ what: 'over', said: '' }); });
  await d.rehearsed;
  assert.equal(deaths, 1);
  assert.equal(d.judge.restarts, 0);
  assert.equal(await text(d.fetch('/after')), 'ok');
});

test('names of files come from the answer', () => {
  assert.equal(fileName('attachment; filename="Study report.html"'), 'Study report.html');
  assert.equal(fileName("attachment; filename*=utf-8''%C3%9Cbung.mid"), 'Übung.mid');
  assert.equal(fileName(null), '');
});

test('without a database projects are kept until the page is closed, and no save goes over another', async () => {
  const shelf = await openShelf(null);
  assert.equal(shelf.lasting, false);
  const state = new Uint8Array([1]);
  await shelf.save('p1', 1, state);
  await assert.rejects(shelf.save('p1', 1, state), { message: 'changed elsewhere' });
  await shelf.save('p1', 2, state);
  await shelf.write('p1', 'score-1.mid', state);
  assert.equal(await shelf.has('p1', 'score-1.mid'), true);
  await assert.rejects(shelf.read('p1', 'x'), { message: 'not there' });
  await shelf.remove('p1');
  await assert.rejects(shelf.state('p1'), { message: 'not there' });
  assert.equal(await shelf.has('p1', 'score-1.mid'), false);
});
