import test from 'node:test';
import assert from 'node:assert/strict';
import { use } from '../assets/door.js';
import { Project } from '../assets/project.js';

const side = () => ({ score: 0, room: 'chapel', rt: 2, seat: 'middle', organ: 'village', tempo: 1 });
const kept = () => ({ id: 'p1', version: 1, name: 'Study', scores: [{ file: 'score-1.mid', shown: 'study.mid', from: 0 }], a: side(), b: null, active: 'a', past: [] });

/** desk keeps one project, as the server does. */
function desk(fail = () => null) {
  const asked = [];
  let version = 1;
  const reply = (status, json) => new Response(JSON.stringify(json), { status });
  use({
    async fetch(path, { method, body, headers }) {
      asked.push({ method, path, body: body && JSON.parse(body), match: headers?.['If-Match'] });
      const wrong = fail(asked.length);
      if (wrong) return reply(wrong.status, { error: wrong.error });
      if (method === 'GET') return reply(200, { ...kept(), version });
      return reply(200, { version: ++version });
    },
    download: async () => {},
    library: async () => {},
  });
  return asked;
}

function opened(t, fail) {
  const asked = desk(fail), project = new Project(kept());
  t.after(() => project.close());
  return { project, asked };
}

test('a change is saved with the version that was seen, and can be undone', async t => {
  const { project, asked } = opened(t);
  project.change('building', d => { d.a.room = 'abbey'; });
  await project.flush();
  assert.equal(asked.length, 1);
  assert.equal(asked[0].match, '"1"');
  assert.equal(asked[0].body.a.room, 'abbey');
  assert.equal(project.doc.version, 2);
  assert.equal(project.dirty, false);
  assert.equal(project.undo(), 'building');
  assert.equal(project.doc.a.room, 'chapel');
  assert.equal(project.undo(), null);
});

test('a save that cannot succeed is said once, one that may is tried again', async t => {
  for (const [status, never] of [[400, true], [413, true], [503, false], [507, false]]) {
    const { project } = opened(t, () => ({ status, error: 'no' }));
    let said;
    project.addEventListener('unsaved', e => { said = e.detail; });
    project.change('building', d => { d.a.room = 'abbey'; });
    await project.flush();
    assert.deepEqual(said, { why: 'no', never });
    clearTimeout(project.timer);
    project.dirty = false;
  }
});

test('the steps of undo are bounded in all', async t => {
  const { project } = opened(t);
  const text = 'bar 1: Gt flutes 8\n'.repeat(3000);
  for (let i = 0; i < 30; i++) project.change(`stops ${i}`, d => { d.a.stops = `${text}${i}`; });
  assert.ok(JSON.stringify(project.state()).length < 1 << 19);
  assert.equal(project.undo(), 'stops 29');
  assert.ok(project.doc.a.stops.endsWith('28'));
});

test('what was undone is done again, until something else is changed', t => {
  const { project } = opened(t);
  project.change('building', d => { d.a.room = 'abbey'; });
  project.change('tempo', d => { d.a.tempo = 0.8; });
  project.undo();
  project.undo();
  assert.equal(project.doc.a.room, 'chapel');
  assert.equal(project.redo(), 'building');
  assert.equal(project.doc.a.room, 'abbey');
  assert.equal(project.redo(), 'tempo');
  assert.equal(project.doc.a.tempo, 0.8);
  assert.equal(project.redo(), null);
  assert.equal(project.undo(), 'tempo');
  project.change('seat', d => { d.a.seat = 'back'; });
  assert.equal(project.redo(), null);
  assert.deepEqual(project.doc.past.map(p => p.what), ['building', 'seat']);
});

test('a knob that is dragged is one step of undo', t => {
  const { project } = opened(t);
  for (const tempo of [0.9, 0.8, 0.7]) project.change('tempo', d => { d.a.tempo = tempo; });
  assert.equal(project.doc.past.length, 1);
  project.undo();
  assert.equal(project.doc.a.tempo, 1);
});

test('what another window saved is not overwritten', async t => {
  const { project } = opened(t, () => ({ status: 409, error: 'the project was changed elsewhere' }));
  let told = 0;
  project.addEventListener('conflict', () => told++);
  project.change('building', d => { d.a.room = 'abbey'; });
  await project.flush();
  assert.equal(told, 1);
  assert.equal(project.dirty, true, 'the change is still here');
});

test('a full disk is told, and the change is kept to be saved again', async t => {
  const { project, asked } = opened(t, n => n === 1 && { status: 507, error: 'no space left' });
  let why = '';
  project.addEventListener('unsaved', e => { why = e.detail.why; });
  project.change('building', d => { d.a.room = 'abbey'; });
  await project.flush();
  assert.equal(why, 'no space left');
  await project.flush();
  assert.equal(asked.length, 2);
  assert.equal(project.dirty, false);
});

test('with one version left it is the one that is looked at', t => {
  const { project } = opened(t);
  project.change('second version', d => { d.b = structuredClone(d.a); d.active = 'b'; });
  assert.equal(project.letter, 'b');
  project.undo();
  assert.equal(project.letter, 'a');
});

test('a new version of the score keeps the knobs, but for bars and parts that it does not have', async t => {
  const { project } = opened(t);
  project.change('dynamics', d => {
    Object.assign(d.a, { tempo: 0.8, assign: { Right: 'Swell', Old: 'Great' }, dynamics: [{ part: 'Right', bar: 2, dynamic: 'p' }, { part: 'Right', bar: 90, dynamic: 'f' }] });
  });
  await project.flush();
  const fetchBefore = globalThis.structuredClone(kept());
  use({
    async fetch(path, { method, body }) {
      const scores = [...fetchBefore.scores, { file: 'score-2.mid', shown: 'study.mid', from: 1, edition: 1 }];
      if (path.includes('/score')) return new Response(JSON.stringify({ project: { ...fetchBefore, version: 3, scores }, score: 1, same: false, parts: ['Right'], bars: [1, 2, 3] }), { status: 201 });
      assert.equal(method, 'PUT');
      return new Response(JSON.stringify({ version: 4, body }), { status: 200 });
    },
    download: async () => {},
    library: async () => {},
  });
  await project.renew({ name: 'study (1).mid' });
  assert.deepEqual(project.doc.a, { ...side(), score: 1, tempo: 0.8, assign: { Right: 'Swell' }, dynamics: [{ part: 'Right', bar: 2, dynamic: 'p' }] });
  assert.equal(project.undo(), 'new version of the score');
  assert.equal(project.doc.a.score, 0);
});

test('a project that is left is saved, and says nothing over the next', async t => {
  const { project, asked } = opened(t);
  const said = [];
  for (const what of ['saving', 'saved', 'unsaved']) project.addEventListener(what, () => said.push(what));
  project.change('building', d => { d.a.room = 'abbey'; });
  project.close();
  await new Promise(done => { setTimeout(done, 20); });
  assert.equal(asked.length, 1);
  assert.equal(asked[0].body.a.room, 'abbey');
  assert.deepEqual(said, ['saving']);
});
