// Files of the user's that the browser lets the page read again (File System Access, where there is one).

const LOOK = 500; // ms between two looks at a file

/** handleOf is the way back to a dropped file, null where the browser gives none. It must be asked for while the drop is handled. */
export function handleOf(dropped) {
  const item = [...dropped.items].find(x => x.kind === 'file');
  return item?.getAsFileSystemHandle ? item.getAsFileSystemHandle().catch(() => null) : Promise.resolve(null);
}

/** pick lets the user choose a file that can be read again; null where the browser cannot, undefined where none was chosen. */
export async function pick(types) {
  const picker = /** @type {any} */ (globalThis).showOpenFilePicker;
  if (!picker) return null;
  try { return (await picker({ types }))[0]; } catch (error) { return error.name === 'AbortError' ? undefined : null; }
}

/** follow calls taken with a file each time it has been written and come to rest, until signal ends. */
export async function follow(handle, file, taken, signal) {
  const stamp = f => `${f.lastModified} ${f.size}`;
  let known = stamp(file), last = known;
  while (!signal.aborted) {
    await new Promise(done => setTimeout(done, LOOK));
    let now;
    try { now = await handle.getFile(); } catch (error) {
      if (error.name === 'NotFoundError') continue; // it is being replaced
      return;                                       // no longer allowed
    }
    if (signal.aborted) return;
    const rests = stamp(now) === last && now.size > 0;
    last = stamp(now);
    if (!rests || last === known) continue;
    known = last;
    await taken(now);
  }
}
