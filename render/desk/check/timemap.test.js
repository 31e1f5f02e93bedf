import test from 'node:test';
import assert from 'node:assert/strict';
import { guess, mapTime } from '../assets/timemap.js';

const bars = (...at) => at.map((at_s, i) => ({ number: i + 1, at_s }));

test('a place in the music is the same place at another tempo', () => {
  const slow = bars(0, 4, 8), fast = bars(0, 2, 4);
  assert.equal(mapTime(slow, fast, 6), 3);
  assert.equal(mapTime(fast, slow, 3), 6);
  assert.equal(mapTime(slow, fast, 10), 6, 'after the last bar line seconds are seconds');
});

test('without bars a place stays where it is', () => {
  assert.equal(mapTime(undefined, bars(0, 1), 5), 5);
  assert.equal(mapTime([], bars(0, 1), 5), 5);
});

test('the guess of loudness follows the level by decibels', () => {
  const line = db => ({ level_db: [db, db, null], residue_db: [null, null, null] });
  assert.ok(Math.abs(guess(line(80), false) - guess(line(70), false) - 10) < 0.01);
  assert.equal(guess(line(80), false) - guess(line(80), true), 15);
});
