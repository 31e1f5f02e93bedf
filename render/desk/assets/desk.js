// The page: makes its parts and joins them.
import * as api from './api.js';
import { door } from './door.js';
import { $, el, radios } from './dom.js';
import { trouble, failed, say } from './messages.js';
import { State, sideKey } from './state.js';
import { Project } from './project.js';
import { Runs } from './runs.js';
import { Player } from './player.js';
import { Transport } from './transport.js';
import { ScoreView } from './view.js';
import { Found } from './found.js';
import { Drawn } from './drawn.js';
import { Welcome } from './welcome.js';
import { Controls } from './controls.js';
import { keepMenu, fileLink } from './keep.js';
import { versions } from './versions.js';
import { Renewed, isNext } from './renewed.js';
import { keys, menus } from './keys.js';
import { Own } from './own.js';
import { isRecording, asWav } from './audiofile.js';
import { Presenting } from './present.js';
import { looks } from './looks.js';
import { explanations } from '../../report/explain.js';
import { line } from './line.js';
import { t, translate } from './terms.js';

translate();

const state = new State();
const runs = new Runs(state);
const view = new ScoreView(state, { seek, finding: toFinding, keys: pictureKeys });
const transport = new Transport(state, new Player(), view, { changed: () => keepMenu(state) });
const found = new Found(state, {
  listen: f => transport.listen(f),
  loop: f => transport.loopFinding(f),
  select: id => { view.select(id); presenting.show(id); },
  link: (f, text) => fileLink(state, state.letter, `sheet.html?finding=${f.id}`, text, { class: 'button' }),
});
const presenting = new Presenting(state, { step: by => found.step(by), listen: f => transport.listen(f), large: on => view.present(on) });
const drawn = new Drawn(state);
transport.player.addEventListener('move', drawnHere);
door().spare = () => transport.player.spare();
const renewed = new Renewed(state);
const welcome = new Welcome(state, { open, close, ownFile, renew, watch: (handle, file) => renewed.watch(handle, file) });
let controls = null;

async function start() {
  state.overview = await api.overview();
  if (state.overview.notation) view.withNotation(state.overview.notation);
  welcome.list();
  const last = welcome.last();
  if (last) await welcome.load(() => api.project(last));
  if (!state.project) await welcome.refresh();
}

/** open puts a project on the desk. */
function open(doc) {
  state.project?.close();
  runs.forget();
  const project = state.project = new Project(doc);
  welcome.remember(doc.id);
  transport.open(doc.id);
  view.open(doc.id);
  view.begin(project.side); // what takes longest is asked for first
  presenting.turn(false);
  found.open();
  $('followed').hidden = true;
  $('versions').replaceChildren();
  controls = new Controls($('controls'), state.overview, { change: (what, f) => project.change(what, d => f(d[d.active])), ownFile, own: what => new Own(state.overview, ownFile)[what]() });
  project.addEventListener('change', refresh);
  tellSaving(project);
  for (const id of ['title-box', 'keep', 'present']) $(id).hidden = false;
  $('title').value = doc.name;
  welcome.show(false);
  refresh();
  renewed.open(project);
  $('verdict').focus({ preventScroll: true });
}

/** close takes the project off the desk. */
async function close() {
  await state.project.flush();
  presenting.turn(false);
  state.project.close();
  state.project = null;
  runs.forget();
  transport.close();
  renewed.close();
  welcome.forget();
  for (const id of ['title-box', 'keep', 'present', 'followed', 'work']) $(id).hidden = true;
  $('saved').textContent = '';
  $('undo').disabled = true;
  $('redo').hidden = true;
  $('undo').textContent = t`Undo`;
  document.title = t`Writing desk – afterchord`;
}

/** renew takes a file as the new version of the score on the desk, unless it is another piece. */
function renew(file) {
  if (!state.project || $('work').hidden || !isNext(state.doc, file.name)) return false;
  renewed.take(file);
  return true;
}

function tellSaving(project) {
  const saved = (text, conflict) => {
    $('saved').textContent = text;
    if (conflict !== undefined) $('conflict').hidden = !conflict;
  };
  project.addEventListener('saving', () => saved(t`saving …`));
  project.addEventListener('saved', () => saved(t`saved`, false));
  project.addEventListener('unsaved', e => saved(e.detail.never ? t`not saved: ${e.detail.why}` : t`not saved: ${e.detail.why}; trying again`));
  project.addEventListener('conflict', () => saved(t`not saved`, true));
  saved(t`saved`, false);
}

async function ownFile(file) {
  const most = state.overview.max_response;
  if (file.size > most) { trouble(t`${file.name}: larger than the ${most >> 20} MB that are taken`); return; }
  trouble('');
  try {
    const mine = isRecording(file) ? await asWav(file) : file;
    await runs.without(() => state.project.ownFile(mine));
  } catch (error) { failed(error); }
}

