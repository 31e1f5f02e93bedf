// The stream of sound: messages of several tracks in step (see the server's listen.go).

export const RATE = 48000;  // Hz
export const CHUNK = 24000; // frames of a message
export const NO_TRACK = 0xffffffff; // a message of this track is the text of an error

/** index is the chunk that s of a track lies in. */
export const index = s => Math.max(0, Math.floor(s * RATE / CHUNK + 1e-6));

// Messages cuts the stream into its messages.
export class Messages {
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

/** buffer is a message's sound, as the audio clock plays it. */
export function buffer(m) {
  const b = new AudioBuffer({ numberOfChannels: 2, length: m.frames, sampleRate: RATE });
  const x = new Float32Array(m.bytes.buffer);
  const l = b.getChannelData(0), r = b.getChannelData(1);
  for (let i = 0; i < m.frames; i++) { l[i] = x[2 * i]; r[i] = x[2 * i + 1]; }
  return b;
}
