// Versions A and B, and the states of the score that rewriting has made.
import { $, el } from './dom.js';
import { inEnglish, spoken, t } from './terms.js';

const WHY = 64; // characters of a reason in the list of scores

/** versions writes the row that compares, keeps one of two, and chooses among the states of the score. */
export function versions(state) {
  const { project, doc } = state, { side } = project;
  const out = doc.b ? keepOne(state, project, doc) : [el('button', { id: 'compare', title: t`A second version of room, organ, tempo or score beside this one`, onclick: () => project.change('second version', d => {
    d.b = structuredClone(d.a);
    d.active = 'b';
  }) }, t`Compare`)];
  if (doc.scores.length > 1) out.push(...scores(state, project, doc));
  const { why } = doc.scores[side.score];
  if (why) out.push(el('p', { class: 'why' }, el('b', {}, t`Rewritten:`), ' ', told(state.run, why)));
  $('versions').replaceChildren(...out);
}

function keepOne(state, project, doc) {
  const name = k => el('label', { class: 'named' }, el('span', {}, k.toUpperCase()), ' ', el('input', { value: doc.names?.[k] || '', maxlength: 40, placeholder: state.called(k) || t`give it a name`,
    'aria-label': t`Name of version ${k.toUpperCase()}`, onchange: e => project.change('name of a version', d => { d.names = { ...d.names, [k]: e.target.value.trim() }; }) }));
  const keep = (text, k, f) => el('button', { title: t`Go on with version ${k} alone`, onclick: () => project.change('second version', f) }, text);
  return [
    name('a'), name('b'),
    keep(t`Keep A`, 'A', d => { d.b = null; d.active = 'a'; d.names = {}; }),
    keep(t`Keep B`, 'B', d => { d.a = d.b; d.b = null; d.active = 'a'; d.names = {}; }),
  ];
}

/** told is a text of the program, in the language of the page where the desk has said it. */
export function told(run, text) {
  const [said, as] = spoken(run?.said, text);
  return el('span', as, said);
}

function scores(state, project, doc) {
  const { side } = project;
  const short = why => {
    const [said] = spoken(state.run?.said, why);
    return said.length > WHY ? `${said.slice(0, WHY - 2)} …` : said;
  };
  const select = el('select', { id: 'score', onchange: e => project.change('score', d => {
    d[d.active].score = +e.target.value;
    d[d.active].dynamics = [];
  }) }, doc.scores.map((s, i) => el('option', { value: i, selected: i === side.score }, i ? `${i}: ${s.why ? short(s.why) : t`as written, version ${(s.edition || 0) + 1}`}` : t`as written`)));
  const out = [el('label', {}, t`Score`, ' ', select)];
  if (doc.scores[side.score].from !== side.score && !doc.b) {
    out.push(el('button', { onclick: () => project.change('comparison', d => {
      d.b = structuredClone(d.a);
      d.a.score = doc.scores[d.b.score].from;
      d.active = 'b';
    }) }, t`Hear it against the score before`));
  }
  return out;
}

/** note adds what a rewriting was worth to the row. */
export function note(text, said) {
  $('versions').append(el('p', { class: 'why', id: 'outcome', ...(said ? {} : inEnglish) }, text));
}
