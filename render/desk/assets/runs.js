// Runs of the versions: each is proved anew when its knobs have been turned.
import * as api from './api.js';
import { sideKey } from './state.js';

const SETTLE = 90; // ms that a turned knob is given to come to rest

/** Runs says 'run' when a version has a new run, 'failed' with the reason where it has none, and 'busy' when work begins or ends. */
export class Runs extends EventTarget {
  constructor(state) {
    super();
    this.state = state;
    this.under = { a: null, b: null }; // { key, abort } of the run under way
    this.timers = {};
    this.held = false;
  }

  get busy() { return !!(this.under.a || this.under.b); }

  tell(type, detail) { this.dispatchEvent(new CustomEvent(type, { detail })); }

  /** forget begins with another project, whose versions may read like those of the last. */
  forget() {
    this.giveUp();
    this.state.runs = { a: null, b: null };
  }

  giveUp() {
    for (const k of ['a', 'b']) {
      clearTimeout(this.timers[k]);
      this.under[k]?.abort.abort();
      this.under[k] = null;
    }
  }

  /** without waits for a change of what the versions stand on, as a church of the user's: what is under way is given up, for it would find the
   * one with the seat of the other; when the change is there they are run. */
  async without(change) {
    this.held = true;
    this.giveUp();
    try { await change(); } finally {
      this.held = false;
      this.prove();
    }
  }

  /** prove runs the versions that have not been run as they are; an older request is given up. */
  prove() {
    if (this.held) return;
    if (!this.state.doc.b) this.state.runs.b = null;
    for (const k of this.state.letters) this.proveOne(k);
  }

  proveOne(k) {
    const { state } = this, side = state.doc[k], key = sideKey(side, state.doc);
    if (state.runs[k]?.key === key || this.under[k]?.key === key) return;
    this.under[k]?.abort.abort();
    const mine = this.under[k] = { key, abort: new AbortController() };
    this.tell('busy');
    clearTimeout(this.timers[k]);
    this.timers[k] = setTimeout(() => this.ask(k, side, mine), state.runs[k] ? SETTLE : 0);
  }

  async ask(k, side, mine) {
    const { id } = this.state.doc, { signal } = mine.abort;
    try {
      const reply = await api.prove(id, side, signal);
      if (signal.aborted || this.state.doc.id !== id) return;
      this.state.runs[k] = runOf(mine.key, side, reply);
      this.tell('run', k);
    } catch (error) {
      if (error.name !== 'AbortError' && !signal.aborted) this.tell('failed', error.message);
    } finally {
      if (this.under[k] === mine) this.under[k] = null;
      if (!this.busy) this.tell('busy');
    }
  }
}

/** runOf joins what people read of the findings with what was computed of them, the worst first. */
export function runOf(key, side, { document, shown, knobs, whole, said }) {
  const computed = new Map(document.findings.map(f => [f.id, f]));
  return { key, side: structuredClone(side), document, knobs, whole, said,
    shown: shown.map(s => ({ ...computed.get(s.id), ...s, kind_key: computed.get(s.id).kind })) };
}
