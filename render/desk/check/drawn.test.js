import assert from 'node:assert/strict';
import test from 'node:test';
import { drawnAt, order, withOrder } from '../assets/drawn.js';

test('what is drawn is what came on and did not go off again', () => {
  const changes = [{ at_s: 0, on: ['Great: Octave 4', 'Swell to Great'], off: [], why: 'f' }, { at_s: 8, on: ['Great: Fifteenth 2'], off: ['Swell to Great'], why: 'ff' }];
  assert.deepEqual([...drawnAt(changes, 7.9).on], ['Great: Octave 4', 'Swell to Great']);
  const later = drawnAt(changes, 8);
  assert.deepEqual([...later.on], ['Great: Octave 4', 'Great: Fifteenth 2']);
  assert.equal(later.last.why, 'ff');
  assert.equal(drawnAt([], 3).last, null);
});

test('orders are the words of a stops file, in the order of the piece', () => {
  assert.equal(order('Great: Octave 4', true), 'Great + Octave 4');
  assert.equal(order('Swell to Great', false), '- Swell to Great');
  let text = withOrder('', 9, 'Great: Octave 4', true);
  assert.equal(text, 'bar 9: Great + Octave 4');
  text = withOrder(text, 4, 'Swell to Great', false);
  text = withOrder(text, 9, 'Pedal: Trombone 16', true);
  assert.equal(text, 'bar 4: - Swell to Great\nbar 9: Great + Octave 4; Pedal + Trombone 16');
  text = withOrder(text, 9, 'Great: Octave 4', false);
  assert.equal(text, 'bar 4: - Swell to Great\nbar 9: Pedal + Trombone 16; Great - Octave 4');
  text = withOrder('# the second verse\nbar 9 beat 3: Sw flutes\nbar 12: Gt reeds', 9, 'Great: Octave 4', true);
  assert.equal(text, '# the second verse\nbar 9: Great + Octave 4\nbar 9 beat 3: Sw flutes\nbar 12: Gt reeds');
});
