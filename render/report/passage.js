
// Engraves the bars of a lesson sheet, as written and as rewritten. Where it cannot, the sheet keeps its picture of the notes.
(() => {
  'use strict';
  const engrave = async () => {
    const sides = JSON.parse(await Engraved.unpack('notation-data'));
    await Engraved.library();
    document.body.classList.add('with-notation'); // where nothing is seen nothing can be laid out
    const places = [...document.querySelectorAll('.engraved-bars')];
    for (const [i, side] of sides.entries()) {
      const score = new Engraved(() => {});
      places[i].append(score.root);
      await score.load(side.musicxml, side);
      score.marks = side.marks;
      const zoom = sides.length > 1 ? 0.52 : 0.58, most = sides.length > 1 ? 240 : 300; // px of height, so that the sheet is one page
      score.render(zoom);
      for (let to = side.to - 1; score.root.offsetHeight > most && to > side.from; to--) {
        score.marks = side.marks.map((m) => ({ ...m, toBar: Math.min(m.toBar, to) }));
        score.draw(side.from, to);
        score.render(zoom);
      }
    }
  };

  engrave().catch((err) => {
    document.body.classList.remove('with-notation');
    console.warn(String(err && err.stack || err));
  });
})();
