// The player. One stream brings several tracks in step (see the server's listen.go); what has arrived is kept in
// half-second chunks and scheduled ahead on the audio clock, so that changing track is a cross-fade at an exact place.
// How loud each is comes later: until then a guess from the findings' timeline stands in.
import * as api from './api.js';

const RATE = 48000;
const CHUNK = 24000;      // frames
const AHEAD = 0.9;        // s scheduled ahead
const READ_AHEAD = 40;    // s read ahead of the place while playing
const KEPT = 240;         // chunks kept for a track
const FADE = 0.03;        // s of a cross-fade
const TARGET = -23;       // LKFS at volume 0 dB
const FULL_SCALE = 122;   // dB re 20 µPa of a sample of 1, the stream's default

const NO_TRACK = 0xffffffff;

export class Player extends EventTarget {
  constructor() {
    super();
    this.tracks = new Map();  // key -> track
    this.wanted = [];         // keys, the one that is heard first
    this.voice = null;
    this.feed = null;
    this.loop = null;         // { from, until, bars }: s of the playing that has these bars
    this.place = 0;           // s, while stopped
    this.playing = false;
    this.match = true;
    this.volume = -9;
    this.offsets = [];        // s, of each wanted track's place to the first one's
    this.timer = 0;
    this.calm = async () => {}; // ends when the page has nothing to do that is waited for
  }

  say(type, detail) { this.dispatchEvent(new CustomEvent(type, { detail })); }

  open(id) {
    this.stop();
    this.closeFeed();
    this.tracks.clear();
    this.wanted = [];
    this.id = id;
    this.place = 0;
    this.loop = null;
  }

  // want names the tracks to have ready: [{ key, side, dry, ears, guess, bars }], the one to hear first. What is heard goes
  // on at the same place of the music, by bar, whatever the tempo.
  want(list) {
    const heard = this.voice?.track || this.tracks.get(this.wanted[0]);
    const here = this.position();
    const from = list.map(w => mapTime(heard?.bars, w.bars, here));
    for (const w of list) {
      if (!this.tracks.has(w.key)) this.tracks.set(w.key, { ...w, chunks: new Map(), end: Infinity });
      this.tracks.get(w.key).unmeasured = false;
    }
    const keys = list.map(w => w.key);
    for (const key of this.tracks.keys()) if (this.tracks.size > 8 && !keys.includes(key)) this.tracks.delete(key);
    this.wanted = keys;
    this.offsets = from.map(f => f - from[0]);
    if (!this.playing) {
      this.place = from[0];
      this.say('move');
    } else if (this.voice?.track.key !== keys[0]) {
      this.change(from[0]);
    } else {
      this.waiting = null;
      this.feedWanted(from[0]);
    }
    this.gains();
    this.measure();
  }

  // change lets another track sound from a place on. Until its first chunks are here the old one goes on.
  change(at) {
    if (this.ready(at)) { this.cross(at); return; }
    this.waiting = { started: this.ctx.currentTime, at };
    this.feedWanted(at);
  }

  ready(at) {
    const track = this.tracks.get(this.wanted[0]);
    const i = index(at);
    return !!track && (i >= track.end || (track.chunks.has(i) && (track.chunks.has(index(at + 0.2)) || i + 1 >= track.end)));
  }

  cross(at) {
    const waited = !!this.waiting;
    this.waiting = null;
    const l = this.loop, to = this.tracks.get(this.wanted[0]).bars;
    if (waited && l && at >= mapTime(l.bars, to, l.until)) at = mapTime(l.bars, to, l.from); // the wait went past the end of the loop
    const t = this.ctx.currentTime + 0.04;
    const old = this.voice;
    this.voice = new Voice(this, this.tracks.get(this.wanted[0]), at + 0.04, t);
    if (old) old.end(t);
    this.voice.pump();
    this.feedWanted(at);
  }

  async play(at = this.place) {
    if (!this.ctx) {
      this.ctx = new AudioContext({ sampleRate: RATE, latencyHint: 'interactive' });
      this.master = this.ctx.createGain();
      this.master.connect(this.ctx.destination);
      this.gains();
    }
    await this.ctx.resume();
    if (!this.wanted.length) return;
    const was = this.voice;
    if (was) was.end(this.ctx.currentTime + 0.02);
    this.playing = true;
    this.place = at;
    this.waiting = null;
    this.voice = new Voice(this, this.tracks.get(this.wanted[0]), at, this.ctx.currentTime + 0.06);
    this.feedWanted(at);
    this.voice.pump();
    clearInterval(this.timer);
    this.timer = setInterval(() => this.tick(), 60);
    this.say('state');
  }

