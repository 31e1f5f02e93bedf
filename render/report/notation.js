// Engraves the score and draws the findings over its bars. Where it cannot, the page goes on
// without: the picture in time shows the same.
(() => {
  'use strict';
  const section = document.getElementById('notation'), paper = section.querySelector('.paper'), say = section.querySelector('.state');
  const many = 80; // bars that are engraved without being asked for

  let data;

  const unpack = async (id) => {
    const packed = Uint8Array.from(atob(document.getElementById(id).textContent.trim()), (c) => c.charCodeAt(0));
    return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'))).text();
  };

  // box is a bar of a staff on the page in pixels.
  const box = (measure, unit) => {
    const p = measure.PositionAndShape, at = p.AbsolutePosition;
    return { left: (at.x + p.BorderLeft) * unit, right: (at.x + p.BorderRight) * unit, top: at.y * unit, bottom: (at.y + 4) * unit };
  };

  const draw = (osmd, sheet) => {
    sheet.querySelectorAll('.over-bars,.tag').forEach((e) => e.remove());
    const unit = 10 * osmd.zoom, measures = osmd.GraphicSheet.MeasureList, taken = [];
    for (const m of data.marks) {
      let first = true, lines = [];
      for (let bar = m.fromBar; bar <= m.toBar && bar < measures.length; bar++) {
        const staves = measures[bar].slice(m.fromStaff, m.toStaff + 1).filter((s) => s && s.PositionAndShape);
        if (!staves.length) continue;
        const bs = staves.map((s) => box(s, unit));
        const b = { left: Math.min(...bs.map((x) => x.left)), right: Math.max(...bs.map((x) => x.right)),
          top: Math.min(...bs.map((x) => x.top)) - 3.2 * unit, bottom: Math.max(...bs.map((x) => x.bottom)) + 1.2 * unit };
        const last = lines[lines.length - 1];
        if (last && Math.abs(last.top - b.top) < unit && b.left > last.left) last.right = b.right; else lines.push(b);
      }
      for (const b of lines) {
        const frame = document.createElement('div');
        frame.className = 'over-bars ' + m.class;
        frame.dataset.id = m.id;
        Object.assign(frame.style, { left: b.left + 'px', top: b.top + 'px', width: b.right - b.left + 'px', height: b.bottom - b.top + 'px' });
        sheet.append(frame);
        if (!first) continue;
        first = false;
        const tag = document.createElement('button'), shape = document.createElement('i');
        tag.type = 'button';
        tag.className = 'tag ' + m.class;
        tag.title = m.label;
        tag.setAttribute('aria-label', m.label);
        shape.textContent = m.shape;
        shape.setAttribute('aria-hidden', 'true');
        tag.append(shape, String(m.id));
        tag.dataset.id = m.id;
        tag.dataset.at = m.at;
        sheet.append(tag);
        let x = b.left; // beside the tags that are there already
        const y = b.top - 12;
        while (taken.some((t) => Math.abs(t.y - y) < 20 && x < t.right && x + tag.offsetWidth > t.x)) x += 6;
        taken.push({ x, y, right: x + tag.offsetWidth + 3 });
        Object.assign(tag.style, { left: x + 'px', top: y + 'px' });
      }
    }
  };

  const fail = (err) => {
    paper.hidden = true;
    say.textContent = 'The notation cannot be engraved in this browser; the picture above shows the same bars.';
    console.warn(String(err && err.stack || err));
  };

  const engrave = async () => {
    say.textContent = 'Engraving …';
    try {
      const script = document.createElement('script');
      script.textContent = await unpack('notation-library');
      document.head.append(script); // the page's policy knows its hash
      const sheet = document.createElement('div');
      paper.replaceChildren(sheet);
      paper.hidden = false;
      const osmd = new opensheetmusicdisplay.OpenSheetMusicDisplay(sheet, { autoResize: false, backend: 'svg', drawTitle: false,
        drawSubtitle: false, drawComposer: false, drawLyricist: false, drawPartAbbreviations: true, drawingParameters: 'compact' });
      osmd.zoom = 0.8;
      await osmd.load(data.musicxml);
      let width = 0;
      const render = () => {
        if (paper.clientWidth === width) return;
        width = paper.clientWidth;
        osmd.render();
        draw(osmd, sheet);
      };
      render();
      let wait = 0;
      addEventListener('resize', () => { clearTimeout(wait); wait = setTimeout(render, 250); });
      sheet.addEventListener('click', (e) => {
        const tag = e.target.closest('.tag');
        if (tag) dispatchEvent(new CustomEvent('finding', { detail: { id: tag.dataset.id, at: Number(tag.dataset.at) } }));
      });
      say.textContent = '';
    } catch (err) {
      fail(err);
    }
  };

  const start = async () => {
    data = JSON.parse(await unpack('notation-data'));
    if (data.bars <= many && data.musicxml.length < 800000) return engrave();
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = 'Engrave the ' + data.bars + ' bars';
    button.addEventListener('click', engrave, { once: true });
    say.replaceChildren(button);
  };
  start().catch(fail);
})();
