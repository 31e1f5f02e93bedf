// Engraves two scores, the one that is chosen at a time, and the bars of each change on both sides. Where it cannot, the page goes on without.
(() => {
  'use strict';
  const section = document.getElementById('notation'), say = section.querySelector('.state');
  const papers = [...section.querySelectorAll('.paper')], sounds = [...document.querySelectorAll('.players audio')];
  const lead = 1.5; // s of the music before a finding, so that what leads to it is heard
  let data, scores = [];

  const here = () => Number(document.body.dataset.side || 0);

  // show has the paper of the chosen side, engraved when it is first seen.
  const show = async () => {
    const i = here();
    papers.forEach((paper, k) => { paper.hidden = k !== i; });
    if (!scores[i]) {
      const { marks, moments, musicxml } = data.sides[i], times = new Moments(moments);
      const score = scores[i] = new Engraved((id) => {
        score.select(id);
        if (sounds[i]) sounds[i].currentTime = Math.max(0, marks.find((m) => m.id === id).at - lead);
      });
      papers[i].replaceChildren(score.root);
      await score.load(musicxml);
      score.marks = marks;
      score.render();
      const frame = () => {
        score.place(...times.at(sounds[i].currentTime));
        if (!sounds[i].paused) requestAnimationFrame(frame);
      };
      sounds[i]?.addEventListener('play', frame);
      sounds[i]?.addEventListener('seeked', frame);
    } else if (scores[i].bars && scores[i].drawing.clientWidth !== scores[i].width) scores[i].render();
  };

  // changes draws the bars of each change: each side is read once, and what is drawn of it is copied into its place.
  const changes = async () => {
    const rows = [...document.querySelectorAll('.bars-of')];
    if (!rows.length) return;
    document.body.classList.add('with-notation'); // where nothing is seen nothing can be laid out
    for (const side of [0, 1]) {
      const score = new Engraved(() => {});
      for (const [k, row] of rows.entries()) {
        const passage = data.passages[k][side], place = row.querySelectorAll('.engraved-bars')[side];
        place.append(score.root);
        if (score.osmd) score.draw(passage.from, passage.to); else await score.load(data.sides[side].musicxml, passage);
        score.marks = passage.marks;
        score.render(0.6);
        const copy = score.root.cloneNode(true);
        copy.querySelectorAll('[id]').forEach((e) => e.removeAttribute('id'));
        copy.querySelector('.marks').querySelectorAll('.tag').forEach((e) => e.remove());
        score.root.replaceWith(copy);
        await new Promise((done) => { setTimeout(done); });
      }
    }
  };

  const fail = (err) => {
    papers.forEach((paper) => { paper.hidden = true; });
    document.body.classList.remove('with-notation');
    say.textContent = 'The scores cannot be engraved in this browser.';
    console.warn(String(err && err.stack || err));
  };

  const engrave = async () => {
    try {
      say.textContent = 'Engraving …';
      await Engraved.library();
      await show();
      say.textContent = '';
      document.addEventListener('side', () => show().catch(fail));
      let wait = 0;
      addEventListener('resize', () => { clearTimeout(wait); wait = setTimeout(show, 250); });
      await changes();
    } catch (err) {
      fail(err);
    }
  };

  const start = async () => {
    data = JSON.parse(await Engraved.unpack('notation-data'));
    const [a, b] = data.sides;
    b.musicxml = b.musicxml || a.musicxml; // the same music is there once
    if (!Engraved.long(a) && !Engraved.long(b)) return engrave();
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = 'Engrave the ' + Math.max(a.bars, b.bars) + ' bars';
    button.addEventListener('click', engrave, { once: true });
    say.replaceChildren(button);
  };
  start().catch(fail);
})();
