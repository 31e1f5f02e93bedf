// Files to keep: sound, reports, scores, made from a version as it was saved.
import * as api from './api.js';
import { $, el } from './dom.js';
import { failed } from './messages.js';
import { t } from './terms.js';

const NOTATION = ['score.musicxml', t`Score as it is now (MusicXML)`], MIDI = ['score.mid', t`Score as it is now (MIDI)`];
const ANNOTATED = ['annotated', t`Score with the findings in it`];
const REPORTS = [['report.html', t`Report (web page)`], ['report.json', t`Report (JSON)`], ['sheet.html', t`Lesson sheet`]];
const BESIDE = ['beside.html', t`Side by side, with both scores (web page)`];

const SOUNDS = [['heard', t`Sound in the room`, false], ['dry', t`Sound without the room`, true]];

/** keepMenu lists what can be kept of each version. */
export function keepMenu(state) {
  const sounds = k => SOUNDS.map(([name, sound, dry]) =>
    state.forEars(k, dry) ? [`${name}-ears.wav`, t`${sound}, for headphones (WAV)`] : [`${name}.wav`, `${sound} (WAV)`]);
  const scores = k => [...(/\.mid$/i.test(state.doc.scores[state.doc[k].score].file) ? [MIDI, NOTATION] : [NOTATION, MIDI]), ANNOTATED];
  const beside = state.doc.b || state.doc.scores[state.doc.a.score].side ? [fileLink(state, 'a', ...BESIDE, { 'data-file': BESIDE[0] })] : [];
  $('keep-list').replaceChildren(whole(state), ...beside, ...state.letters.flatMap(k => [...scores(k), ...REPORTS, ...sounds(k)].map(([name, text]) =>
    fileLink(state, k, name, state.letters.length > 1 ? `${state.name(k)}: ${text}` : text, { 'data-file': name }))));
}

const whole = state => saved(state, `/api/projects/${state.doc.id}/whole`, t`The whole project, to open at any desk`, { 'data-file': 'whole' });

/** fileLink is a link to a file of a version. */
export const fileLink = (state, letter, name, text, attributes = {}) => saved(state, state.file(letter, name), text, attributes);

/** saved is a link to a file that is made from what is saved, so that is brought up to date before. */
function saved(state, address, text, attributes) {
  return el('a', { href: address, download: '', ...attributes, onclick: async e => {
    e.preventDefault();
    try {
      await state.project.flush();
      if (!state.project.dirty) await api.download(address);
    } catch (error) { failed(error); }
  } }, text);
}
