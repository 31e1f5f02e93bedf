// A worker of the page: runs the program and lets the page ask it. It comes after Go's own wasm_exec.js.
// From the page: { what: 'start', base64 | module, vectors }, { what: 'ask', id, method, path, headers, body }, { what: 'more', id },
// { what: 'leave', id }, { what: 'hold' }, { what: 'resume' }, { what: 'shelf', call, value | error }. To the page: 'module', 'ready', 'head', 'part', 'end', 'shelf', 'over'.

const post = (message, transfer = []) => self.postMessage(message, transfer);

// ---- the program

function decoded(base64) {
  if (Uint8Array.fromBase64) return Uint8Array.fromBase64(base64);
  const text = atob(base64), bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  return bytes;
}

function compiled(base64) {
  const stream = new Blob([decoded(base64)]).stream().pipeThrough(new DecompressionStream('gzip'));
  return WebAssembly.compileStreaming(new Response(stream, { headers: { 'Content-Type': 'application/wasm' } }));
}

async function start({ base64, module, vectors }) {
  if (!module) {
    module = await compiled(base64);
    post({ what: 'module', module });
  }
  const go = new Go();
  let said = '';
  // What the program writes before it ends says why.
  globalThis.fs.writeSync = (fd, bytes) => {
    said = (said + new TextDecoder().decode(bytes)).slice(0, 4000);
    return bytes.length;
  };
  globalThis.fs.write = (fd, bytes, offset, length, position, done) => done(null, globalThis.fs.writeSync(fd, bytes.subarray(offset, offset + length)));
  // The vector loops lend the program their memory.
  go.importObject.vectors = (await WebAssembly.instantiate(decoded(vectors))).instance.exports;
  const instance = await WebAssembly.instantiate(module, go.importObject);
  try { await go.run(instance); } catch (error) { said ||= String(error); }
  post({ what: 'over', said });
}

self.afterchordReady = () => post({ what: 'ready' });

// ---- requests

const AHEAD = 4 << 20; // bytes of an answer that may wait in the page
const asked = new Map();

function ask({ id, method, path, headers, body }) {
  const one = { waiting: 0, taken: [], leave: null };
  asked.set(id, one);
  one.leave = self.afterchordServe({ method, path, headers, body }, {
    head: (status, head) => post({ what: 'head', id, status, headers: head }),
    part: bytes => {
      one.waiting += bytes.length;
      post({ what: 'part', id, bytes }, [bytes.buffer]);
      return one.waiting < AHEAD ? self.afterchordBreathe() : new Promise(done => one.taken.push(done));
    },
    end: why => {
      asked.delete(id);
      post({ what: 'end', id, why });
    },
  });
}

function more({ id, bytes }) {
  const one = asked.get(id);
  if (!one) return;
  one.waiting -= bytes;
  if (one.waiting < AHEAD) for (const done of one.taken.splice(0)) done();
}

function leave({ id }) {
  const one = asked.get(id);
  if (!one) return;
  one.leave?.();
  for (const done of one.taken.splice(0)) done();
}

// ---- breathing: messages come between two ticks, without the wait that timers have in the background

const ticks = new MessageChannel(), breaths = [], stopped = [];
let held = false; // others need the processor
ticks.port1.onmessage = () => {
  const done = breaths.shift();
  if (held) stopped.push(done); else done();
};
function hold() { held = true; }

function resume() {
  held = false;
  for (const done of stopped.splice(0)) done();
}

self.afterchordBreathe = () => new Promise(done => {
  breaths.push(done);
  ticks.port2.postMessage(0);
});

// ---- projects, which the page keeps

const calls = new Map();
let lastCall = 0;
self.afterchordShelf = (...args) => new Promise((done, failed) => {
  calls.set(++lastCall, { done, failed });
  post({ what: 'shelf', call: lastCall, args });
});

function shelf({ call, value, error }) {
  const { done, failed } = calls.get(call);
  calls.delete(call);
  if (error) failed(new Error(error)); else done(value);
}

const does = { start, ask, more, leave, hold, resume, shelf };
self.onmessage = e => does[e.data.what](e.data);
