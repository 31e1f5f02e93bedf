// The knobs: building, seat, organ, tempo, who plays what, how loud.
import { $, el, number } from './dom.js';
import { perMinute, barWord, crotchets, t } from './terms.js';

export class Controls {
  constructor(root, desk, actions) {
    this.root = root;
    this.desk = desk;
    this.actions = actions;
    this.build();
  }

  build() {
    const { desk } = this;
    const set = (what, f) => this.actions.change(what, f);
    this.room = el('select', { id: 'room', onchange: e => set('building', s => {
      s.room = e.target.value;
      const r = desk.rooms.find(x => x.name === s.room);
      if (r) { s.rt = round(r.rt); if (!r.seats.includes(s.seat)) s.seat = 'middle'; }
    }) });
    // The slider runs over seconds in equal ratios: half a second counts for more in a chapel than in a cathedral.
    const [lo, hi] = desk.rt_range;
    this.toRT = v => round(lo * (hi / lo) ** (v / 1000));
    this.fromRT = s => Math.round(1000 * Math.log(s / lo) / Math.log(hi / lo));
    this.rt = el('input', { type: 'range', id: 'rt', min: 0, max: 1000, step: 1, 'aria-describedby': 'rt-hint', oninput: e => {
      const v = this.toRT(+e.target.value);
      this.rtText(v);
      set('reverberation time', s => { s.room = 'rt'; s.rt = v; });
    }, onkeydown: e => {
      const by = { ArrowLeft: -0.1, ArrowDown: -0.1, ArrowRight: 0.1, ArrowUp: 0.1, PageUp: 1, PageDown: -1 }[e.key];
      if (!by) return;
      e.preventDefault();
      const v = Math.min(hi, Math.max(lo, Math.round((this.rtNow + by) * 10) / 10));
      this.rtText(v);
      this.rt.value = this.fromRT(v);
      set('reverberation time', s => { s.room = 'rt'; s.rt = v; });
    } });
    this.rtOut = el('output', { for: 'rt', id: 'rt-out' });
    this.seat = el('select', { id: 'seat', onchange: e => set('seat', s => { s.seat = e.target.value; }) });
    this.people = el('select', { id: 'people', onchange: e => set('people', s => { s.people = e.target.value; }) },
      [['', t`empty`], ['half', t`half full`], ['full', t`full`]].map(([v, text]) => el('option', { value: v }, text)));
    this.peopleOut = el('output', { for: 'people' });
    this.own = el('input', { type: 'file', id: 'own', accept: 'audio/*,.wav,.toml', onchange: e => { if (e.target.files[0]) this.actions.ownFile(e.target.files[0]); e.target.value = ''; } });
    this.organ = el('select', { id: 'organ', onchange: e => set('organ', s => { s.organ = e.target.value; s.assign = {}; }) });
    this.ownOrgan = el('input', { type: 'file', id: 'own-organ', accept: '.toml', onchange: e => { if (e.target.files[0]) this.actions.ownFile(e.target.files[0]); e.target.value = ''; } });
    this.tempo = el('input', { type: 'range', id: 'tempo', min: 40, max: 160, step: 1, oninput: e => {
      this.tempoText(+e.target.value);
      set('tempo', s => { s.tempo = +e.target.value / 100; });
    } });
    this.tempoOut = el('output', { for: 'tempo', class: 'long' });
    this.printed = el('input', { type: 'checkbox', id: 'as-printed', onchange: e => set('repeats', s => { s.as_printed = e.target.checked; }) });
    this.upbeat = el('select', { id: 'upbeat', onchange: e => set('upbeat', s => { s.upbeat = +e.target.value; }) },
      [[0, t`as the music tells`], [-1, t`none`], [0.5, '½'], [1, '1'], [1.5, '1½'], [2, '2'], [2.5, '2½'], [3, '3']].map(([v, text]) => el('option', { value: v }, `${text}${+v > 0 ? ` ${crotchets(+v)}` : ''}`)));
    this.assign = el('div', { class: 'rows' });
    this.dynamics = el('div', { class: 'rows' });
    this.stops = el('textarea', { id: 'stops', rows: 4, spellcheck: 'false', 'aria-describedby': 'stops-hint', onchange: e => set('stops', s => { s.stops = e.target.value; }) });
    const row = (label, control, out) => el('div', { class: out === this.rtOut ? 'knob pair' : 'knob' }, el('label', { for: control.id }, label), out || '', control);
    const group = (title, ...knobs) => el('div', { class: 'group' }, el('h2', {}, title), knobs);
    this.root.replaceChildren(
      group(t`Building`,
        row(t`Room`, this.room),
        row(t`Reverberation`, this.rt, this.rtOut),
        el('p', { class: 'hint', id: 'rt-hint' }, t`Seconds for a loud sound to die away (RT60). Moving it makes a church of that time.`),
        row(t`Seat`, this.seat),
        row(t`People`, this.people, this.peopleOut),
        el('details', { id: 'own-church' }, el('summary', {}, t`Your own church`), el('div', { class: 'rows' },
          el('label', { class: 'button file', for: 'own' }, t`A recording of claps, or a room file …`, this.own),
          el('button', { id: 'own-claps', onclick: () => this.actions.own('claps') }, t`Record claps here …`),
          el('button', { id: 'own-words', onclick: () => this.actions.own('church') }, t`Describe it, or count …`)))),
      group(t`Organ`,
        row(t`Instrument`, this.organ),
        el('details', { id: 'own-pipes' }, el('summary', {}, t`Your own organ`), el('div', { class: 'rows' },
          el('button', { id: 'own-stops', onclick: () => this.actions.own('organ') }, t`From its printed stop list …`),
          el('label', { class: 'button file', for: 'own-organ' }, t`An organ file …`, this.ownOrgan))),
        el('details', { id: 'who' }, el('summary', {}, t`Who plays what`), this.assign),
        el('details', {}, el('summary', {}, t`Stops by hand`), el('p', { class: 'hint', id: 'stops-hint' }, t`One line for each change, for example: bar 9 beat 1: Sw flutes`), el('label', { class: 'unseen', for: 'stops' }, t`Stops by hand`), this.stops)),
      group(t`Playing`,
        row(t`Tempo`, this.tempo, this.tempoOut),
        el('details', { id: 'how' }, el('summary', {}, t`How loud`), this.dynamics),
        el('details', { id: 'read' }, el('summary', {}, t`How the score is read`), el('div', { class: 'rows' },
          el('label', { class: 'tick' }, this.printed, ' ', t`every bar once: no repeats, voltas or jumps`),
          row(t`Upbeat`, this.upbeat)))));
  }

