// Hand claps: recorded in the church with an ear on them while they sound, or brought as recordings; then measured together.
import * as api from './api.js';
import { asWav, decode, isRecording, wavOf } from './audiofile.js';
import { el, number } from './dom.js';
import { inEnglish, spoken, t } from './terms.js';

const LONGEST = 60; // s of one recording
const LOUD = -0.2;  // dB re full scale, of a clap that is cut off at the top
const CLEAR = 28;   // dB that a block with a clap stands over the quiet, to give a time by itself: 35 are measured in each band, and the first milliseconds stand some 12 over a block
const FAINT = 16;   // dB below which claps together give none either
const RISE = 12;    // dB within a block: a clap
const QUIET = 4;    // dB over the quiet: the church has died away

/** Ear listens for claps in levels that come block by block, and judges each at once. */
export class Ear {
  /** said gets the number of a clap and what is to be said of it. */
  constructor(said) {
    this.said = said;
    this.last = null;
    this.still = []; // levels of late, to know the quiet by
    this.floor = Infinity;
    this.claps = 0;
    this.ringing = false;
  }

  /** hear takes a block's level and peak, dB re full scale. */
  hear(level, peak) {
    const rises = this.last !== null && level > this.last + RISE && level > this.floor + RISE;
    this.last = level;
    if (rises && this.recent !== this.claps) {
      if (this.ringing) this.said(this.claps, t`too soon for the next: wait until all is quiet`);
      this.claps++;
      this.recent = this.claps;
      this.ringing = true;
      this.top = level;
      this.judge(peak);
      return;
    }
    if (this.recent === this.claps && this.claps && level > this.top) { // it is still growing
      this.top = level;
      this.judge(peak);
    } else this.recent = -1;
    if (this.ringing && level < this.floor + QUIET) this.ringing = false;
    if (!this.ringing) {
      this.still.push(level);
      if (this.still.length > 40) this.still.shift();
      this.floor = [...this.still].sort((a, b) => a - b)[this.still.length >> 1];
    }
  }

  judge(peak) {
    if (peak > LOUD) this.said(this.claps, t`too loud: step back or turn the level down`);
    else if (this.top - this.floor < FAINT) this.said(this.claps, t`too noisy or too soft: clap louder, or in a quieter hour`);
    else if (this.top - this.floor < CLEAR) this.said(this.claps, t`some noise: clap five times or more, they are read together`);
    else this.said(this.claps, t`good`);
  }
}

/** Claps is the dialog. */
export class Claps {
  /** own has the sheet, and takes the church that comes of it. */
  constructor(own) {
    this.own = own;
    /** @type {File[]} WAV files */
    this.recordings = [];
  }

  open() {
    this.meter = el('meter', { value: -60, min: -60, max: 0, low: -50, high: -3, optimum: -12, id: 'own-level' });
    this.say = el('p', { class: 'saying', role: 'status' }, '');
    this.heard = el('ol', { class: 'heard', 'aria-live': 'polite' });
    this.button = el('button', { class: 'big', onclick: () => (this.halt ? this.halt() : this.record()) }, t`Record`);
    const files = el('input', { type: 'file', id: 'own-recordings', multiple: true, accept: 'audio/*,.wav,.m4a', onchange: e => { this.bring([...e.target.files]); e.target.value = ''; } });
    this.own.sheet(t`Claps in your church`,
      el('p', {}, t`Lay the microphone where a listener would sit, some metres from the wall, and clap from five metres away or more: nearer, it hears your hands and not the church. Clap once, wait until all is quiet, clap again: three claps or more, five where it is not quiet.`),
      el('p', { class: 'hint' }, t`Switch off noise suppression and automatic level where the machine has them. A bursting balloon is louder; hold it away and protect your ears.`),
      el('p', { class: 'row' }, this.button, el('label', { class: 'button file', for: 'own-recordings' }, t`Recordings from a phone …`, files)),
      el('div', { class: 'level' }, el('label', { for: 'own-level' }, t`Level`), this.meter), this.say, this.heard);
    const dialog = this.own.dialog;
    dialog.addEventListener('dragover', e => e.preventDefault());
    dialog.addEventListener('drop', e => { e.preventDefault(); e.stopPropagation(); this.bring([...e.dataTransfer.files]); });
  }

  fail(error) {
    this.own.answer.replaceChildren(el('p', { class: 'trouble', ...(error.english ? inEnglish : {}) }, error.name === 'NotAllowedError' ? t`The browser does not let this page use the microphone.`
      : error.name === 'NotFoundError' ? t`There is no microphone; bring a recording instead.` : error.message));
  }

  /** bring takes recordings that were made elsewhere. */
  async bring(files) {
    try {
      for (const file of files) this.recordings.push(isRecording(file) ? await asWav(file) : file);
      if (files.length && !await this.measure()) this.recordings.splice(-files.length);
    } catch (error) { this.fail(error); }
  }

