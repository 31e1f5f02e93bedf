// Recordings that the browser can decode, as WAV files that the desk reads.
import { t } from './terms.js';

const RECORDED = /\.(m4a|mp4|aac|mp3|ogg|oga|opus|flac|aiff?|caf|webm|weba|3gp|amr)$/i;

/** isRecording says whether a file is a recording in another form than WAV, by its name or kind. */
export const isRecording = file => RECORDED.test(file.name) || (/^audio\//.test(file.type) && !/wav|midi/.test(file.type));

/** wavOf is samples (one Float32Array a channel) as a WAV file of 32-bit floats. */
export function wavOf(channels, rate) {
  const frames = channels[0].length, n = channels.length, bytes = 4 * n * frames;
  const view = new DataView(new ArrayBuffer(58 + bytes));
  const text = (at, s) => { for (let i = 0; i < s.length; i++) view.setUint8(at + i, s.charCodeAt(i)); };
  text(0, 'RIFF'); view.setUint32(4, 50 + bytes, true); text(8, 'WAVE');
  text(12, 'fmt '); view.setUint32(16, 18, true);
  view.setUint16(20, 3, true); view.setUint16(22, n, true); // 3: IEEE float
  view.setUint32(24, rate, true); view.setUint32(28, 4 * n * rate, true);
  view.setUint16(32, 4 * n, true); view.setUint16(34, 32, true); view.setUint16(36, 0, true);
  text(38, 'fact'); view.setUint32(42, 4, true); view.setUint32(46, frames, true);
  text(50, 'data'); view.setUint32(54, bytes, true);
  for (let i = 0, at = 58; i < frames; i++) for (let c = 0; c < n; c++, at += 4) view.setFloat32(at, channels[c][i], true);
  return view.buffer;
}

/** decode is the sound of a recording; it fails with words where the browser does not know the format. */
export async function decode(blob, name) {
  const context = new OfflineAudioContext(1, 1, 48000);
  let sound;
  try { sound = await context.decodeAudioData(await blob.arrayBuffer()); } catch {
    throw new Error(t`${name}: this browser cannot read such a recording; give it as WAV`);
  }
  return { rate: sound.sampleRate, channels: Array.from({ length: Math.min(2, sound.numberOfChannels) }, (_, c) => sound.getChannelData(c)) };
}

/** asWav is a recording as a WAV file of the same name. */
export async function asWav(file) {
  const { channels, rate } = await decode(file, file.name);
  return new File([wavOf(channels, rate)], file.name.replace(/\.[^.]*$/, '') + '.wav', { type: 'audio/wav' });
}