/** refresh follows a change of the project. */
function refresh() {
  const { doc } = state;
  if (document.activeElement !== $('title')) $('title').value = doc.name;
  $('title').title = doc.name;
  document.title = t`${doc.name} – writing desk`;
  const last = doc.past[doc.past.length - 1];
  $('undo').disabled = !last;
  $('undo').replaceChildren(t`Undo`, el('span', { class: 'what' }, last ? `: ${t(last.what)}` : ''));
  const next = state.project.future.at(-1);
  $('redo').hidden = !next;
  $('redo').replaceChildren(t`Redo`, el('span', { class: 'what' }, next ? ` ${t(next.what)}` : ''));
  controls.show(state.project, state.run);
  keepMenu(state);
  versions(state);
  transport.hearing();
  view.begin(state.project.side);
  runs.prove();
  show();
}

/** show follows a new run, and a change of what is looked at. */
function show() {
  if (!state.run) return;
  view.show();
  found.show();
  renewed.show();
  drawnHere();
  document.body.dataset.proved = state.run.key === sideKey(state.project.side, state.doc) ? 'yes' : '';
  transport.tracks();
}

function drawnHere() { drawn.place(transport.player.position(), transport.player.bars()); }

runs.addEventListener('busy', () => document.body.classList.toggle('proving', runs.busy));
runs.addEventListener('failed', e => trouble(/** @type {CustomEvent} */ (e).detail, true));
runs.addEventListener('run', () => {
  trouble('');
  show();
  controls.show(state.project, state.run);
});

/** pick looks at and hears a version. */
function pick(letter) {
  if (!state.doc.b || state.letter === letter) return;
  state.project.change('', d => { d.active = letter; });
}

function seek(letter, at) {
  pick(letter);
  transport.playFrom(at);
}

function toFinding(letter, f) {
  pick(letter);
  found.go(f);
}

function undo() {
  const what = state.project.undo();
  if (what) say(t`Undone: ${t(what)}`);
}

function redo() {
  const what = state.project.redo();
  if (what) say(t`Done again: ${t(what)}`);
}

/** presentingKeys do something before a class alone: those of a clicker, which sends F5 to begin. */
function presentingKeys(actions) {
  return Object.fromEntries(Object.entries(actions).map(([key, act]) => [key, () => (presenting.on ? (act(), true) : false)]));
}

/** pictureKeys are those that a picture or the notation takes for itself. */
function pictureKeys(e) {
  if (e.key === 'Home') transport.player.seek(0);
  else if (e.key === 'ArrowRight') transport.bar(1);
  else if (e.key === 'ArrowLeft') transport.bar(-1);
  else return;
  e.preventDefault();
  e.stopPropagation();
}

keys(() => state.project, {
  ' ': () => transport.toggle(),
  ArrowRight: () => transport.bar(1),
  ArrowLeft: () => transport.bar(-1),
  d: () => transport.setDry(!state.dry),
  h: () => transport.toggleEars(),
  x: () => pick(state.letter === 'a' ? 'b' : 'a'),
  l: () => transport.setLoop(null),
  n: () => view.next(),
  s: () => { $('drawn').open = !$('drawn').open; },
  k: turnKnobs,
  p: () => presenting.turn(),
  ...presentingKeys({ PageDown: () => found.step(1), PageUp: () => found.step(-1), F5: () => transport.toggle(), Escape: () => presenting.turn(false) }),
  '?': () => $('keys').showModal(),
  ']': () => found.step(1),
  '[': () => found.step(-1),
}, { undo, redo });
menus();
explanations(word => t(state.overview.terms[word.dataset.term]));

/** turnKnobs shows the knobs, or folds them into their strip. */
function turnKnobs() {
  const open = $('controls').hidden;
  $('controls').hidden = !open;
  $('knobs').setAttribute('aria-expanded', String(open));
}

$('knobs').addEventListener('click', turnKnobs);
$('keys-show').addEventListener('click', () => $('keys').showModal());
$('undo').addEventListener('click', undo);
$('redo').addEventListener('click', () => {
  redo();
  if ($('redo').hidden) $('undo').focus();
});
$('next-file').addEventListener('change', e => {
  if (e.target.files[0]) renewed.take(e.target.files[0]);
  e.target.value = '';
});
$('print').addEventListener('click', () => print());
$('title').addEventListener('change', e => state.project.change('', d => { d.name = e.target.value; }));
$('title').addEventListener('keydown', e => { if (e.key === 'Enter') e.target.blur(); });
for (const r of radios('ab')) r.addEventListener('change', () => pick(r.value));
for (const [id, settle] of [['take-theirs', 'reload'], ['keep-mine', 'keepMine']]) {
  $(id).addEventListener('click', () => {
    $('conflict').hidden = true;
    state.project[settle]().catch(failed);
  });
}
// A desk that was closed and is back: what was asked meanwhile is asked again, and nothing that was turned is forgotten.
line.addEventListener('back', () => {
  trouble('');
  if (!state.project) { start().catch(failed); return; }
  state.project.flush();
  refresh();
  view.again();
});
addEventListener('beforeunload', () => { state.project?.remember(); });
addEventListener('pagehide', () => { state.project?.flush(); });

looks(() => view.fit());
start().catch(failed);
