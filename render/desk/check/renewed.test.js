import test from 'node:test';
import assert from 'node:assert/strict';
import { stem, newest, isNext } from '../assets/renewed.js';

test('a file is the next version by its name, whatever was added to make it another one', () => {
  for (const name of ['study.mid', 'Study (2).musicxml', 'study - copy.mxl', 'study_v3.mid', 'study 2.mid']) assert.equal(stem(name), 'study', name);
  assert.notEqual(stem('study in d.mid'), 'study');
  const doc = { scores: [{ shown: 'study.mid', from: 0 }, { shown: 'study.mid', from: 0, why: 'detached' }, { shown: 'etude.mid', from: 2, edition: 1 }] };
  assert.equal(newest(doc.scores), 2);
  assert.ok(isNext(doc, 'etude (1).musicxml'));
  assert.ok(!isNext(doc, 'study.mid'));
});
