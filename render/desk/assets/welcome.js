// Choosing what is on the desk: a file, a demonstration, a project.
import * as api from './api.js';
import { isRecording } from './audiofile.js';
import { $, el } from './dom.js';
import { trouble, failed } from './messages.js';
import { handleOf, pick } from './watched.js';
import { language, t } from './terms.js';

const stories = {
  drop: t`full chords stop, and a quiet answer comes at once`,
  dotted: t`a dotted figure low in the pedal`,
  solo: t`a melody over broken chords, equally loud`,
};

const PICKED = [{ description: t`Scores and whole projects`, accept: { 'application/octet-stream': ['.mid', '.midi', '.musicxml', '.xml', '.mxl', '.zip'] } }];

const KEPT_ID = 'afterchord-desk:project';

export class Welcome {
  /** open gets a project that was chosen, close takes the one off the desk that is put away, ownFile a building or an organ of the user's; renew says whether it took a file as the next version of the piece on the desk, watch follows one that can be read again. */
  constructor(state, { open, close, ownFile, renew, watch }) {
    this.state = state;
    this.open = open;
    this.close = close;
    this.ownFile = ownFile;
    this.renew = renew;
    this.watch = watch;
    $('file').addEventListener('change', e => {
      if (e.target.files[0]) this.take(e.target.files[0]);
      e.target.value = '';
    });
    $('pieces').addEventListener('click', () => this.toggle());
    // A file may be dropped anywhere.
    addEventListener('dragover', e => { e.preventDefault(); document.body.classList.add('dragging'); });
    addEventListener('dragleave', e => { if (!e.relatedTarget) document.body.classList.remove('dragging'); });
    addEventListener('drop', async e => {
      e.preventDefault();
      document.body.classList.remove('dragging');
      const file = e.dataTransfer.files[0], handle = handleOf(e.dataTransfer);
      if (file) this.take(file, await handle);
    });
    $('file').addEventListener('click', async e => {
      if (!e.isTrusted || !('showOpenFilePicker' in globalThis)) return;
      e.preventDefault();
      const handle = await pick(PICKED);
      if (handle) this.take(await handle.getFile(), handle); else if (handle === null) $('file').showPicker?.();
    });
  }

  /** remember lets a reload come back to a project. */
  remember(id) {
    if (location.hash.slice(1) !== id) history.replaceState(null, '', `#${id}`);
    try { sessionStorage.setItem(KEPT_ID, id); } catch { /* the address has it */ }
  }

  /** forget lets a reload come back to none. */
  forget() {
    history.replaceState(null, '', location.pathname + location.search);
    try { sessionStorage.removeItem(KEPT_ID); } catch { /* none */ }
  }

  /** last is the project that this tab had, '' where it had none. */
  last() {
    let id = location.hash.slice(1);
    if (!id) try { id = sessionStorage.getItem(KEPT_ID) || ''; } catch { /* none */ }
    return /^p\d{14}-[0-9a-f]{12}$/.test(id) ? id : '';
  }

  /** list shows the demonstrations; the projects come when they have been asked for. */
  list() {
    const { demos } = this.state.overview;
    $('demos').replaceChildren(...demos.map(d => el('button', { class: 'demo', 'data-demo': d.name, onclick: () => this.load(() => api.demo(d.name)) },
      el('b', {}, d.title), stories[d.name] && !d.title.includes('(') ? el('span', {}, stories[d.name]) : null)));
  }

  async projects() {
    const projects = await api.projects();
    $('projects-box').hidden = !projects.length && $('removed').hidden;
    $('projects').replaceChildren(...projects.map(p => el('li', {},
      el('button', { class: 'go', onclick: () => this.load(() => api.project(p.id)) }, el('b', {}, p.name), el('span', {}, `${p.file} · ${new Date(p.saved).toLocaleString(language === 'en' ? [] : language, { dateStyle: 'medium', timeStyle: 'short' })}`)),
      el('button', { class: 'small', 'aria-label': t`Delete ${p.name}`, onclick: () => this.remove(p) }, t`Delete`))));
  }

  /** remove puts a project away; until another is put away it can be taken back. */
  async remove({ id, name }) {
    try {
      if (this.state.project?.doc.id === id) await this.close();
      await api.remove(id);
      const back = el('button', { onclick: async () => {
        try {
          await api.restore(id);
          $('removed').hidden = true;
          await this.projects();
        } catch (error) { failed(error); }
      } }, t`Undo`);
      $('removed').replaceChildren(t`“${name}” is deleted.`, ' ', back);
      $('removed').hidden = false;
      await this.projects();
      back.focus();
    } catch (error) { failed(error); }
  }

  show(on) {
    $('welcome').hidden = !on;
    $('work').hidden = on || !this.state.project;
    $('pieces').setAttribute('aria-expanded', String(on));
  }

  async toggle() {
    const on = $('welcome').hidden;
    if (on) await this.refresh();
    this.show(on);
    if (on) $('welcome-title').scrollIntoView();
  }

  /** refresh brings the list of projects up to date. */
  async refresh() {
    try {
      await this.state.project?.flush();
      await this.projects();
    } catch (error) { failed(error); }
  }

  /** load opens what get brings. */
  async load(get) {
    trouble('');
    document.body.classList.add('busy');
    try { this.open(await get()); } catch (error) { failed(error); } finally { document.body.classList.remove('busy'); }
  }

  /** take opens a file of the user's: a WAV is a building, a TOML a building or an organ, anything else a piece or a whole project. */
  async take(file, handle = null) {
    const { overview, project } = this.state;
    if (/\.(wav|toml)$/i.test(file.name) || isRecording(file)) {
      if (project) this.ownFile(file); else trouble(t`${file.name} is a building or an organ: put a piece on the desk first.`);
      return;
    }
    const most = /\.zip$/i.test(file.name) ? overview.max_score + overview.max_response : overview.max_score;
    if (file.size > most) { trouble(t`${file.name}: larger than the ${most >> 20} MB that are taken`); return; }
    const before = project;
    if (!this.renew(file)) {
      await this.load(() => api.upload(file));
      if (this.state.project === before) return;
    }
    if (handle?.kind === 'file' && !/\.zip$/i.test(file.name)) this.watch(handle, file);
  }
}
