// The line to the desk: whether it answers.
import { door } from './door.js';

const PAUSE = 2000; // ms between two knocks at a desk that was closed

class Line extends EventTarget {
  constructor() {
    super();
    this.down = false;
  }

  /** lost knocks until the desk answers, then says 'back'. */
  async lost() {
    if (this.down) return;
    this.down = true;
    while (this.down) {
      await new Promise(done => setTimeout(done, PAUSE));
      try { this.down = !(await door().fetch('/api/desk', { method: 'GET' })).ok; } catch { /* not yet */ }
    }
    this.dispatchEvent(new Event('back'));
  }
}

export const line = new Line();
