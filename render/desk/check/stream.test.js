import test from 'node:test';
import assert from 'node:assert/strict';
import { CHUNK, Messages, NO_TRACK, index } from '../assets/stream.js';

function message(track, first, frames, bytes) {
  const out = new Uint8Array(16 + bytes.length), head = new DataView(out.buffer);
  head.setUint32(0, track, true);
  head.setUint32(4, frames, true);
  head.setBigUint64(8, BigInt(first), true);
  out.set(bytes, 16);
  return out;
}

/** reader gives bytes in pieces of a size. */
const reader = (bytes, size) => new ReadableStream({
  start(c) {
    for (let i = 0; i < bytes.length; i += size) c.enqueue(bytes.subarray(i, i + size));
    c.close();
  },
}).getReader();

const joined = (...parts) => Uint8Array.from(parts.flatMap(p => [...p]));

for (const size of [1, 7, 16, 1000]) {
  test(`messages come whole out of pieces of ${size} bytes`, async () => {
    const sound = new Uint8Array(3 * 8).fill(5), text = new TextEncoder().encode('busy');
    const stream = joined(message(1, CHUNK, 3, sound), message(0, 2 * CHUNK, 0, []), message(NO_TRACK, 0, text.length, text));
    const messages = new Messages(reader(stream, size));
    const first = await messages.next();
    assert.deepEqual([first.track, first.first, first.frames, first.bytes], [1, CHUNK, 3, sound]);
    const end = await messages.next();
    assert.deepEqual([end.track, end.frames, end.bytes.length], [0, 0, 0]);
    assert.equal(new TextDecoder().decode((await messages.next()).bytes), 'busy');
    assert.equal(await messages.next(), null);
  });
}

test('a stream that breaks off gives no half message', async () => {
  const whole = message(0, 0, 2, new Uint8Array(16));
  assert.equal(await new Messages(reader(whole.subarray(0, 20), 20)).next(), null);
});

test('a place lies in the chunk that holds it', () => {
  assert.equal(index(0), 0);
  assert.equal(index(0.5), 1);
  assert.equal(index(0.49), 0);
  assert.equal(index(-3), 0);
});
