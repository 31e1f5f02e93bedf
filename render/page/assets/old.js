// Says in words that a browser is too old for the page. It is written so that old ones can read it.
(function () {
  var ok = typeof WebAssembly === 'object' && typeof WebAssembly.compileStreaming === 'function' && typeof DecompressionStream === 'function' &&
    typeof structuredClone === 'function' && typeof Worker === 'function' && typeof AudioContext === 'function' && typeof Array.prototype.findLast === 'function' &&
    typeof BroadcastChannel === 'function' && window.CSS && CSS.supports && CSS.supports('color', 'light-dark(red, blue)');
  if (ok) return;
  var p = document.getElementById('page-old');
  p.hidden = false;
  p.removeAttribute('hidden');
})();