  rtText(v) {
    this.rtNow = v;
    this.rtOut.textContent = `${number(v, 1)} s`;
    this.rt.setAttribute('aria-valuetext', t`${number(v, 1)} seconds`);
  }

  tempoText(percent) {
    const c = this.written ? `${Math.round(this.written * percent / 100)} ${perMinute()}` : '';
    const share = percent === 100 ? t`as written` : t`${percent}\u00a0% of the written`;
    this.tempoOut.textContent = c ? `${c}, ${share}` : share;
    this.tempo.setAttribute('aria-valuetext', this.tempoOut.textContent);
  }

  /** say writes how the knobs stand, for the strip that they are folded into. */
  say(side, letter, both) {
    const room = this.room.selectedOptions[0]?.textContent, organ = this.organ.selectedOptions[0]?.textContent.split(',')[0];
    const tempo = side.tempo === 1 ? t`tempo as written` : t`${Math.round(side.tempo * 100)}\u00a0% of the tempo`;
    $('knobs-of').textContent = both ? t`Knobs of ${letter.toUpperCase()}` : t`Knobs`;
    const filled = { half: [t`half full`], full: [t`full`] }[side.people] || [];
    $('knobs-say').textContent = [side.room === 'rt' ? t`Church of ${number(side.rt, 1)} s` : room, ...filled, t(side.seat), organ, this.written ? `${Math.round(this.written * side.tempo)} ${perMinute()}` : tempo].join(' · ');
  }

