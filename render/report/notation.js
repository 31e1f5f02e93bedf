
// Engraves the score of the report and follows its player. Where it cannot, the page goes on
// without: the picture in time shows the same.
(() => {
  'use strict';
  const section = document.getElementById('notation'), paper = section.querySelector('.paper'), say = section.querySelector('.state');

  let data;

  const fail = (err) => {
    paper.hidden = true;
    say.textContent = 'The notation cannot be engraved in this browser; the picture above shows the same bars.';
    console.warn(String(err && err.stack || err));
  };

  // follow shows in the notation where the player is.
  const follow = (score) => {
    const audio = document.querySelector('audio'), moments = new Moments(data.moments);
    if (!audio) return;
    const frame = () => {
      score.place(...moments.at(audio.currentTime));
      if (!audio.paused) requestAnimationFrame(frame);
    };
    audio.addEventListener('play', frame);
    audio.addEventListener('seeked', frame);
  };

  // printed leaves on the paper the systems on which findings begin, the gravest first, as many as a page and a half has.
  const printed = (score) => {
    const most = 5, slices = [...score.root.querySelectorAll('.slice')], grave = ['fail', 'warning', 'note'];
    const rank = (slice) => grave.findIndex((kind) => slice.querySelector('.tag.' + kind));
    const kept = new Set(slices.filter((s) => rank(s) >= 0).sort((a, b) => rank(a) - rank(b)).slice(0, most));
    slices.forEach((s) => { s.hidden = !kept.has(s); });
  };

  const engrave = async () => {
    say.textContent = 'Engraving …';
    try {
      await Engraved.library();
      const score = new Engraved((id) => {
        score.select(id);
        dispatchEvent(new CustomEvent('finding', { detail: { id, at: data.marks.find((m) => m.id === id).at } }));
      });
      paper.replaceChildren(score.root);
      paper.hidden = false;
      await score.load(data.musicxml);
      score.marks = data.marks;
      score.render();
      follow(score);
      let wait = 0;
      const anew = () => { if (score.drawing.clientWidth !== score.width) score.render(); };
      addEventListener('resize', () => { clearTimeout(wait); wait = setTimeout(anew, 250); });
      addEventListener('beforeprint', () => {
        score.print(680);
        printed(score);
      });
      addEventListener('afterprint', () => score.screen());
      say.textContent = '';
    } catch (err) {
      fail(err);
    }
  };

  const start = async () => {
    data = JSON.parse(await Engraved.unpack('notation-data'));
    if (!Engraved.long(data)) return engrave();
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = 'Engrave the ' + data.bars + ' bars';
    button.addEventListener('click', engrave, { once: true });
    say.replaceChildren(button);
  };
  start().catch(fail);
})();
