// What is on the desk. The parts of the page read it; desk.js alone changes what it holds.
import { t } from './terms.js';
import { number } from './dom.js';

/** sideKey is the same for versions of a project that sound and are judged the same; the user's own church and organ are known by their files. */
export const sideKey = (side, doc) => JSON.stringify([side, side.room === 'own' ? doc.response?.file : '', side.organ === 'own' ? doc.organ?.file : '']);

export class State {
  constructor() {
    /** @type {import('./types').Overview} what there is to choose from */
    this.overview = null;
    /** @type {import('./project.js').Project} */
    this.project = null;
    /** @type {Record<import('./types').Letter, import('./types').Run>} the newest run of each version */
    this.runs = { a: null, b: null };
    this.dry = false;   // heard without the room
    this.ears = false;  // made for headphones
  }

  get doc() { return this.project.doc; }

  /** letters of the versions that there are. @returns {import('./types').Letter[]} */
  get letters() { return this.doc.b ? ['a', 'b'] : ['a']; }

  /** @returns {import('./types').Letter} the version that is looked at, heard and turned */
  get letter() { return this.doc.active; }

  /** run is that of the version that is looked at. */
  get run() { return this.project && this.runs[this.letter]; }

  /** name of a version where there are two of them. */
  name(letter) {
    const called = this.called(letter);
    return this.doc.b ? (called ? `${letter.toUpperCase()} ${called}` : t`Version ${letter.toUpperCase()}`) : '';
  }

  /** called is what the user calls a version, or else what sets it apart from the other; '' where nothing does. */
  called(letter) {
    const { a, b, names } = this.doc;
    return b ? names?.[letter] || this.apart(this.doc[letter], letter === 'a' ? b : a) : '';
  }

  /** apart is what a version has that the other has not, in few words. */
  apart(side, other) {
    const { rooms, organs } = this.overview, own = x => x?.title || x?.shown || t`own`;
    const room = s => t(rooms.find(r => r.name === s.room)?.title || '') || (s.room === 'rt' ? t`church of ${number(s.rt, 1)} s` : own(this.doc.response));
    const organ = s => (t(organs.find(o => o.name === s.organ)?.title || '') || own(this.doc.organ)).split(',')[0];
    const score = s => (this.doc.scores[s.score].why ? t`rewritten` : t`as written`);
    const filled = s => ({ half: t`half full`, full: t`full` }[s.people] || t`empty`);
    const tempo = s => t`${Math.round(100 * s.tempo)}\u00a0% of the tempo`;
    return [score, room, organ, tempo, s => t(s.seat), filled].filter(f => f(side) !== f(other)).slice(0, 2).map(f => f(side)).join(', ');
  }

  /** recorded says whether a version is heard in a room that was recorded. */
  recorded(letter) { return this.doc[letter].room === 'own' && /\.wav$/i.test(this.doc.response.file); }

  /** forEars says whether a version is heard as headphones want it: a recorded room has the ears that it was recorded with. */
  forEars(letter, dry) { return this.ears && (dry || !this.recorded(letter)); }

  /** file is the address of a file made from a version. */
  file(letter, name) { return `/api/projects/${this.doc.id}/files/${letter}/${name}`; }
}