  stop() {
    if (!this.playing) return;
    this.place = this.position();
    this.playing = false;
    this.waiting = null;
    if (this.voice) this.voice.end(this.ctx.currentTime + 0.02);
    this.voice = null;
    clearInterval(this.timer);
    clearTimeout(this.idle);
    this.idle = setTimeout(() => { if (!this.playing) this.closeFeed(); }, 15000);
    this.say('state');
  }

  seek(at) {
    this.place = Math.max(0, at);
    if (this.playing) this.play(this.place); else this.say('move');
  }

  // bars of the playing that position counts in.
  bars() { return (this.playing && this.voice?.track.bars) || this.tracks.get(this.wanted[0])?.bars || []; }

  position() {
    return this.playing && this.voice ? this.voice.position(this.ctx.currentTime) : this.place;
  }

  tick() {
    if (!this.playing) return;
    if (this.waiting) {
      const at = this.waiting.at + (this.ctx.currentTime - this.waiting.started);
      if (this.ready(at)) this.cross(at);
    }
    this.voice?.pump();
    this.trim();
    this.say('move');
    if (this.voice?.over) { this.stop(); this.place = 0; this.say('move'); }
  }

  // ---- level

  gains() {
    if (!this.ctx) return;
    const now = this.ctx.currentTime;
    this.master.gain.setTargetAtTime(10 ** (this.volume / 20), now, 0.03);
    this.voice?.level(0.15);
  }

  // gainOf brings a track to the same programme loudness; without matching, all are played as the reference is.
  gainOf(track) {
    const t = this.match ? track : this.tracks.get(this.reference) || track;
    const lkfs = t.loud ? t.loud.lkfs : t.guess;
    let db = TARGET - (lkfs ?? -40);
    if (track.loud) db = Math.min(db, -1 - track.loud.peak_dbfs); // never over full scale
    return 10 ** (Math.min(60, db) / 20);
  }

  // measure asks how loud the wanted tracks are, one after another: each takes the server some seconds of work, which engraving
  // and playing want first.
  async measure() {
    if (this.measuring) {
      if (!this.wanted.includes(this.measuring.key)) this.measuring.abort?.abort();
      return;
    }
    this.measuring = {};
    if (!this.playing) await Promise.race([this.calm(), new Promise(done => this.addEventListener('state', done, { once: true }))]);
    const next = () => this.wanted.map(key => this.tracks.get(key)).find(t => t && !t.loud && !t.unmeasured);
    for (let track = next(); track; track = next()) {
      const abort = new AbortController();
      this.measuring = { key: track.key, abort };
      try {
        track.loud = await api.loudness(this.id, track, abort.signal);
        this.gains();
        this.say('loud', { key: track.key, loud: track.loud });
      } catch { track.unmeasured = true; } // until it is wanted again
    }
    this.measuring = null;
  }

  // ---- the stream

  // covered says whether a chunk is here or on its way soon.
  covered(key, i) {
    const track = this.tracks.get(key);
    if (!track || track.chunks.has(i) || i >= track.end) return true;
    const f = this.feed;
    if (!f || f.failed || f.done || !f.keys.includes(key)) return false;
    const next = f.next.get(key);
    return i >= next && i - next < 60;
  }

  feedWanted(at) {
    const missing = this.wanted.some((key, k) => {
      let i = index(at + this.offsets[k]);
      const track = this.tracks.get(key);
      while (track.chunks.has(i)) i++;
      return !this.covered(key, i);
    });
    if (missing) this.openFeed(at);
  }

  openFeed(at) {
    this.closeFeed();
    const feed = { keys: [...this.wanted], abort: new AbortController(), next: new Map(), failed: false, done: false };
    const tracks = feed.keys.map((key, k) => {
      const track = this.tracks.get(key);
      let from = Math.max(0, at + this.offsets[k]);
      if (k === 0) { let i = index(from); while (track.chunks.has(i)) i++; from = Math.max(from, i * CHUNK / RATE); }
      if (index(from) >= track.end) from = Math.max(0, (track.end - 1) * CHUNK / RATE);
      feed.next.set(key, index(from));
      return { side: track.side, dry: track.dry, ears: track.ears, from };
    });
    this.feed = feed;
    this.read(feed, tracks);
  }

  closeFeed() {
    this.feed?.abort.abort();
    this.feed = null;
  }

