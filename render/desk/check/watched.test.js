import assert from 'node:assert/strict';
import test from 'node:test';
import { follow, handleOf } from '../assets/watched.js';

const until = async f => { while (!f()) await new Promise(done => setTimeout(done, 20)); };

test('a file is taken when it was written again and rests', async () => {
  const versions = [{ lastModified: 1, size: 10 }, { lastModified: 2, size: 0 }, new DOMException('', 'NotFoundError'), { lastModified: 3, size: 5 }, { lastModified: 4, size: 12 }];
  let at = 0;
  const handle = { getFile: async () => {
    const now = versions[Math.min(at++, versions.length - 1)];
    if (now instanceof Error) throw now;
    return now;
  } };
  const taken = [], stop = new AbortController();
  const over = follow(handle, versions[0], f => { taken.push(f.lastModified); }, stop.signal);
  await until(() => at > versions.length + 1);
  assert.deepEqual(taken, [4], 'neither while it was empty or away, nor half written');
  stop.abort();
  await over;
});

test('a file that may no longer be read is not asked for again', async () => {
  let asked = 0;
  await follow({ getFile: async () => { asked++; throw new DOMException('', 'NotAllowedError'); } }, { lastModified: 1, size: 1 }, () => assert.fail(), new AbortController().signal);
  assert.equal(asked, 1);
});

test('a browser without file handles gives none', async () => {
  assert.equal(await handleOf({ items: [{ kind: 'file' }] }), null);
});
