// Choices that this browser remembers; where it keeps nothing, they hold until the page is closed.

/** keeper remembers one choice. */
export function keeper(name) {
  const key = `afterchord-desk:${name}`;
  let here = '';
  return {
    get() { try { return localStorage.getItem(key) || here; } catch { return here; } },
    set(value) { here = value; try { localStorage.setItem(key, value); } catch { /* until the page is closed */ } },
  };
}
