// How far the sound is: one playing's seconds against another's, and a guess of how loud it will be.

const FULL_SCALE = 122; // dB re 20 µPa of a sample of 1, the stream's default

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
