// Joins the player, the timeline and the findings. The page reads well without it.
(() => {
  'use strict';
  const one = (s) => document.querySelector(s), all = (s) => [...document.querySelectorAll(s)];
  const audio = one('audio'), line = one('.timeline'), inner = one('.inner'), place = one('.place'), scroll = one('.scroll');
  const cursor = one('.cursor'), where = one('#where');
  const end = Number(line.dataset.end), most = Number(line.dataset.most);
  const bars = line.dataset.bars.split(' ').filter(Boolean).map((b) => {
    const [number, at] = b.split(':').map(Number);
    return { number, at };
  });
  const lead = 1.5; // s of the music before a finding, so that what leads to it is heard
  let now = 0, zoom = 1;

  explanations((word) => one('#term-' + word.dataset.term).textContent);

  const barAt = (t) => {
    let i = -1;
    while (i + 1 < bars.length && bars[i + 1].at <= t + 1e-3) i++;
    return i;
  };

  // show moves the cursor to t seconds and keeps it in view.
  const show = (t, follow) => {
    now = Math.min(end, Math.max(0, t));
    cursor.hidden = false;
    cursor.style.left = 100 * now / end + '%';
    const i = barAt(now), text = i < 0 ? line.dataset.wordStart : line.dataset.wordBar + ' ' + bars[i].number;
    const minutes = Math.floor(now / 60), seconds = String(Math.floor(now % 60)).padStart(2, '0');
    where.textContent = text + ' · ' + minutes + ':' + seconds;
    place.setAttribute('aria-valuenow', now.toFixed(1));
    place.setAttribute('aria-valuetext', text);
    const x = inner.clientWidth * now / end, view = scroll.clientWidth;
    if (follow && (x < scroll.scrollLeft || x > scroll.scrollLeft + 0.9 * view)) scroll.scrollLeft = x - 0.15 * view;
  };

  const seek = (t, play) => {
    show(t, true);
    if (!audio) return;
    audio.currentTime = now;
    if (play) audio.play().catch(() => {});
  };

  const mark = (id) => {
    all('.here').forEach((e) => e.classList.remove('here'));
    all('[data-id="' + id + '"]:is(.pin, .tag, .over-bars), #f' + id).forEach((e) => e.classList.add('here'));
  };

  all('[data-at]').forEach((b) => b.addEventListener('click', (e) => {
    e.stopPropagation();
    mark(b.dataset.id);
    seek(Number(b.dataset.at) - lead, true);
    if (!b.closest('.finding')) {
      const card = document.getElementById('f' + b.dataset.id);
      if (card && b.classList.contains('pin')) card.scrollIntoView({ block: 'nearest' });
    }
  }));

  // The engraved score, where there is one, names findings in events of its own.
  addEventListener('finding', (e) => {
    mark(e.detail.id);
    seek(e.detail.at - lead, true);
  });

  inner.addEventListener('click', (e) => {
    const box = inner.getBoundingClientRect();
    seek(end * (e.clientX - box.left) / box.width, false);
  });

  place.addEventListener('keydown', (e) => {
    const i = barAt(now), at = (k) => (bars.length ? bars[Math.min(bars.length - 1, Math.max(0, k))].at : 0);
    const keys = { ArrowRight: () => seek(at(i + 1)), ArrowUp: () => seek(at(i + 1)), ArrowLeft: () => seek(at(i - 1)),
      ArrowDown: () => seek(at(i - 1)), Home: () => seek(0), End: () => seek(at(bars.length - 1)),
      ' ': () => { if (audio) audio.paused ? audio.play().catch(() => {}) : audio.pause(); } };
    if (keys[e.key]) { e.preventDefault(); keys[e.key](); }
  });

  // label shows as many bar numbers as fit.
  const label = () => {
    const width = inner.clientWidth / Math.max(1, bars.length);
    const step = [1, 2, 5, 10, 20, 50, 100, 200, 500].find((n) => n * width >= 30) || 1000;
    all('.inner .bars span').forEach((s) => {
      const n = Number(s.textContent);
      s.classList.toggle('fine', step > 1 && n % step !== 0 && n !== 1);
    });
  };

  const setZoom = (z) => {
    zoom = Math.min(most, Math.max(1, z));
    inner.style.width = 100 * zoom + '%';
    scroll.scrollLeft = inner.clientWidth * now / end - scroll.clientWidth / 2;
    label();
  };
  all('[data-zoom]').forEach((b) => b.addEventListener('click', () =>
    setZoom({ in: zoom * 2, out: zoom / 2, all: 1 }[b.dataset.zoom])));
  addEventListener('resize', label);
  label();

  if (audio) {
    const frame = () => { show(audio.currentTime, true); if (!audio.paused) requestAnimationFrame(frame); };
    audio.addEventListener('play', frame);
    audio.addEventListener('seeked', () => show(audio.currentTime, true));
    audio.addEventListener('error', () => { one('#sound-error').hidden = false; });
  }
})();
