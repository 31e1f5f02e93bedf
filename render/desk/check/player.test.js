// The player on an audio clock that the test moves, fed by a program that is as slow as the test wants.
import assert from 'node:assert/strict';
import test from 'node:test';
import { use } from '../assets/door.js';
import { CHUNK, RATE } from '../assets/stream.js';
import { Player } from '../assets/player.js';

const param = () => ({ value: 0, setValueAtTime() {}, linearRampToValueAtTime() {}, setTargetAtTime() {}, cancelScheduledValues() {} });
const node = more => ({ connect: to => to, disconnect() {}, ...more });

/** Clock stands in for the browser's audio: sounds keeps what was scheduled. */
class Clock {
  constructor() {
    this.currentTime = 0;
    this.sounds = [];
    this.destination = node();
  }
  createGain() { return node({ gain: param() }); }
  createBufferSource() {
    const sound = node({ stop: at => { sound.until = Math.min(sound.until, at); }, start: (when, offset, length) => {
      Object.assign(sound, { when, until: when + length, from: sound.buffer.first / RATE + offset, track: sound.buffer.track });
      this.sounds.push(sound);
    } });
    return sound;
  }
  async resume() {}
}

let clock = null;
globalThis.AudioContext = /** @type {any} */ (class { constructor() { return clock; } });
globalThis.AudioBuffer = /** @type {any} */ (class {
  constructor({ length }) { this.length = length; this.data = [new Float32Array(length), new Float32Array(length)]; }
  getChannelData(k) { return this.data[k]; }
  get track() { return this.data[0][0]; }
  get first() { return this.data[1][0] * CHUNK; }
});

/** message of a track: its samples say which track and which chunk it is. */
function message(track, number, chunk) {
  const bytes = new Uint8Array(16 + CHUNK * 8), v = new DataView(bytes.buffer);
  v.setUint32(0, track, true);
  v.setUint32(4, CHUNK, true);
  v.setBigUint64(8, BigInt(chunk * CHUNK), true);
  v.setFloat32(16, number, true);
  v.setFloat32(20, chunk, true);
  return bytes;
}

const turn = () => new Promise(done => setTimeout(done, 0));

async function playing(t) {
  clock = new Clock();
  const streams = [];
  use({
    fetch: async (path, { body }) => {
      if (path.endsWith('/loudness')) return new Promise(() => {});
      let out;
      const stream = new ReadableStream({ start: c => { out = c; } });
      streams.push({ out, tracks: JSON.parse(String(body)).tracks });
      return new Response(stream);
    },
  });
  const player = new Player();
  player.open('p');
  const bars = [{ at_s: 0 }, { at_s: 2 }, { at_s: 4 }];
  const room = { key: 'room', side: 1, dry: false, bars }, dry = { key: 'dry', side: 2, dry: true, bars };
  player.want([room]);
  await player.play(0);
  clearInterval(player.timer);
  t.after(() => player.open(''));
  const step = async by => {
    for (let s = 0; s < by - 1e-9; s += 0.05) {
      clock.currentTime += 0.05;
      player.tick();
      await turn();
    }
  };
  return { player, streams, step, room, dry };
}

/** heard is the music in the order in which it sounded: stretches of { track, from, until } in s of the piece. */
function heard(sounds, until) {
  const out = [];
  for (const s of sounds.toSorted((a, b) => a.when - b.when)) {
    if (s.when >= Math.min(until, s.until)) continue;
    out.push({ track: s.track, from: s.from, until: s.from + Math.min(s.until, until) - s.when });
  }
  return out;
}

test('music waits for late sound, and none of it is left out', async t => {
  const { player, streams, step } = await playing(t);
  const feed = chunk => streams[0].out.enqueue(message(0, 1, chunk));
  feed(0);
  await turn();
  await step(2); // half a second of it sounds, the rest is a wait
  assert.ok(Math.abs(player.position() - 0.5) < 1e-3, `stands at ${player.position()}`);
  assert.equal(player.made, 'first', 'and says so');
  feed(1);
  await turn();
  await step(0.3);
  assert.ok(player.position() < 0.51, 'goes on with more than one chunk');
  for (const k of [2, 3, 4]) feed(k);
  await turn();
  await step(1);
  assert.equal(player.made, '');
  let at = 0;
  for (const x of heard(clock.sounds, clock.currentTime)) {
    assert.ok(Math.abs(x.from - at) < 1e-3, `goes on at ${x.from} after ${at}`);
    at = x.until;
  }
  assert.ok(Math.abs(at - player.position()) < 0.03);
});

