// One player and one score for both sides: the other side goes on at the same bar. Without this there are two players.
(() => {
  'use strict';
  const sides = [...document.querySelectorAll('.players > div')].map((box) => ({ box, audio: box.querySelector('audio'), name: box.querySelector('h3').textContent,
    bars: box.dataset.bars.split(' ').filter(Boolean).map((b) => Number(b.split(':')[1])) }));
  if (sides.length < 2) return;
  const sounds = sides.every((side) => side.audio);
  let here = 0;

  // over is the time on one side for a time on the other: as far into the same bar.
  const over = (from, to, t) => {
    const i = from.bars.findLastIndex((at) => at <= t + 1e-3);
    if (i < 0 || i >= to.bars.length) return t;
    const end = (side) => side.bars[i + 1] ?? side.audio.duration;
    const share = (t - from.bars[i]) / Math.max(1e-3, end(from) - from.bars[i]);
    return to.bars[i] + share * Math.max(0, end(to) - to.bars[i]) || to.bars[i];
  };

  const turn = (to) => {
    if (to === here) return;
    const old = sides[here], next = sides[to], playing = sounds && !old.audio.paused;
    if (sounds) {
      old.audio.pause();
      next.audio.volume = old.audio.volume;
      next.audio.muted = old.audio.muted;
      next.audio.currentTime = over(old, next, old.audio.currentTime);
    }
    here = to;
    show();
    if (playing) next.audio.play().catch(() => {});
  };

  const choice = document.createElement('fieldset');
  choice.className = 'choice';
  const legend = document.createElement('legend');
  legend.textContent = 'Which is ' + [sounds && 'heard', document.getElementById('notation') && 'seen'].filter(Boolean).join(' and ') + ' (x changes)';
  choice.append(legend, ...sides.map((side, i) => {
    const label = document.createElement('label'), radio = document.createElement('input');
    Object.assign(radio, { type: 'radio', name: 'side', checked: i === here });
    radio.addEventListener('change', () => turn(i));
    side.radio = radio;
    label.append(radio, ' ' + side.name);
    return label;
  }));
  const players = document.querySelector('.players');
  players.classList.add('one');
  players.prepend(choice);

  const show = () => {
    sides.forEach((side, i) => {
      side.box.hidden = i !== here;
      side.radio.checked = i === here;
      if (side.audio) side.audio.preload = 'metadata';
    });
    document.body.dataset.side = here;
    document.dispatchEvent(new Event('side'));
  };
  show();
  document.addEventListener('keydown', (e) => {
    if (e.key === 'x' && !e.ctrlKey && !e.metaKey && !e.altKey) turn(1 - here);
  });
})();
