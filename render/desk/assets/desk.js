// The page: brings project, knobs, picture, findings and player together.
import * as api from './api.js';
import { $, el, clock, count, number, severities } from './dom.js';
import { Project } from './project.js';
import { Player, guess, mapTime } from './sound.js';
import { Picture } from './picture.js';
import { Notation } from './notation.js';
import { Controls } from './controls.js';
import { list, difference, tally } from './findings.js';

let desk, project = null, controls = null;
const runs = { a: null, b: null };       // letter -> { key, document, shown }
const aborts = { a: null, b: null };
const pictures = { a: null, b: null };
const player = new Player();
let notation = null;                      // where the program has the engraving library
let dry = false, ears = false, heardLetter = 'a'; // ears: for headphones
let listed = null;                        // the run whose findings are written out

// ---- messages

function trouble(text) {
  $('trouble').textContent = text || '';
  $('trouble').hidden = !text;
}

const say = text => { $('said').textContent = text; };

// ---- choosing a piece

async function start() {
  look();
  desk = await api.overview();
  if (desk.notation) withNotation();
  welcome();
  let id = location.hash.slice(1);
  if (!id) try { id = sessionStorage.getItem('afterchord-desk:project') || ''; } catch { /* none */ }
  if (/^p\d{14}-[0-9a-f]{12}$/.test(id)) {
    try { open(await api.project(id)); return; } catch (error) { trouble(error.message); }
  }
}

const stories = { drop: 'full chords stop, and a quiet answer comes at once', dotted: 'a dotted figure low in the pedal', solo: 'a melody over broken chords, equally loud' };

function welcome() {
  $('demos').replaceChildren(...desk.demos.map(d => el('button', { class: 'demo', 'data-demo': d.name, onclick: () => load(() => api.demo(d.name)) },
    el('b', {}, d.title), stories[d.name] && !d.title.includes('(') ? el('span', {}, stories[d.name]) : null)));
  $('projects-box').hidden = !desk.projects.length;
  $('projects').replaceChildren(...desk.projects.map(p => el('li', {}, el('button', { onclick: () => load(() => api.project(p.id)) },
    el('b', {}, p.name), el('span', {}, new Date(p.saved).toLocaleString())))));
}

async function load(get) {
  trouble('');
  document.body.classList.add('busy');
  try { open(await get()); } catch (error) { trouble(error.message); } finally { document.body.classList.remove('busy'); }
}

function showWelcome(on) {
  $('welcome').hidden = !on;
  $('work').hidden = on || !project;
  $('pieces').setAttribute('aria-expanded', String(on));
}

function open(doc) {
  project?.close();
  for (const k of ['a', 'b']) { aborts[k]?.abort(); runs[k] = null; }
  project = new Project(doc);
  if (location.hash.slice(1) !== doc.id) history.replaceState(null, '', `#${doc.id}`);
  try { sessionStorage.setItem('afterchord-desk:project', doc.id); } catch { /* none */ }
  player.open(doc.id);
  pictures.a = pictures.b = null;
  $('pictures').replaceChildren();
  notation?.open(doc.id);
  controls = new Controls($('controls'), desk, { change, ownRoom });
  project.addEventListener('change', () => refresh());
  project.addEventListener('saving', () => { $('saved').textContent = 'saving …'; });
  project.addEventListener('saved', () => { $('saved').textContent = 'saved'; $('conflict').hidden = true; });
  project.addEventListener('unsaved', e => { $('saved').textContent = `not saved: ${e.detail}; trying again`; });
  project.addEventListener('conflict', () => { $('saved').textContent = 'not saved'; $('conflict').hidden = false; });
  $('saved').textContent = 'saved';
  $('conflict').hidden = true;
  for (const id of ['title-box', 'keep', 'transport']) $(id).hidden = false;
  $('title').value = doc.name;
  listed = null;
  $('verdict').textContent = 'Working it out …';
  for (const id of ['facts', 'list', 'difference', 'remarks', 'versions']) $(id).replaceChildren();
  $('more').hidden = true;
  showWelcome(false);
  refresh();
  $('verdict').focus({ preventScroll: true });
}

// ---- changing

function change(what, f) {
  project.change(what, d => f(d[d.active]));
}

async function ownRoom(file) {
  if (file.size > desk.max_response) { trouble(`${file.name}: larger than ${desk.max_response >> 20} MB`); return; }
  trouble('');
  try { await project.ownRoom(file); } catch (error) { trouble(error.message); }
}

