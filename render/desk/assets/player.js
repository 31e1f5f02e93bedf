// The player. One stream brings several tracks in step; what has arrived is kept in
// half-second chunks and scheduled ahead on the audio clock, so that changing track is a cross-fade at an exact place.
// How loud each is comes later: until then a guess from the findings' timeline stands in.
import * as api from './api.js';
import { CHUNK, Messages, NO_TRACK, RATE, buffer, index } from './stream.js';
import { mapTime } from './timemap.js';
import { t } from './terms.js';
import { Voice } from './voice.js';

const READ_AHEAD = 40;    // s read ahead of the place while playing
const KEPT = 240;         // chunks kept for a track
const TARGET = -23;       // LKFS at volume 0 dB
const POLL = 250;         // ms between two looks at how far the stream is
const SETTLE = 700;       // ms that a track must have been wanted before anything is made for it unasked
const MUTE_AFTER = 4000; // ms until a browser is told to have no sound
const MUTE = t`This browser does not play: it has no sound device, or does not let this page use it.`;
const CUTS = 5;           // times in a row that a stream may break off before it is given up
const BEGUN = 8;          // chunks made before anybody presses Play
const FIRST = 6;          // chunks that are there before the page does long work of its own
const HELD = 5000;        // ms for which it waits for them
const LASTS = 3;          // chunks ahead of the place that last while none are made

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
    this.reference = '';      // key of the track that sets how loud the others are where they are not matched
    this.offsets = [];        // s, of each wanted track's place to the first one's
    this.timer = 0;
    this.calm = async () => {}; // resolves once the page is idle
    this.waiting = false;     // for the first sound of the track that is wanted first, while another sounds
    this.pressed = false;     // Play, and the browser's sound is being opened
    this.cuts = 0;            // times in a row that a stream broke off
    this.made = '';           // 'first' or 'next': the sound that is being made and should be heard
  }

  say(type, detail) { this.dispatchEvent(new CustomEvent(type, { detail })); }

  open(id) {
    this.stop();
    this.closeFeed();
    this.measuring?.abort?.abort();
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
      this.waiting = false;
      this.feedWanted(from[0]);
    }
    this.gains();
    this.measure();
  }

  // change lets another track sound from a place on. Until its first chunks are here the old one goes on.
  change(at) {
    if (this.ready(at)) { this.cross(); return; }
    this.waiting = true;
    this.feedWanted(at);
  }

  ready(at) {
    const track = this.tracks.get(this.wanted[0]);
    const i = index(at);
    return !!track && (i >= track.end || (track.chunks.has(i) && (track.chunks.has(index(at + 0.2)) || i + 1 >= track.end)));
  }

  /** here is the place of the track that is wanted first where the one that sounds will be at a time of the audio clock. */
  here(time) {
    return mapTime(this.voice.track.bars, this.tracks.get(this.wanted[0]).bars, this.voice.position(time));
  }

  // cross lets the track that is wanted first go on where the other has come to: what that one has not let hear, this one does.
  cross() {
    this.waiting = false;
    const t = this.ctx.currentTime + 0.04, at = this.here(t), old = this.voice;
    this.voice = new Voice(this, this.tracks.get(this.wanted[0]), at, t);
    old.end(t);
    this.voice.pump();
    this.feedWanted(at);
  }

  async play(at = this.place) {
    this.pressed = true;
    try { await this.start(at); } finally { this.pressed = false; }
  }

  async start(at) {
    if (!this.ctx) {
      this.ctx = new AudioContext({ sampleRate: RATE, latencyHint: 'interactive' });
      this.master = this.ctx.createGain();
      this.master.connect(this.ctx.destination);
      this.gains();
    }
    const silent = setTimeout(() => { if (this.ctx.state !== 'running') this.say('failed', MUTE); }, MUTE_AFTER);
    await this.ctx.resume();
    clearTimeout(silent);
    if (!this.wanted.length) return;
    const was = this.voice;
    if (was) was.end(this.ctx.currentTime + 0.02);
    this.playing = true;
    this.place = at;
    this.waiting = false;
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
    this.waiting = false;
    if (this.voice) this.voice.end(this.ctx.currentTime + 0.02);
    this.voice = null;
    this.preparing('');
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
    if (this.waiting && this.ready(this.here(this.ctx.currentTime + 0.04))) this.cross();
    this.voice?.pump();
    this.preparing(this.voice?.dry ? 'first' : this.waiting ? 'next' : '');
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

  /** preparing tells what is being made: the 'first' sound, for which the music waits, the 'next', until which the one before is heard, or nothing. */
  preparing(what) {
    if (this.made === what) return;
    this.made = what;
    this.say('preparing', what);
  }

  /** setLoop repeats a stretch of the playing that has these bars; null goes on past its end. */
  setLoop(loop) {
    this.loop = loop;
    if (!this.playing || !this.voice) return;
    const t = this.ctx.currentTime + 0.04, old = this.voice; // what was scheduled ahead knows of another loop
    this.voice = new Voice(this, old.track, old.position(t), t);
    old.end(t);
    this.voice.pump();
  }

  /** quiet ends when nothing is waited for: no engraving and no turning of knobs while nothing plays, no sound that is not well ahead of the place. */
  async quiet() {
    const over = new Promise(done => this.addEventListener('state', done, { once: true }));
    if (!this.playing) await Promise.race([this.calm(), over]);
    for (let was; !this.playing && was !== this.wanted[0];) {
      was = this.wanted[0];
      await new Promise(done => setTimeout(done, SETTLE));
    }
    while (this.playing && (this.waiting || this.voice?.dry || (this.feed && !this.feed.done && !this.enough(this.feed)))) await new Promise(done => setTimeout(done, POLL));
  }

  /** begun ends when nobody waits for the first sound: what plays is some seconds ahead. */
  async begun() {
    const until = performance.now() + HELD;
    const short = () => {
      const { feed } = this;
      return this.pressed || (this.playing && feed && !feed.failed && !feed.done && !this.ahead(this.tracks.get(this.wanted[0]), FIRST));
    };
    while (short() && performance.now() < until) await new Promise(done => setTimeout(done, POLL / 5));
  }

  /** ahead says whether so many chunks of a track from the place on are here. */
  ahead(track, chunks) {
    const i = index(this.position());
    for (let k = i; track && k < Math.min(i + chunks, track.end); k++) if (!track.chunks.has(k)) return false;
    return true;
  }

  /** spare says whether no sound need be made for a moment: none is waited for, and what plays will last. */
  spare() { return !this.pressed && (!this.playing || this.ahead(this.voice?.track, LASTS)); }

  /** begin makes the first seconds from the place on, so that Play is heard at once; true if another track was wanted meanwhile. */
  async begin() {
    const track = this.tracks.get(this.wanted[0]), from = index(this.place);
    const missing = () => {
      let i = from;
      while (i < Math.min(from + BEGUN, track.end) && track.chunks.has(i)) i++;
      return i < Math.min(from + BEGUN, track.end);
    };
    const still = () => !this.playing && track === this.tracks.get(this.wanted[0]) && from === index(this.place);
    if (this.playing || !track || !missing()) return false;
    this.openFeed(this.place, [track.key]);
    const mine = this.feed;
    while (still() && missing() && !mine.failed && !mine.done && this.feed === mine) await new Promise(done => setTimeout(done, POLL));
    if (!this.playing && this.feed === mine) this.closeFeed();
    return track !== this.tracks.get(this.wanted[0]);
  }

  // measure asks how loud the wanted tracks are, one after another: each takes the program some seconds of work, which engraving
  // and playing want first.
  async measure() {
    if (this.measuring) {
      if (!this.wanted.includes(this.measuring.key)) this.measuring.abort?.abort();
      return;
    }
    this.measuring = {};
    const next = async () => {
      do await this.quiet(); while (await this.begin());
      return this.wanted.map(key => this.tracks.get(key)).find(t => t && !t.loud && !t.unmeasured);
    };
    for (let track = await next(); track; track = await next()) {
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

  openFeed(at, keys = [...this.wanted]) {
    this.closeFeed();
    const feed = { keys, abort: new AbortController(), next: new Map(), failed: false, done: false };
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
        const m = await reader.next().catch(error => { throw error.name === 'AbortError' || error.status ? error : Object.assign(error, { cut: true }); });
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
        this.cuts = 0;
        feed.next.set(track.key, i + 1);
        if (this.voice?.track === track) this.voice.pump();
      }
      feed.done = true;
    } catch (error) {
      if (error.name === 'AbortError') return;
      feed.failed = true;
      if (this.feed === feed) {
        this.feed = null;
        if (error.status === 503 || error.status === 429 || error.closed || (error.cut && ++this.cuts < CUTS)) {
          if (!error.cut) this.say('busy', error.message);
          if (this.playing) setTimeout(() => this.playing && this.feedWanted(this.position()), 1500);
        } else {
          this.say('failed', error.message);
          this.stop();
        }
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
