// Requests to the desk. Every failure becomes an Error with the server's one line and its status.

async function fail(response) {
  let text = `the desk answered ${response.status}`;
  try { text = (await response.json()).error || text; } catch { /* no JSON: keep the status */ }
  const error = new Error(text);
  error.status = response.status;
  return error;
}

export async function ask(method, path, { body, json, headers = {}, signal } = {}) {
  if (json !== undefined) {
    body = JSON.stringify(json);
    headers = { 'Content-Type': 'application/json', ...headers };
  }
  const response = await fetch(path, { method, body, headers, signal, cache: 'no-store' });
  if (!response.ok) throw await fail(response);
  return response;
}

export const overview = async () => (await ask('GET', '/api/desk')).json();
export const project = async id => (await ask('GET', `/api/projects/${id}`)).json();
export const demo = async name => (await ask('POST', `/api/projects?demo=${encodeURIComponent(name)}`)).json();
export const upload = async file => (await ask('POST', '/api/projects', { body: file, headers: fileName(file) })).json();
export const prove = async (id, side, signal) => (await ask('POST', `/api/projects/${id}/proof`, { json: side, signal })).json();
export const notation = async (id, side, music, have, signal) => (await ask('POST', `/api/projects/${id}/notation`, { json: { side, music, have: have.join(' ') }, signal })).json();
export const loudness = async (id, { side, dry, ears }, signal) => (await ask('POST', `/api/projects/${id}/loudness`, { json: { side, dry, ears }, signal })).json();
export const save = async (id, version, state) => (await ask('PUT', `/api/projects/${id}`, { json: state, headers: match(version) })).json();
export const mend = async (id, version, request) => (await ask('POST', `/api/projects/${id}/mend`, { json: request, headers: match(version) })).json();
export const response = async (id, version, file) => (await ask('POST', `/api/projects/${id}/response`, { body: file, headers: { ...match(version), ...fileName(file) } })).json();
export const sound = async (id, tracks, signal) => ask('POST', `/api/projects/${id}/sound`, { json: { tracks }, signal });

const match = version => ({ 'If-Match': `"${version}"` });
const fileName = file => ({ 'X-File-Name': encodeURIComponent(file.name), 'Content-Type': 'application/octet-stream' });