const keyOf = side => JSON.stringify(side);

function refresh() {
  const { doc } = project;
  if (document.activeElement !== $('title')) $('title').value = doc.name;
  document.title = `${doc.name} – writing desk`;
  const last = doc.past[doc.past.length - 1];
  $('undo').disabled = !last;
  $('undo').textContent = last ? `Undo ${last.what}` : 'Undo';
  controls.show(project, current(doc.active));
  $('ab').hidden = !doc.b;
  for (const r of document.getElementsByName('ab')) r.checked = r.value === doc.active;
  if (!doc.b) runs.b = null;
  keepMenu();
  versions();
  hearing();
  notation?.begin(project.side);
  for (const k of doc.b ? ['a', 'b'] : ['a']) run(k);
  show();
}

const current = k => runs[k];

// run proves a side unless it has just been proved; an older request is given up.
const timers = {};
function run(k) {
  const side = project.doc[k], key = keyOf(side);
  if (runs[k]?.key === key || aborts[k]?.key === key) return;
  aborts[k]?.abort();
  const abort = aborts[k] = new AbortController();
  abort.key = key;
  document.body.classList.add('proving');
  clearTimeout(timers[k]);
  timers[k] = setTimeout(async () => {
    const id = project.doc.id;
    try {
      const r = await api.prove(id, side, abort.signal);
      if (abort.signal.aborted || project.doc.id !== id) return;
      const shown = r.shown.map(s => ({ ...r.document.findings.find(f => f.id === s.id), ...s, kind_key: r.document.findings.find(f => f.id === s.id).kind }));
      runs[k] = { key, side: structuredClone(side), document: r.document, shown };
      trouble('');
      show();
      controls.show(project, current(project.doc.active));
    } catch (error) {
      if (error.name !== 'AbortError' && !abort.signal.aborted) trouble(error.message);
    } finally {
      if (aborts[k] === abort) aborts[k] = null;
      if (!aborts.a && !aborts.b) document.body.classList.remove('proving');
    }
  }, runs[k] ? 90 : 0);
}

// ---- showing

function show() {
  const { doc } = project, k = doc.active, r = runs[k];
  if (!r) return;
  const d = r.document;
  const words = tally(r.shown);
  const version = doc.b ? `Version ${k.toUpperCase()}: ` : '';
  const text = version + words;
  if ($('verdict').textContent !== text) { $('verdict').textContent = text; say(text); }
  $('facts').textContent = [d.score.title || d.score.file, count(d.score.bars, 'bar', 'bars'), clock(d.score.duration_s),
    `${d.room.title}, RT ${number(d.room.rt60_s['500'], 1)} s at 500 Hz`, `${d.room.seat}, ${number(d.room.distance_m, 0)} m from the organ`, d.organ.title,
    `${Math.round(d.settings.crotchets_a_minute)} crotchets a minute`].join(' · ');
  notation?.show(r, doc.b ? `Version ${k.toUpperCase()}` : ''); // asks for its places while the pictures are drawn
  const letters = doc.b ? ['a', 'b'] : ['a'];
  for (const x of ['a', 'b']) {
    if (!letters.includes(x) || !runs[x]) { pictures[x]?.root.remove(); pictures[x] = null; continue; }
    if (!pictures[x]) {
      pictures[x] = new Picture(x, { onseek: seek, onfinding: toFinding });
      pictures[x].scroll.addEventListener('keydown', pictureKeys);
    }
    if (!pictures[x].root.isConnected) {
      if (x === 'a') $('pictures').prepend(pictures[x].root); else $('pictures').append(pictures[x].root);
    }
    const title = doc.b ? `Version ${x.toUpperCase()}` : '';
    if (pictures[x].run !== runs[x] || pictures[x].title !== title) {
      pictures[x].run = runs[x];
      pictures[x].title = title;
      pictures[x].show(runs[x].document, runs[x].shown, title);
    }
    pictures[x].root.classList.toggle('chosen', !!doc.b && x === k);
  }
  if (listed !== r) {
    listed = r;
    select(undefined);
    $('list').replaceChildren(...list(r, { listen, loop: loopFinding, sheet: f => file(k, `sheet.html?finding=${f.id}`), mend }));
    const remarks = d.remarks || [];
    $('more').hidden = !remarks.length;
    $('remarks').replaceChildren(...remarks.slice(0, 60).map(m => el('li', {}, m.bar ? `Bar ${m.bar}: ` : '', m.text)));
  }
  $('difference').replaceChildren(...(doc.b && runs.a && runs.b ? [difference(runs.a, runs.b)] : []));
  document.body.dataset.proved = runs[k].key === keyOf(project.side) ? 'yes' : '';
  tracks();
}

