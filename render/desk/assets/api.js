// Requests to the desk, through the page's one door. Every failure becomes an Error with the desk's one line and its status.
import { door } from './door.js';
import { header, query, t } from './terms.js';
import { line } from './line.js';

async function fail(response) {
  let said = '';
  try { said = (await response.json()).error || ''; } catch { /* no JSON: keep the status */ }
  return Object.assign(new Error(said || t`the desk answered ${response.status}`), { status: response.status, english: !!said });
}

/** ask sends a request and gives the answer, or fails with its one line, which is English. */
export async function ask(method, path, { body, json, headers = {}, signal } = /** @type {any} */ ({})) {
  if (json !== undefined) {
    body = JSON.stringify(json);
    headers = { 'Content-Type': 'application/json', ...headers };
  }
  let response;
  try {
    response = await door().fetch(path, { method, body, headers: { ...header(), ...headers }, signal });
  } catch (error) {
    if (error.closed) line.lost();
    throw error;
  }
  if (!response.ok) throw await fail(response);
  return response;
}

const match = version => ({ 'If-Match': `"${version}"` });
const fileName = file => ({ 'X-File-Name': encodeURIComponent(file.name), 'Content-Type': 'application/octet-stream' });
const of = (id, what) => `/api/projects/${id}/${what}`;
const json = async asked => (await asked).json();

export const overview = () => json(ask('GET', '/api/desk'));
export const projects = () => json(ask('GET', '/api/projects'));
export const project = id => json(ask('GET', `/api/projects/${id}`));
export const remove = id => ask('DELETE', `/api/projects/${id}`);
export const restore = id => ask('POST', of(id, 'restore'));
export const demo = name => json(ask('POST', `/api/projects?demo=${encodeURIComponent(name)}`));
export const upload = file => json(ask('POST', '/api/projects', { body: file, headers: fileName(file) }));
export const prove = (id, side, signal) => json(ask('POST', of(id, 'proof'), { json: side, signal }));
export const notation = (id, side, music, have, signal) => json(ask('POST', of(id, 'notation'), { json: { side, music, have: have.join(' ') }, signal }));
export const loudness = (id, { side, dry, ears }, signal) => json(ask('POST', of(id, 'loudness'), { json: { side, dry, ears }, signal }));
export const save = (id, version, state) => json(ask('PUT', `/api/projects/${id}`, { json: state, headers: match(version) }));
export const mend = (id, version, request) => json(ask('POST', of(id, 'mend'), { json: request, headers: match(version) }));
export const ownFile = (id, version, file) => json(ask('POST', of(id, 'own'), { body: file, headers: { ...match(version), ...fileName(file) } }));
export const describing = () => json(ask('GET', '/api/describe'));
export const describeChurch = church => json(ask('POST', '/api/describe/church', { json: church }));
export const describeOrgan = text => json(ask('POST', '/api/describe/organ', { body: text, headers: { 'Content-Type': 'text/plain; charset=utf-8' } }));
/** measureClaps sends WAV files, which are measured together. */
export async function measureClaps(files) {
  const form = new FormData();
  for (const file of files) form.append('recording', file, file.name);
  const sent = new Response(form); // the boundary is in its header
  return json(ask('POST', '/api/describe/claps', { body: await sent.arrayBuffer(), headers: { 'Content-Type': sent.headers.get('Content-Type') } }));
}
export const renew = (id, version, file) => json(file
  ? ask('POST', of(id, 'score'), { body: file, headers: { ...match(version), ...fileName(file) } })
  : ask('POST', of(id, 'score?watched'), { headers: match(version) }));
export const sound = (id, tracks, signal) => ask('POST', of(id, 'sound'), { json: { tracks }, signal });

/** download lets the browser keep a file of the desk's; library brings the engraving library into the page. */
export const download = path => door().download(query(path));
export const library = assets => door().library(assets);