  async read(feed, tracks) {
    try {
      const response = await api.sound(this.id, tracks, feed.abort.signal);
      const reader = new Messages(response.body.getReader());
      for (;;) {
        while (this.feed === feed && this.enough(feed)) await new Promise(r => setTimeout(r, 200));
        const m = await reader.next();
        if (!m || this.feed !== feed) break;
        if (m.track === NO_TRACK) throw new Error(new TextDecoder().decode(m.bytes));
        const track = this.tracks.get(feed.keys[m.track]);
        if (!track) continue;
        const i = Math.round(m.first / CHUNK);
        if (m.frames === 0) {
          track.end = Math.ceil(m.first / CHUNK);
          continue;
        }
        track.chunks.set(i, buffer(m));
        feed.next.set(track.key, i + 1);
        if (this.voice?.track === track) this.voice.pump();
      }
      feed.done = true;
    } catch (error) {
      if (error.name === 'AbortError') return;
      feed.failed = true;
      if (this.feed === feed) {
        this.feed = null;
        if (error.status === 503 || error.status === 429) { this.say('busy', error.message); if (this.playing) setTimeout(() => this.playing && this.feedWanted(this.position()), 1500); }
        else { this.say('failed', error.message); this.stop(); }
      }
    }
  }

  enough(feed) {
    const here = this.position();
    return feed.keys.every((key, k) => {
      const track = this.tracks.get(key);
      return !track || feed.next.get(key) * CHUNK / RATE - (here + (this.offsets[k] || 0)) > READ_AHEAD || feed.next.get(key) >= track.end;
    });
  }

  // trim forgets the chunks that are furthest from the place.
  trim() {
    const here = index(this.position());
    for (const track of this.tracks.values()) {
      if (track.chunks.size <= KEPT) continue;
      const far = [...track.chunks.keys()].sort((a, b) => Math.abs(b - here) - Math.abs(a - here));
      for (const i of far.slice(0, track.chunks.size - KEPT)) track.chunks.delete(i);
    }
  }
}

const index = s => Math.max(0, Math.floor(s * RATE / CHUNK + 1e-6));

// mapTime takes seconds of one playing of the music to another's, by bar.
export function mapTime(from, to, t) {
  if (!from?.length || !to?.length || from === to) return t;
  let i = 0;
  while (i + 1 < from.length && from[i + 1].at_s <= t) i++;
  const j = Math.min(i, to.length - 1);
  if (i + 1 < from.length && j + 1 < to.length) {
    const share = (t - from[i].at_s) / (from[i + 1].at_s - from[i].at_s);
    return Math.max(0, to[j].at_s + share * (to[j + 1].at_s - to[j].at_s));
  }
  return Math.max(0, to[j].at_s + t - from[i].at_s);
}

// Voice is a track sounding from a place on.
class Voice {
  constructor(player, track, at, when) {
    this.player = player;
    this.track = track;
    this.gain = player.ctx.createGain();
    this.fade = player.ctx.createGain();
    this.gain.connect(this.fade).connect(player.master);
    this.gain.gain.value = player.gainOf(track);
    this.fade.gain.setValueAtTime(0, when);
    this.fade.gain.linearRampToValueAtTime(1, when + FADE);
    this.frame = Math.round(at * RATE);   // next frame to be scheduled
    this.when = when;                     // and its time
    this.pieces = [];                     // { at, frame, frames }: what was scheduled
    this.sources = new Set();
    this.over = false;
    this.ended = false;
  }

  level(time) { this.gain.gain.setTargetAtTime(this.player.gainOf(this.track), this.player.ctx.currentTime, time); }

  pump() {
    const { ctx } = this.player;
    const loop = this.loop();
    if (this.ended) return;
    const now = ctx.currentTime;
    while (this.when < now + AHEAD) {
      const i = Math.floor(this.frame / CHUNK);
      const chunk = this.track.chunks.get(i);
      if (!chunk) {
        if (i >= this.track.end) { this.over = this.when < now; return; }
        if (!this.player.covered(this.track.key, i)) this.player.feedWanted(this.frame / RATE);
        return;
      }
      if (this.when < now + 0.01) this.when = now + 0.02; // it came late: go on from here
      const offset = this.frame - i * CHUNK;
      let frames = chunk.length - offset;
      const until = loop ? Math.round(loop.until * RATE) : Infinity;
      const wraps = this.frame < until && this.frame + frames >= until;
      if (wraps) frames = until - this.frame;
      if (frames <= 0) { if (i + 1 >= this.track.end) { this.track.end = i + 1; this.over = true; return; } this.frame = (i + 1) * CHUNK; continue; }
      this.schedule(chunk, offset, frames, wraps);
      this.pieces.push({ at: this.when, frame: this.frame, frames });
      if (this.pieces.length > 40) this.pieces.shift();
      this.when += frames / RATE;
      this.frame += frames;
      if (wraps) { this.frame = Math.round(loop.from * RATE); this.fresh = true; }
    }
  }