function versions() {
  const { doc } = project;
  const score = doc.scores[project.side.score];
  const out = [];
  if (!doc.b) out.push(el('button', { id: 'compare', onclick: () => project.change('second version', d => { d.b = structuredClone(d.a); d.active = 'b'; }) }, 'Compare with a second version'));
  else {
    out.push(el('span', { class: 'hint' }, `The knobs turn version ${doc.active.toUpperCase()}.`),
      el('button', { onclick: () => project.change('second version', d => { d.b = null; d.active = 'a'; }) }, 'Keep A only'),
      el('button', { onclick: () => project.change('second version', d => { d.a = d.b; d.b = null; d.active = 'a'; }) }, 'Keep B only'));
  }
  if (doc.scores.length > 1) {
    const select = el('select', { id: 'score', onchange: e => change('score', s => { s.score = +e.target.value; s.dynamics = []; }) },
      doc.scores.map((s, i) => el('option', { value: i, selected: i === project.side.score }, i ? `${i}: ${s.why.length > 64 ? s.why.slice(0, 62) + ' …' : s.why}` : 'as written')));
    out.push(el('label', {}, 'Score ', select));
    if (project.side.score > 0 && !doc.b) out.push(el('button', { onclick: () => project.change('comparison', d => {
      d.b = structuredClone(d.a);
      d.a.score = doc.scores[d.b.score].from;
      d.active = 'b';
    }) }, 'Hear it against the score before'));
  }
  if (score?.why) out.push(el('p', { class: 'why' }, el('b', {}, 'Rewritten: '), score.why));
  $('versions').replaceChildren(...out);
}

const file = (k, name) => `/api/projects/${project.doc.id}/files/${k}/${name}`;

function keepMenu() {
  const letters = project.doc.b ? ['a', 'b'] : ['a'];
  const sounds = k => [['heard', 'in the room', false], ['dry', 'without the room', true]].map(([name, where, isDry]) =>
    forEars(k, isDry) ? [`${name}-ears.wav`, `Sound ${where}, for headphones (WAV)`] : [`${name}.wav`, `Sound ${where} (WAV)`]);
  const names = [['report.html', 'Report (web page)'], ['report.json', 'Report (JSON)'], ['sheet.html', 'Lesson sheet'], ['annotated', 'Score with the findings in it'], ['score.mid', 'Score as it is now (MIDI)']];
  $('keep-list').replaceChildren(...letters.flatMap(k => [...sounds(k), ...names].map(([name, text]) =>
    el('a', { href: file(k, name), download: '', 'data-file': name, onclick: e => saveFirst(e) }, letters.length > 1 ? `${k.toUpperCase()}: ${text}` : text))));
}

// A download is made from what the disk has, so that is brought up to date before.
async function saveFirst(e) {
  const link = e.currentTarget;
  if (!project.dirty && !project.saving) return;
  e.preventDefault();
  await project.flush();
  if (!project.dirty) link.click();
}

// ---- sound

// forEars says whether a version is heard as headphones want it: a recorded room has the ears that it was recorded with.
const forEars = (k, isDry) => ears && (isDry || project.doc[k].room !== 'own');

const soundKey = (x, isDry) => `${runs[x].key}${isDry ? ' dry' : ''}${forEars(x, isDry) ? ' ears' : ''}`;

function tracks() {
  const { doc } = project, k = doc.active, r = runs[k];
  if (!r) return;
  const entry = (x, isDry) => ({ key: soundKey(x, isDry), side: runs[x].side, dry: isDry, ears: forEars(x, isDry),
    guess: guess(runs[x].document.timeline, isDry), bars: runs[x].document.bars });
  const want = [entry(k, dry), entry(k, !dry)];
  const other = k === 'a' ? 'b' : 'a';
  if (doc.b && runs[other]) want.splice(1, 0, entry(other, dry));
  const seen = new Set();
  player.reference = soundKey(runs.a ? 'a' : k, false);
  heardLetter = k;
  player.want(want.filter(w => !seen.has(w.key) && seen.add(w.key)));
  showLoop();
  paint();
}

