// What is on the desk. The parts of the page read it; desk.js alone changes what it holds.

/** sideKey is the same for versions that sound and are judged the same. */
export const sideKey = side => JSON.stringify(side);

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
  name(letter) { return this.doc.b ? `Version ${letter.toUpperCase()}` : ''; }

  /** recorded says whether a version is heard in a room that was recorded. */
  recorded(letter) { return this.doc[letter].room === 'own' && /\.wav$/i.test(this.doc.response.file); }

  /** forEars says whether a version is heard as headphones want it: a recorded room has the ears that it was recorded with. */
  forEars(letter, dry) { return this.ears && (dry || !this.recorded(letter)); }

  /** file is the address of a file made from a version. */
  file(letter, name) { return `/api/projects/${this.doc.id}/files/${letter}/${name}`; }
}
