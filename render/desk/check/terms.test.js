import { test } from 'node:test';
import assert from 'node:assert/strict';
import { wanted, t } from '../assets/terms.js';

test('the language is the one that was chosen, or the first that the browser asks for and that there is', () => {
  assert.equal(wanted('', ['nl', 'fr-CA', 'de']), 'fr');
  assert.equal(wanted('', ['en-US', 'de']), '');
  assert.equal(wanted('', ['nl']), '');
  assert.equal(wanted('british', ['de']), '');
  assert.equal(wanted('american', ['de']), 'american');
  assert.equal(wanted('it', ['de']), 'it');
});

test('what is put into a text stays as it is', () => {
  const name = 'a {0} and {1}|several';
  assert.equal(t`Delete ${name}`, `Delete ${name}`);
  assert.equal(t('lost|several'), 'lost');
  assert.equal(t('{0} alone'), '{0} alone');
});