function seek(letter, at) {
  if (letter !== project.doc.active) pick(letter);
  setLoop(null);
  player.play(at).catch(e => trouble(e.message));
}

function listen(f) {
  setLoop(null);
  player.play(Math.max(0, f.at_s - 2)).catch(e => trouble(e.message));
}

function loopFinding(f) {
  const doc = runs[project.doc.active].document;
  const last = doc.bars.findLast(b => b.at_s <= f.at_s);
  const next = doc.bars.find(b => b.at_s > Math.max(f.until_s, f.at_s + 0.5));
  const from = Math.max(0, Math.min(f.at_s - 1, last ? last.at_s : f.at_s));
  setLoop({ from, until: Math.min(from + 20, next ? next.at_s : doc.score.duration_s) });
  player.play(from).catch(e => trouble(e.message));
}

function setLoop(span) {
  player.loop = span && { ...span, bars: runs[project.doc.active].document.bars };
  showLoop();
  $('loop').disabled = !span;
  $('loop').setAttribute('aria-pressed', String(!!span));
}

function showLoop() {
  const l = player.loop;
  for (const x of ['a', 'b']) {
    if (!pictures[x] || !runs[x]) continue;
    const t = s => mapTime(l.bars, runs[x].document.bars, s);
    pictures[x].loop(l && x === heardLetter ? { from: t(l.from), until: t(l.until) } : null);
  }
}

function pick(letter) {
  const { doc } = project;
  if (!doc.b || doc.active === letter) return;
  project.change('', d => { d.active = letter; });
}

function paint() {
  const at = player.position();
  const bars = player.bars();
  const bar = bars.findLast(b => b.at_s <= at + 1e-6);
  $('clock').textContent = `${clock(at)}${bar ? ` · bar ${bar.number}` : ''}`;
  $('clock').dataset.seconds = at.toFixed(3);
  for (const x of ['a', 'b']) {
    if (!pictures[x] || !runs[x]) continue;
    pictures[x].place(mapTime(bars, runs[x].document.bars, at), player.playing);
  }
  const shown = project && runs[project.doc.active];
  if (shown) notation?.place(mapTime(bars, shown.document.bars, at), player.playing);
}

player.addEventListener('move', paint);
player.addEventListener('state', () => {
  $('play').textContent = player.playing ? 'Stop' : 'Play';
  $('play').setAttribute('aria-pressed', String(player.playing));
  document.body.classList.toggle('playing', player.playing);
  (function frame() { if (player.playing) { paint(); requestAnimationFrame(frame); } })();
});
player.addEventListener('busy', e => trouble(e.detail));
player.addEventListener('failed', e => trouble(e.detail));
player.addEventListener('loud', e => {
  if (!runs[heardLetter] || e.detail.key !== soundKey(heardLetter, false) || e.detail.loud.loudest_db < 0) return;
  $('caution').replaceChildren(el('b', {}, 'Mind your ears.'), ` At this seat the loudest moment is ${Math.round(e.detail.loud.loudest_db)} dB. Start softly${ears ? ', with the volume down before the headphones go on' : ''}; loud sound harms hearing.`);
});

// ---- rewriting

async function mend(f, offer, button) {
  const article = button.closest('article'), outcome = article.querySelector('.outcome');
  const buttons = article.querySelectorAll('.offers button');
  buttons.forEach(b => { b.disabled = true; });
  outcome.hidden = false;
  outcome.textContent = 'Rewriting it and running it …';
  try {
    const done = await project.mend(f.id, offer.name);
    say(`${done.what} ${done.verdict}`);
    outcome.textContent = `${done.what ? done.what + ' ' : ''}${done.verdict}`;
    if (!done.helps && done.written) {
      outcome.append(' ', el('button', { onclick: async () => { await project.mend(f.id, offer.name, true); } }, 'Write it all the same'));
    }
    if (done.helps) { trouble(''); note(done.verdict); }
  } catch (error) {
    outcome.textContent = error.message;
    if (error.status === 409) $('conflict').hidden = false;
  } finally { buttons.forEach(b => { b.disabled = false; }); }
}

function note(text) {
  $('versions').append(el('p', { class: 'why', id: 'outcome' }, text));
}