  // loop is the player's in this track's time.
  loop() {
    const l = this.player.loop;
    return l && { from: mapTime(l.bars, this.track.bars, l.from), until: mapTime(l.bars, this.track.bars, l.until) };
  }

  schedule(chunk, offset, frames, wraps) {
    const { ctx } = this.player;
    const source = ctx.createBufferSource();
    source.buffer = chunk;
    if (wraps || this.fresh) { // no click where the loop closes
      const edge = ctx.createGain();
      const end = this.when + frames / RATE;
      if (this.fresh) { edge.gain.setValueAtTime(0, this.when); edge.gain.linearRampToValueAtTime(1, this.when + 0.008); }
      if (wraps) { edge.gain.setValueAtTime(1, Math.max(this.when + 0.009, end - 0.008)); edge.gain.linearRampToValueAtTime(0, end); }
      source.connect(edge).connect(this.gain);
      this.fresh = false;
    } else source.connect(this.gain);
    source.start(this.when, offset / RATE, frames / RATE);
    this.sources.add(source);
    source.onended = () => this.sources.delete(source);
  }

  position(now) {
    for (let k = this.pieces.length - 1; k >= 0; k--) {
      const p = this.pieces[k];
      if (now >= p.at) return (p.frame + Math.min(p.frames, (now - p.at) * RATE)) / RATE;
    }
    return this.pieces.length ? this.pieces[0].frame / RATE : this.frame / RATE;
  }

  end(when) {
    if (this.ended) return;
    this.ended = true;
    const g = this.fade.gain;
    g.cancelScheduledValues(when);
    g.setValueAtTime(1, when);
    g.linearRampToValueAtTime(0, when + FADE);
    for (const s of this.sources) { try { s.stop(when + FADE + 0.01); } catch { /* not begun */ } }
    setTimeout(() => { this.fade.disconnect(); this.gain.disconnect(); }, 1500);
  }
}

// Messages cuts the stream into its messages.
class Messages {
  constructor(reader) {
    this.reader = reader;
    this.held = [];
    this.size = 0;
  }

  async bytes(n) {
    while (this.size < n) {
      const { value, done } = await this.reader.read();
      if (done) return null;
      this.held.push(value);
      this.size += value.length;
    }
    const out = new Uint8Array(n);
    let at = 0;
    while (at < n) {
      const first = this.held[0];
      const take = Math.min(first.length, n - at);
      out.set(first.subarray(0, take), at);
      at += take;
      if (take === first.length) this.held.shift(); else this.held[0] = first.subarray(take);
    }
    this.size -= n;
    return out;
  }

  async next() {
    const head = await this.bytes(16);
    if (!head) return null;
    const v = new DataView(head.buffer);
    const m = { track: v.getUint32(0, true), frames: v.getUint32(4, true), first: Number(v.getBigUint64(8, true)) };
    m.bytes = await this.bytes(m.track === NO_TRACK ? m.frames : m.frames * 8);
    return m.bytes ? m : null;
  }
}

function buffer(m) {
  const b = new AudioBuffer({ numberOfChannels: 2, length: m.frames, sampleRate: RATE });
  const x = new Float32Array(m.bytes.buffer);
  const l = b.getChannelData(0), r = b.getChannelData(1);
  for (let i = 0; i < m.frames; i++) { l[i] = x[2 * i]; r[i] = x[2 * i + 1]; }
  return b;
}

// guess is about how loud a track will be before it is measured: the energy mean of the level at the seat.
export function guess(timeline, dry) {
  let sum = 0, n = 0;
  timeline.level_db.forEach((v, i) => {
    const r = timeline.residue_db[i];
    const e = 10 ** ((v ?? -99) / 10) + 10 ** ((r ?? -99) / 10);
    if (e > 1e3) { sum += e; n++; }
  });
  return (n ? 10 * Math.log10(sum / n) : 70) - FULL_SCALE + 3 - (dry ? 15 : 0);
}