  // show sets the knobs to a side, and to what its run says of the score.
  show(project, run) {
    const side = project.side, { desk } = this;
    const rooms = desk.rooms.map(r => el('option', { value: r.name }, `${t(r.title)}, ${number(r.rt, 1)} s`));
    rooms.push(el('option', { value: 'rt' }, t`Church with the reverberation time below`));
    if (project.doc.response) rooms.push(el('option', { value: 'own' }, t`Yours: ${project.doc.response.title || project.doc.response.shown}`));
    this.room.replaceChildren(...rooms);
    this.room.value = side.room;
    const built = desk.rooms.find(r => r.name === side.room);
    let rt = built ? built.rt : side.rt;
    if (side.room === 'own' && run) rt = (run.document.room.rt60_s['500'] + run.document.room.rt60_s['1000']) / 2;
    if (document.activeElement !== this.rt || side.room !== 'rt') this.rt.value = this.fromRT(Math.min(desk.rt_range[1], Math.max(desk.rt_range[0], rt || 2)));
    this.rtText(rt || 2);
    const mine = side.room === 'own' && project.doc.response?.seats;
    const seats = built ? built.seats : mine || desk.rooms[0].seats;
    this.seat.replaceChildren(...seats.map(s => el('option', { value: s }, t(s))));
    this.seat.value = side.seat;
    this.people.value = side.people || '';
    const heard = run && (run.document.room.rt60_s['500'] + run.document.room.rt60_s['1000']) / 2;
    this.peopleOut.textContent = side.people && heard ? t`${number(heard, 1)} s with them` : '';
    const organs = desk.organs.map(o => el('option', { value: o.name }, t(o.title)));
    if (project.doc.organ) organs.push(el('option', { value: 'own' }, t`Yours: ${project.doc.organ.title || project.doc.organ.shown}`));
    this.organ.replaceChildren(...organs);
    this.organ.value = side.organ;
    if (document.activeElement !== this.tempo) this.tempo.value = Math.round(side.tempo * 100);
    if (run) this.written = run.document.settings.crotchets_a_minute / run.document.settings.tempo_factor;
    this.tempoText(Math.round(side.tempo * 100));
    this.printed.checked = !!side.as_printed;
    this.upbeat.value = String(side.upbeat || 0);
    // A MIDI file alone counts its upbeat as a full bar; notation says how long it is.
    this.upbeat.disabled = !/\.midi?$/i.test(project.doc.scores[side.score].file);
    if (document.activeElement !== this.stops) this.stops.value = side.stops || '';
    this.say(side, project.letter, !!project.doc.b);
    if (run) this.fromScore(project, run.document);
  }

  fromScore(project, doc) {
    const side = project.side;
    const { divisions } = side.organ === 'own' ? project.doc.organ : this.desk.organs.find(o => o.name === side.organ);
    const mapping = JSON.stringify([side.organ, doc.organ.mapping]);
    if (mapping !== this.mapping) {
      this.mapping = mapping;
      this.assign.replaceChildren(...doc.organ.mapping.map((m, i) => el('div', { class: 'knob' }, el('label', { for: `part-${i}` }, m.part),
        el('select', { id: `part-${i}`, title: m.why, onchange: e => this.actions.change('who plays what', s => { s.assign = { ...s.assign, [m.part]: e.target.value }; }) },
          divisions.map(d => el('option', { value: d, selected: d === m.division }, t(d)))))));
    }
    const passages = JSON.stringify(doc.organ.dynamics);
    if (passages === this.passages) return;
    this.passages = passages;
    const most = 40;
    this.dynamics.replaceChildren(...doc.organ.dynamics.slice(0, most).map((p, i) => el('div', { class: 'knob' },
      el('label', { for: `loud-${i}` }, `${p.part}, ${barWord(1)} ${p.bar}${p.to_bar > p.bar ? `–${p.to_bar}` : ''}`),
      el('select', { id: `loud-${i}`, class: 'dynamic', title: p.source, onchange: e => this.actions.change('dynamics', s => {
        // A mark in a part takes the place of guesses from velocities, so all of the part's passages are written down.
        const mine = new Map((s.dynamics || []).map(m => [`${m.part} ${m.bar}`, m]));
        for (const q of doc.organ.dynamics) if (q.part === p.part) mine.set(`${q.part} ${q.bar}`, { part: q.part, bar: q.bar, dynamic: q.dynamic });
        mine.set(`${p.part} ${p.bar}`, { part: p.part, bar: p.bar, dynamic: e.target.value });
        s.dynamics = [...mine.values()];
      }) }, this.desk.marks.map(m => el('option', { value: m, selected: m === p.dynamic }, m))))),
      doc.organ.dynamics.length > most ? el('p', { class: 'hint' }, t`${doc.organ.dynamics.length - most} more passages follow the score.`) : '');
  }
}

const round = v => Math.round(v * 10) / 10;