test('long work of the page waits for the first seconds of sound', async t => {
  const { player, streams } = await playing(t);
  let over = false;
  player.begun().then(() => { over = true; });
  const pause = () => new Promise(done => setTimeout(done, 120));
  for (const k of [0, 1, 2, 3, 4]) streams[0].out.enqueue(message(0, 1, k));
  await pause();
  assert.equal(over, false);
  streams[0].out.enqueue(message(0, 1, 5));
  await pause();
  assert.equal(over, true);
});

test('a change to a track whose sound comes late begins where the other has come to', async t => {
  const { player, streams, step, room, dry } = await playing(t);
  for (const k of [0, 1]) streams[0].out.enqueue(message(0, 1, k));
  await turn();
  await step(0.5);
  player.want([dry, room]);
  await step(0.1);
  assert.equal(player.made, 'next', 'the one before is heard meanwhile');
  await step(2.9); // the old track ran dry at 1 s
  assert.equal(player.made, 'first');
  assert.ok(Math.abs(player.position() - 1) < 1e-3, `stands at ${player.position()}`);
  assert.equal(streams.length, 2, 'asked once');
  for (const k of [0, 1, 2, 3, 4]) streams[1].out.enqueue(message(0, 2, k));
  await turn();
  await step(1);
  const all = heard(clock.sounds, clock.currentTime), last = all.findLast(x => x.track === 1), first = all.find(x => x.track === 2);
  assert.ok(Math.abs(first.from - 1) < 1e-3, `begins at ${first.from}`);
  assert.ok(Math.abs(last.until - 1) < 0.06);
});

test('a loop that is let go of is left at its end, however far ahead it was scheduled', async t => {
  const { player, streams, step, room } = await playing(t);
  for (let k = 0; k < 12; k++) streams[0].out.enqueue(message(0, 1, k));
  await turn();
  player.setLoop({ from: 0.5, until: 1.5, bars: room.bars });
  await step(1.4);
  player.setLoop(null);
  await step(1);
  assert.ok(Math.abs(player.position() - 2.4) < 0.2, `at ${player.position()}`);
});

test('how loud it is is asked when the sound is well ahead', async t => {
  const { player, streams, step } = await playing(t);
  let asked = false;
  player.quiet().then(() => { asked = true; });
  for (const k of [0, 1, 2, 3]) streams[0].out.enqueue(message(0, 1, k));
  await step(0.5);
  await new Promise(done => setTimeout(done, 400));
  assert.ok(!asked);
  for (let k = 4; k < 100; k++) streams[0].out.enqueue(message(0, 1, k));
  await turn();
  await new Promise(done => setTimeout(done, 400));
  assert.ok(asked);
});

test('what another track is wanted in place of is made no further', async t => {
  const { player, streams } = await playing(t);
  player.stop();
  player.closeFeed();
  player.seek(20);
  const done = player.begin();
  const feed = player.feed;
  player.wanted = ['another'];
  assert.equal(await done, true);
  assert.ok(feed.abort.signal.aborted);
  assert.equal(streams.at(-1).tracks.length, 1);
});

test('the first seconds are made before Play', async t => {
  const { player, streams, step } = await playing(t);
  player.stop();
  player.seek(3);
  player.closeFeed();
  const done = player.begin();
  const last = streams.at(-1);
  assert.deepEqual(last.tracks.map(x => [x.side, x.from]), [[1, 3]], 'of the track that is heard first');
  for (let k = 6; k < 14; k++) last.out.enqueue(message(0, 1, k));
  await done;
  assert.equal(player.feed, null, 'no more than that');
  await player.play();
  clearInterval(player.timer);
  await step(1);
  assert.ok(Math.abs(player.position() - 3.94) < 0.02, `at ${player.position()}`);
  assert.equal(streams.at(-1).tracks[0].from, 7, 'goes on where the first seconds end');
});