  async record() {
    this.own.answer.replaceChildren();
    this.heard.replaceChildren();
    this.button.disabled = true;
    this.say.textContent = t`Waiting for the microphone …`;
    let blob;
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } });
      this.own.stop = () => { for (const track of stream.getTracks()) track.stop(); };
      try { blob = await this.recorded(stream); } finally { this.own.stop(); }
      const { channels, rate } = await decode(blob, t`the recording`);
      this.recordings.push(new File([wavOf(channels, rate)], `claps-${this.recordings.length + 1}.wav`, { type: 'audio/wav' }));
      if (!await this.measure()) this.recordings.pop();
    } catch (error) {
      this.fail(error);
    } finally {
      this.button.disabled = false;
      this.button.textContent = this.recordings.length ? t`Record more` : t`Record`;
      this.say.textContent = '';
      this.meter.value = -60;
    }
  }

  /** recorded counts down, records until it is stopped and gives the recording; lossless where the browser can. */
  async recorded(stream) {
    const context = new AudioContext(), hears = context.createAnalyser();
    hears.fftSize = 2048;
    context.createMediaStreamSource(stream).connect(hears);
    const block = new Float32Array(hears.fftSize);
    const ear = new Ear((n, what) => {
      const line = this.heard.children[n - 1] || this.heard.appendChild(el('li'));
      line.textContent = t`Clap ${n}: ${what}`;
    });
    let listens = false;
    const watch = setInterval(() => {
      hears.getFloatTimeDomainData(block);
      let peak = 0, sum = 0;
      for (const x of block) { peak = Math.max(peak, Math.abs(x)); sum += x * x; }
      const dB = v => 20 * Math.log10(v || 1e-6);
      this.meter.value = Math.max(-60, dB(peak));
      if (listens) ear.hear(dB(Math.sqrt(sum / block.length)), dB(peak));
    }, 40);
    const wait = ms => new Promise(done => { setTimeout(done, ms); });
    try {
      const pcm = 'audio/webm;codecs=pcm';
      const recorder = new MediaRecorder(stream, MediaRecorder.isTypeSupported(pcm) ? { mimeType: pcm } : {});
      const parts = [];
      recorder.addEventListener('dataavailable', e => parts.push(e.data));
      const ended = new Promise(done => { recorder.addEventListener('stop', done, { once: true }); });
      for (const n of [3, 2, 1]) {
        this.say.textContent = t`Quiet, please: ${n} …`;
        if (n === 1) { recorder.start(); listens = true; } // the quiet before the first clap tells what the machine does to it
        await wait(1000);
      }
      this.say.textContent = t`Clap now; wait for silence; clap again.`;
      this.button.disabled = false;
      this.button.textContent = t`Stop`;
      await Promise.race([wait(1000 * LONGEST), ended, new Promise(done => { this.halt = done; })]);
      this.halt = null;
      this.button.disabled = true;
      if (recorder.state !== 'inactive') recorder.stop();
      await ended;
      return new Blob(parts, { type: recorder.mimeType });
    } finally {
      this.halt = null;
      clearInterval(watch);
      context.close();
    }
  }

  /** measure shows what all recordings give together and offers the church; it tells whether they could be measured. */
  async measure() {
    let measured = false;
    await this.own.working(() => api.measureClaps(this.recordings), reply => {
      measured = true;
      return this.result(reply);
    });
    return measured;
  }

  result({ takes, rt_s: rt, cautions, said, fillings, toml }) {
    const brief = cautions => cautions.map(c => spoken(said, c)[0].split(':')[0].trim()).join('; ');
    return [
      el('p', {}, el('b', {}, rt ? t`${number(rt, 1)} s` : t`The time is not sure.`)),
      fillings ? el('p', {}, t`Empty, as measured: ${number(rt, 1)} s. With people, computed: ${fillings.slice(1).map(f => t`${f.people} people ${number(f.rt_s, 1)} s`).join(', ')}.`) : null,
      el('ul', {}, takes.map((x, i) => el('li', {}, t`Clap ${i + 1}: ${x.rt_s ? t`${number(x.rt_s, 1)} s` : x.used ? t`read with the others` : t`no time`}`, x.used ? '' : t`, not used`, x.cautions.length ? el('span', x.cautions.every(c => said?.[c]) ? {} : inEnglish, ` (${brief(x.cautions)})`) : ''))),
      rt ? null : el('p', {}, t`What helps: five claps or more with silence between them, a louder burst (a balloon, two boards), a quieter hour, a place farther from the microphone.`),
      ...cautions.map(c => this.own.cautioned(c, said)),
      el('p', { class: 'row' },
        toml ? this.own.offered(toml, 'our-church.toml', t`Use this church`) : null,
        this.recordings.map((file, i) => el('a', { class: 'button', download: file.name, href: URL.createObjectURL(file) }, this.recordings.length > 1 ? t`Save recording ${i + 1}` : t`Save the recording`)),
        el('button', { onclick: () => { this.recordings = []; this.own.answer.replaceChildren(); this.heard.replaceChildren(); this.button.textContent = t`Record`; } }, t`Start over`)),
    ].filter(Boolean);
  }
}
