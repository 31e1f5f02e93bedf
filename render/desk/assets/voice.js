import { CHUNK, RATE } from './stream.js';
import { mapTime } from './timemap.js';

const AHEAD = 2.5;   // s scheduled ahead: the page may be busy so long, or asleep in the background
const ENOUGH = 2;    // chunks that must be there before music that has run dry goes on
const FADE = 0.03;   // s of a cross-fade

// Voice is a track sounding from a place on.
export class Voice {
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
    this.dry = false;                     // it waits for sound
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
      const late = this.when < now + 0.01;
      if (!chunk || (late && this.dry && !this.stocked(i))) {
        if (i >= this.track.end) { this.over = this.when < now; return; }
        if (!this.player.covered(this.track.key, i)) this.player.feedWanted(this.frame / RATE);
        this.dry = late;
        return;
      }
      if (late) { // it came late: go on from here
        this.when = now + 0.02;
        this.fresh = true;
      }
      this.dry = false;
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

  /** stocked says whether enough is there from a chunk on. */
  stocked(i) {
    for (let k = i; k < Math.min(i + ENOUGH, this.track.end); k++) if (!this.track.chunks.has(k)) return false;
    return true;
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
    if (wraps || this.fresh) { // no click where the loop closes, or after a wait
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
