import test from 'node:test';
import assert from 'node:assert/strict';
import { setTimeout as pause } from 'node:timers/promises';
import { use } from '../assets/door.js';
import { Runs, runOf } from '../assets/runs.js';
import { State } from '../assets/state.js';
import { tally } from '../assets/findings.js';

const side = room => ({ score: 0, room, rt: 2, seat: 'middle', organ: 'village', tempo: 1 });

/** at makes a state with a project, and a desk that answers a run when it is let. */
function at(doc) {
  const state = new State(), waiting = [];
  state.project = /** @type {any} */ ({ doc: { id: 'p1', b: null, active: 'a', ...doc } });
  use({
    fetch: (path, { body, signal }) => new Promise((done, failed) => {
      waiting.push({ room: JSON.parse(body).room, signal, answer: () => done(new Response(JSON.stringify({ shown: [], document: { findings: [] } }))) });
      signal.addEventListener('abort', () => failed(new DOMException('given up', 'AbortError')));
    }),
    download: async () => {},
    library: async () => {},
  });
  return { state, waiting, runs: new Runs(state) };
}

test('a version is run once as it is', async () => {
  const { state, waiting, runs } = at({ a: side('abbey') });
  runs.prove();
  runs.prove();
  await pause(5);
  assert.equal(waiting.length, 1);
  waiting[0].answer();
  await pause(5);
  assert.equal(state.run.side.room, 'abbey');
  runs.prove();
  await pause(150);
  assert.equal(waiting.length, 1);
  assert.equal(runs.busy, false);
});

test('a run that is out of date is given up', async () => {
  const { state, waiting, runs } = at({ a: side('abbey') });
  runs.prove();
  await pause(5);
  state.doc.a = side('chapel');
  runs.prove();
  await pause(5);
  assert.equal(waiting[0].signal.aborted, true);
  assert.deepEqual(waiting.map(w => w.room), ['abbey', 'chapel']);
  waiting[1].answer();
  await pause(5);
  assert.equal(state.run.side.room, 'chapel');
});

test('a run of a project that was left is not shown', async () => {
  const { state, waiting, runs } = at({ a: side('abbey') });
  runs.prove();
  await pause(5);
  runs.forget();
  state.project = /** @type {any} */ ({ doc: { id: 'p2', a: side('chapel'), b: null, active: 'a' } });
  waiting[0].answer();
  await pause(5);
  assert.equal(state.runs.a, null);
});

test('another project is run though its version reads like that of the last', async () => {
  const { state, waiting, runs } = at({ a: side('abbey') });
  runs.prove();
  await pause(5);
  runs.forget();
  state.project = /** @type {any} */ ({ doc: { id: 'p2', a: side('abbey'), b: null, active: 'a' } });
  runs.prove();
  await pause(5);
  assert.equal(waiting.length, 2);
  waiting[1].answer();
  await pause(5);
  assert.equal(state.run.side.room, 'abbey');
  assert.equal(runs.busy, false);
});

test('what is read and what was computed of a finding are joined, in the order of reading', () => {
  const document = { findings: [{ id: 1, kind: 'run-together', severity: 'note' }, { id: 2, kind: 'covered-entry', severity: 'fail' }] };
  const run = runOf('', side('abbey'), { document, shown: [{ id: 2, kind: 'covered entry' }, { id: 1, kind: 'run together' }] });
  assert.deepEqual(run.shown.map(f => [f.id, f.kind, f.kind_key, f.severity]),
    [[2, 'covered entry', 'covered-entry', 'fail'], [1, 'run together', 'run-together', 'note']]);
});

test('the verdict counts by severity', () => {
  assert.equal(tally([]), 'nothing found');
  assert.equal(tally([{ severity: 'fail' }, { severity: 'note' }, { severity: 'note' }]), '1 lost, 2 worth knowing');
});

test('a church that comes is waited for: what is under way would find it with the seat of the other', async () => {
  const { state, waiting, runs } = at({ a: { ...side('own'), seat: 'my place' }, response: { file: 'room-1.toml' } });
  runs.prove();
  await pause(5);
  await runs.without(async () => {
    runs.prove();
    assert.equal(waiting[0].signal.aborted, true);
    assert.equal(waiting.length, 1);
    state.doc.response.file = 'room-2.toml';
    state.doc.a.seat = 'middle';
  });
  await pause(5);
  waiting[1].answer();
  await pause(5);
  assert.equal(state.run.side.seat, 'middle');
  await runs.without(async () => { state.doc.response.file = 'room-3.toml'; });
  await pause(150);
  assert.equal(waiting.length, 3, 'another church under the same seat is another');
});