function toFinding(letter, f) {
  if (letter !== project.doc.active) pick(letter);
  select(f.id);
  const e = $(`finding-${f.id}`);
  if (!e) return;
  e.focus({ preventScroll: true });
  e.scrollIntoView({ block: 'start', behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
}

// select lets a finding stand out in the list, the picture and the notation.
function select(id) {
  document.querySelectorAll('.finding.here').forEach(x => x.classList.remove('here'));
  $(`finding-${id}`)?.classList.add('here');
  for (const x of ['a', 'b']) pictures[x]?.select(x === project.doc.active ? id : undefined);
  notation?.select(id);
}

// ---- notation

let shownAs = () => {}; // chooses between notation, picture and both

function withNotation() {
  notation = new Notation(desk.notation, { onseek: at => seek(project.doc.active, at), onfinding: f => toFinding(project.doc.active, f), onkeys: pictureKeys });
  $('pictures').before(notation.root);
  for (const id of ['shown', 'notation-key', 'licences']) $(id).hidden = false;
  $('licences').firstChild.href = desk.notation.licences;
  const kept = keeper('shown');
  const apply = v => {
    document.body.dataset.shown = v;
    for (const r of document.getElementsByName('shown')) r.checked = r.value === v;
    notation.root.hidden = v === 'picture';
    notation.update();
  };
  player.calm = () => notation.settled();
  shownAs = v => { apply(v); kept.set(v); };
  for (const r of document.getElementsByName('shown')) r.addEventListener('change', () => shownAs(r.value));
  apply(['notation', 'picture'].find(v => v === kept.get()) || 'both');
  notation.ready();
}

const nextShown = () => shownAs({ both: 'notation', notation: 'picture', picture: 'both' }[document.body.dataset.shown]);

// ---- keys

function bar(by) {
  const bars = runs[heardLetter]?.document.bars || [];
  const at = player.position();
  let i = bars.findLastIndex(b => b.at_s <= at + 0.05);
  if (by < 0 && i >= 0 && at - bars[i].at_s > 0.6) i++;
  const b = bars[Math.min(bars.length - 1, Math.max(0, i + by))];
  if (b) player.seek(b.at_s);
}

function pictureKeys(e) {
  if (e.key === 'Home') player.seek(0);
  else if (e.key === 'ArrowRight') bar(1);
  else if (e.key === 'ArrowLeft') bar(-1);
  else return;
  e.preventDefault();
  e.stopPropagation();
}

function step(by) {
  const r = runs[project.doc.active];
  if (!r?.shown.length) return;
  const inTime = [...r.shown].sort((a, b) => a.at_s - b.at_s);
  const here = document.querySelector('.finding.here');
  const i = here ? inTime.findIndex(f => `finding-${f.id}` === here.id) : by > 0 ? -1 : inTime.length;
  toFinding(project.doc.active, inTime[(i + by + inTime.length) % inTime.length]);
}

function keys(e) {
  if (!project || e.ctrlKey || e.metaKey || e.altKey || e.target.closest('input, select, textarea, button, summary, a')) {
    if (project && (e.ctrlKey || e.metaKey) && e.key === 'z' && !e.target.closest('input[id=title], textarea')) { undo(); e.preventDefault(); }
    return;
  }
  const act = {
    ' ': toggle, ArrowRight: () => bar(1), ArrowLeft: () => bar(-1), d: () => setDry(!dry), h: () => { if (!$('ears').disabled) setEars(!ears); },
    x: () => pick(project.doc.active === 'a' ? 'b' : 'a'), l: () => setLoop(null), n: nextShown, ']': () => step(1), '[': () => step(-1),
  }[e.key];
  if (!act) return;
  e.preventDefault();
  act();
}

function toggle() {
  if (player.playing) player.stop(); else player.play().catch(error => trouble(error.message));
}

function setDry(on) {
  dry = on;
  for (const r of document.getElementsByName('dry')) r.checked = (r.value === 'dry') === on;
  hearing();
  tracks();
}

const keptEars = keeper('ears');

function setEars(on) {
  ears = on;
  keptEars.set(on ? 'headphones' : '');
  hearing();
  keepMenu();
  tracks();
}

// hearing shows what the sound is made for, and why there is no choice where there is none.
function hearing() {
  const fixed = !dry && project.side.room === 'own';
  $('ears').disabled = fixed;
  $('ears-why').hidden = !fixed;
  for (const r of document.getElementsByName('ears')) r.checked = (r.value === 'ears') === (ears && !fixed);
}

function undo() {
  const what = project.undo();
  if (what) say(`Undone: ${what}`);
}

// ---- looks

function look() {
  for (const k of ['theme', 'size']) {
    const apply = v => { document.documentElement.dataset[k] = v; }, kept = keeper(k);
    $(k).value = kept.get();
    apply($(k).value);
    $(k).addEventListener('change', e => { apply(e.target.value); kept.set(e.target.value); notation?.fit(); });
  }
}

// keeper remembers a choice in this browser.
function keeper(k) {
  return {
    get() { try { return localStorage.getItem(`afterchord-desk:${k}`) || ''; } catch { return ''; } },
    set(v) { try { localStorage.setItem(`afterchord-desk:${k}`, v); } catch { /* not kept */ } },
  };
}

// ---- wiring

if (matchMedia('(max-width: 900px)').matches) $('knobs').open = false;

$('play').addEventListener('click', toggle);
$('undo').addEventListener('click', undo);
$('loop').addEventListener('click', () => setLoop(null));
$('print').addEventListener('click', () => print());
$('pieces').addEventListener('click', async () => {
  const on = $('welcome').hidden;
  if (on) { await project?.flush(); try { desk = { ...desk, projects: (await api.overview()).projects }; welcome(); } catch (error) { trouble(error.message); } }
  showWelcome(on);
  if (on) $('welcome-title').scrollIntoView();
});
$('title').addEventListener('change', e => project.change('', d => { d.name = e.target.value; }));
$('title').addEventListener('keydown', e => { if (e.key === 'Enter') e.target.blur(); });
$('match').addEventListener('change', e => { player.match = e.target.checked; player.gains(); });
$('volume').addEventListener('input', e => {
  player.volume = +e.target.value <= -40 ? -120 : +e.target.value;
  e.target.setAttribute('aria-valuetext', `${number(+e.target.value, 0)} dB`);
  player.gains();
});
for (const r of document.getElementsByName('dry')) r.addEventListener('change', () => setDry(r.value === 'dry'));
ears = keptEars.get() === 'headphones';
for (const r of document.getElementsByName('ears')) r.addEventListener('change', () => setEars(r.value === 'ears'));
for (const r of document.getElementsByName('ab')) r.addEventListener('change', () => pick(r.value));
$('take-theirs').addEventListener('click', () => { $('conflict').hidden = true; project.reload().catch(e => trouble(e.message)); });
$('keep-mine').addEventListener('click', () => { $('conflict').hidden = true; project.keepMine().catch(e => trouble(e.message)); });
document.addEventListener('keydown', keys);
document.addEventListener('click', e => { for (const m of document.querySelectorAll('details.menu[open]')) if (!m.contains(e.target)) m.open = false; });
document.addEventListener('keydown', e => { if (e.key === 'Escape') for (const m of document.querySelectorAll('details.menu[open]')) { m.open = false; m.querySelector('summary').focus(); } });
for (const [when, on] of [['beforeprint', true], ['afterprint', false]]) addEventListener(when, () => {
  for (const x of ['a', 'b']) pictures[x]?.print(on);
  notation?.print(on);
});
$('list').addEventListener('click', e => {
  const article = e.target.closest('.finding');
  if (article) select(Number(article.id.slice('finding-'.length)));
});
addEventListener('beforeunload', () => { project?.remember(); });
addEventListener('pagehide', () => { project?.flush(); });

// A file may be dropped anywhere: a WAV is a building, anything else a piece.
addEventListener('dragover', e => { e.preventDefault(); document.body.classList.add('dragging'); });
addEventListener('dragleave', e => { if (!e.relatedTarget) document.body.classList.remove('dragging'); });
addEventListener('drop', e => {
  e.preventDefault();
  document.body.classList.remove('dragging');
  const f = e.dataTransfer.files[0];
  if (f) take(f);
});
$('file').addEventListener('change', e => { if (e.target.files[0]) take(e.target.files[0]); e.target.value = ''; });

function take(f) {
  if (/\.wav$/i.test(f.name)) {
    if (project) ownRoom(f); else trouble('A WAV is taken as a building: put a piece on the desk first.');
    return;
  }
  if (f.size > desk.max_score) { trouble(`${f.name}: larger than the ${desk.max_score >> 20} MB that are taken`); return; }
  load(() => api.upload(f));
}

start().catch(error => trouble(error.message));
