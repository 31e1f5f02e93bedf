// Puts the engraving library into dist as pages carry it: packed and in base64, with its hash for
// their policy and the licences of what is in it.
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';

// What the library's own build bundles.
const bundled = [
  ['opensheetmusicdisplay', 'LICENSE'],
  ['vexflow', 'LICENSE'],
  ['jszip', 'LICENSE.markdown'],
  ['pako', 'LICENSE'],
  ['loglevel', 'LICENSE-MIT'],
  ['typescript-collections', 'LICENSE'],
];

const read = (path) => readFileSync(new URL('node_modules/' + path, import.meta.url), 'utf8');
const write = (name, data) => { // whole or not at all
  const to = new URL('dist/' + name, import.meta.url), beside = new URL('dist/' + name + '.new', import.meta.url);
  writeFileSync(beside, data);
  renameSync(beside, to);
};

const licences = bundled.map(([name, file]) => {
  const { version, license } = JSON.parse(read(name + '/package.json'));
  // Of the two licences of jszip the MIT licence is taken.
  const text = name === 'jszip' ? read(name + '/' + file).split(/GPL version 3/i)[0] : read(name + '/' + file);
  return `${name} ${version} (${license})\n\n${text.replace(/\r/g, '').trim()}\n`;
}).join('\n----\n\n');

const code = read('opensheetmusicdisplay/build/opensheetmusicdisplay.min.js');
const hash = 'sha256-' + createHash('sha256').update(code).digest('base64');
mkdirSync(new URL('dist/', import.meta.url), { recursive: true });
for (const name of readdirSync(new URL('dist/', import.meta.url))) {
  if (name !== 'README.md') rmSync(new URL('dist/' + name, import.meta.url));
}
write('LICENCES.txt', licences);
write('library.sha256', hash);
write('library.js.gz.base64', gzipSync(code, { level: 9 }).toString('base64'));
console.log('library.js', Buffer.byteLength(code), 'bytes,', hash);
