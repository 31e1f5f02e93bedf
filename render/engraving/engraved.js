// Engraved is a score that the library engraves in an element: where its bars and notes stand, the marks
// of findings over them, and the place that sounds. Bars count from 0 as printed, a share is one of a bar's length.
class Engraved {
  static LANE = 3; // room over a system for marks, spaces of a staff
  static TAG = 20; // height of a mark, px

  // long tells whether a score takes more than a second or so, and is engraved only when asked for.
  static long({ bars, musicxml }) { return bars > 150 || musicxml.length > 800_000; }

  // unpack reads what a page holds packed: text, gzip, in base64.
  static async unpack(id) {
    const packed = Uint8Array.from(atob(document.getElementById(id).textContent.trim()), (c) => c.charCodeAt(0));
    return new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'))).text();
  }

  // library starts the engraving library that a page holds; its policy knows the hash.
  static async library() {
    const script = document.createElement('script');
    script.textContent = await Engraved.unpack('notation-library');
    document.head.append(script);
  }

  constructor(onmark) {
    const part = (kind) => Object.assign(document.createElement('div'), { className: kind });
    this.root = part('engraved');
    this.drawing = part('drawing');
    this.over = part('marks');
    this.cursor = Object.assign(part('sounding'), { hidden: true });
    this.root.append(this.drawing, this.over, this.cursor);
    this.marks = [];
    this.zoom = 0.8;
    this.over.addEventListener('click', (e) => {
      const tag = e.target.closest('.tag');
      if (!tag) return;
      e.stopPropagation();
      onmark(Number(tag.dataset.id));
    });
  }

  // load reads a score; of a passage, from one printed bar to another (from 0, both in it), the rest is not drawn.
  async load(musicxml, passage = null) {
    this.osmd = new opensheetmusicdisplay.OpenSheetMusicDisplay(this.drawing, { autoResize: false, backend: 'svg', drawTitle: false, drawSubtitle: false,
      drawComposer: false, drawLyricist: false, drawPartAbbreviations: true, drawingParameters: 'compact', autoGenerateMultipleRestMeasuresFromRestMeasures: false });
    const { EngravingRules: rules } = this.osmd;
    // Over each system there is a lane for the marks, so that they hide no note and no word.
    Object.assign(rules, { PageLeftMargin: 1, PageRightMargin: 1, PageTopMargin: Engraved.LANE - 1, PageTopMarginNarrow: Engraved.LANE - 1,
      PageBottomMargin: 2, // the library takes the lowest note for higher than it is
      MinSkyBottomDistBetweenSystems: rules.MinSkyBottomDistBetweenSystems + Engraved.LANE });
    if (passage) this.draw(passage.from, passage.to);
    await this.osmd.load(musicxml);
    // The colour of a note is its number, which survives engraving; what is seen is black.
    this.numbers = new Map();
    for (const measure of this.osmd.Sheet.SourceMeasures)
      for (const column of measure.VerticalSourceStaffEntryContainers)
        for (const entry of column.StaffEntries)
          for (const voice of entry?.VoiceEntries || []) {
            voice.StemColorXml = voice.StemColor = undefined;
            for (const note of voice.Notes) {
              if (note.NoteheadColorXml) this.numbers.set(note, parseInt(note.NoteheadColorXml.slice(1, 7), 16));
              note.NoteheadColorXml = note.NoteheadColor = undefined;
            }
          }
  }

  // draw has only a passage drawn when it is rendered next.
  draw(from, to) {
    // With a pickup the library takes the numbers for the indices.
    Object.assign(this.osmd.EngravingRules, { MinMeasureToDrawIndex: from, MaxMeasureToDrawIndex: to, MinMeasureToDrawNumber: from, MaxMeasureToDrawNumber: to });
  }

  // render lays the score out in the width there is.
  render(zoom = this.zoom) {
    this.zoom = this.osmd.zoom = zoom;
    this.width = this.drawing.clientWidth;
    this.osmd.render();
    this.unit = 10 * zoom; // between two lines of a staff, px
    this.notes = new Map();
    this.systems = [];
    this.bars = [];
    for (const staves of this.osmd.GraphicSheet.MeasureList) {
      const at = staves.find(Boolean)?.parentSourceMeasure.measureListIndex;
      if (at !== undefined) this.bars[at] = this.measure(staves);
    }
    this.lanes();
    this.mark(this.marks);
    if (this.at) this.place(...this.at);
  }

  // measure is where a bar stands, px: its staves, and the notes' places in time, as [share, x].
  measure(staves) {
    const { unit } = this, bar = { staves: [], steps: [], left: Infinity, right: 0 };
    staves.forEach((measure, i) => {
      const shape = measure?.PositionAndShape;
      if (!shape) return;
      const { x, y } = shape.AbsolutePosition;
      bar.staves[i] = { top: y * unit, bottom: (y + 4) * unit };
      bar.left = Math.min(bar.left, (x + shape.BorderLeft) * unit);
      bar.right = Math.max(bar.right, (x + shape.BorderRight) * unit);
      for (const entry of measure.staffEntries) {
        const heads = entry.graphicalVoiceEntries.flatMap((v) => v.notes);
        for (const head of heads) {
          const number = this.numbers.get(head.sourceNote);
          if (number !== undefined) this.notes.set(number, [...this.notes.get(number) || [], head]);
        }
        const length = measure.parentSourceMeasure.Duration.RealValue || 1;
        bar.steps.push([Math.min(1, Math.max(0, entry.relInMeasureTimestamp.RealValue / length)), entry.PositionAndShape.AbsolutePosition.x * unit]);
      }
    });
    const there = bar.staves.filter(Boolean);
    if (!there.length) return null;
    bar.steps.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
    bar.steps = bar.steps.filter((s, i) => !i || s[0] > bar.steps[i - 1][0] + 1e-6);
    if (!bar.steps.length || bar.steps[0][0] > 0) bar.steps.unshift([0, bar.left + unit]);
    bar.steps.push([1, bar.right]);
    bar.top = Math.min(...there.map((s) => s.top));
    bar.bottom = Math.max(...there.map((s) => s.bottom));
    const last = this.systems[this.systems.length - 1];
    if (!last || Math.abs(last.top - bar.top) > unit) this.systems.push({ top: bar.top, bottom: bar.bottom });
    bar.system = this.systems.length - 1;
    return bar;
  }

  // lanes are the places over the systems, px, above all that is engraved there.
  lanes() {
    const systems = this.osmd.GraphicSheet.MusicPages.flatMap((page) => page.MusicSystems);
    this.systems.forEach((s, k) => {
      const line = systems[k]?.StaffLines[0], sky = line ? Math.min(0, ...line.SkyLine.filter(Number.isFinite)) : -2;
      s.lane = Math.max(0, Math.min(s.top - 2 * this.unit, s.top + sky * this.unit) - Engraved.TAG - 2);
    });
  }

  // print lays the score out for paper of a width, px, system by system, so that none is cut by the end of a page.
  print(width) {
    if (!this.bars) return;
    this.onScreen = this.zoom;
    this.drawing.style.width = `${width}px`;
    this.render(0.62);
    const svg = this.drawing.querySelector('svg'), { unit } = this, scale = 1 / this.zoom, most = svg.getBoundingClientRect().height;
    const edges = this.systems.map((s, k) => k ? s.lane - 3 : -2.4 * unit).concat(most);
    const system = (y) => Math.max(0, edges.findLastIndex((e) => e <= y));
    const slices = this.systems.map((s, k) => {
      const slice = document.createElement('div'), part = svg.cloneNode(false);
      part.removeAttribute('id');
      slice.className = 'slice';
      slice.style.height = `${edges[k + 1] - edges[k]}px`;
      part.setAttribute('height', edges[k + 1] - edges[k]);
      part.setAttribute('viewBox', `0 ${edges[k] * scale} ${width * scale} ${(edges[k + 1] - edges[k]) * scale}`);
      slice.append(part);
      return slice;
    });
    for (const e of svg.children) {
      const { y, height } = e.getBBox();
      slices[system((y + height / 2) / scale)].firstChild.append(e.cloneNode(true));
    }
    for (const e of this.over.children) {
      const copy = e.cloneNode(true), k = system(parseFloat(e.style.top) + 12);
      copy.style.top = `${parseFloat(e.style.top) - edges[k]}px`;
      slices[k].append(copy);
    }
    this.slices = document.createElement('div');
    this.slices.className = 'slices';
    this.slices.append(...slices);
    this.root.append(this.slices);
    this.root.classList.add('sliced');
  }

  // screen goes back from print.
  screen() {
    if (!this.slices) return;
    this.slices.remove();
    this.slices = null;
    this.root.classList.remove('sliced');
    this.drawing.style.width = '';
    this.render(this.onScreen);
  }

  // x is the place of a share of a bar.
  x(bar, share) {
    let i = 1;
    while (i < bar.steps.length - 1 && bar.steps[i][0] <= share) i++;
    const [[a, from], [b, to]] = [bar.steps[i - 1], bar.steps[i]];
    return from + (to - from) * Math.min(1, Math.max(0, (share - a) / (b - a)));
  }

  // locate is the bar under a point of the drawing, and the share of the note at or before it.
  locate(px, py) {
    let best = null, least = Infinity;
    this.bars.forEach((bar, i) => {
      if (!bar) return;
      const far = (from, to, v) => Math.max(0, from - v, v - to);
      const d = 3 * far(bar.top, bar.bottom, py) + far(bar.left, bar.right, px);
      if (d < least) { least = d; best = i; }
    });
    if (best === null) return null;
    const step = this.bars[best].steps.findLast(([share, x]) => share < 1 && x <= px + this.unit);
    return { bar: best, share: step ? step[0] : 0 };
  }

  // place shows where it sounds; it gives the number of that system, -1 where there is none.
  place(index, share) {
    this.at = [index, share];
    const bar = this.bars?.[index];
    this.cursor.hidden = !bar;
    if (!bar) return -1;
    const top = bar.top - this.unit;
    this.cursor.style.transform = `translate(${this.x(bar, share).toFixed(1)}px, ${top.toFixed(1)}px)`;
    const height = `${(bar.bottom - top + this.unit).toFixed(0)}px`;
    if (this.cursor.style.height !== height) this.cursor.style.height = height;
    return bar.system;
  }

  // mark puts findings over their bars, the first over the rest: { id, fromBar, toBar, fromStaff, toStaff, share, notes, class, shape,
  // words (the longest first), label }. The engraving itself stays as it is.
  mark(marks) {
    this.marks = marks;
    if (!this.bars) return;
    this.over.replaceChildren();
    this.drawing.querySelectorAll('.found').forEach((e) => e.classList.remove('found', 'fail', 'warning', 'note'));
    for (const m of [...marks].reverse()) this.colour(m);
    const placed = [];
    for (const m of marks) {
      const lines = this.frames(m);
      lines.forEach((b) => this.over.append(this.frame(m, b)));
      if (lines.length) placed.push([m, lines[0]]);
    }
    this.tags(placed);
    this.select(this.selected);
  }

  // frames are the stretches of systems that a finding covers.
  frames(m) {
    const { unit } = this, lines = [];
    for (let i = m.fromBar; i <= m.toBar && i < this.bars.length; i++) {
      const bar = this.bars[i], staves = bar ? bar.staves.slice(m.fromStaff, m.toStaff + 1).filter(Boolean) : [];
      if (!staves.length) continue;
      const b = { system: bar.system, left: bar.left, right: bar.right, top: Math.min(...staves.map((s) => s.top)) - 2 * unit, bottom: Math.max(...staves.map((s) => s.bottom)) + 2 * unit };
      const last = lines[lines.length - 1];
      if (last?.system === b.system) last.right = b.right; else lines.push(b);
    }
    return lines;
  }

  frame(m, b) {
    const e = document.createElement('div');
    e.className = 'over-bars ' + m.class;
    e.dataset.id = m.id;
    Object.assign(e.style, { left: b.left + 'px', top: b.top + 'px', width: b.right - b.left + 'px', height: b.bottom - b.top + 'px' });
    return e;
  }

  // tags name the findings at the places where they begin. Where they are many, the words become fewer, and then they move aside.
  tags(placed) {
    const taken = [], free = (x, y, width) => !taken.some((t) => Math.abs(t.y - y) < 20 && x < t.right && x + width + 3 > t.x);
    const put = placed.map(([m, b]) => {
      const tag = document.createElement('button'), shape = document.createElement('i'), words = document.createElement('span');
      tag.type = 'button';
      tag.className = 'tag ' + m.class;
      tag.title = m.label;
      tag.setAttribute('aria-label', m.label);
      tag.dataset.id = m.id;
      shape.textContent = m.shape;
      shape.setAttribute('aria-hidden', 'true');
      tag.append(shape, words);
      return { m, b, tag, words, widths: [] };
    });
    this.over.append(...put.map((p) => p.tag));
    for (let i = 0; put.some((p) => i < p.m.words.length); i++) { // all tags at once, so that the page is laid out once for each
      for (const p of put) p.words.textContent = p.m.words[i] ?? p.m.words.at(-1);
      for (const p of put) p.widths.push(p.tag.offsetWidth);
    }
    for (const { m, b, tag, words, widths } of put) {
      const y = this.systems[b.system].lane, at = Math.max(b.left, this.x(this.bars[m.fromBar], m.share || 0) - 6);
      const start = (w) => Math.max(0, Math.min(at, b.right - w, this.width - w));
      let i = widths.findIndex((w) => w <= b.right - b.left + 12 && free(start(w), y, w));
      if (i < 0) i = widths.length - 1;
      const w = widths[i], open = (x) => x >= 0 && x <= this.width - w && free(x, y, w);
      let x = start(w);
      for (let aside = 0; aside < this.width; aside += 6) {
        if (open(x + aside)) { x += aside; break; }
        if (open(x - aside)) { x -= aside; break; }
      }
      words.textContent = m.words[i] ?? m.words.at(-1);
      taken.push({ x, y, right: x + w + 3 });
      Object.assign(tag.style, { left: x + 'px', top: y + 'px' });
    }
  }

  // colour gives the notes of a finding the colour of its severity.
  colour(m) {
    for (const number of m.notes) for (const note of this.notes.get(number) || []) {
      const heads = note.getNoteheadSVGs(), head = heads[note.vfnote?.[1]] || heads[0];
      if (!head) continue;
      head.classList.remove('fail', 'warning', 'note');
      head.classList.add('found', m.class);
    }
  }

  // select lets a finding stand out; it gives the first of its frames.
  select(id) {
    this.selected = id;
    this.over.querySelectorAll('.here').forEach((e) => e.classList.remove('here'));
    const mine = id === undefined ? [] : [...this.over.querySelectorAll(`[data-id="${id}"]`)];
    mine.forEach((e) => e.classList.add('here'));
    return mine[0] || null;
  }
}

// Moments are the times of a playing: [s, bar, share] at every change of the pace through the printed bars.
class Moments {
  constructor(list) { this.list = list; }

  // at is the bar and the share that sound at t, as [bar, share].
  at(t) {
    const { list } = this;
    let i = 0, j = list.length - 1;
    while (i < j) {
      const k = (i + j + 1) >> 1;
      if (list[k][0] <= t + 1e-6) i = k; else j = k - 1;
    }
    if (!list.length) return [-1, 0];
    const [from, bar, share] = list[i];
    if (i + 1 >= list.length) return [bar, share];
    return [bar, share + (this.until(i) - share) * Math.min(1, Math.max(0, (t - from) / (list[i + 1][0] - from)))];
  }

  // until is the share that a stretch ends at.
  until(i) {
    const next = this.list[i + 1];
    return next && next[1] === this.list[i][1] && next[2] > this.list[i][2] ? next[2] : 1;
  }

  // time is when a place sounds; of a bar that is played again, the time nearest to now.
  time(bar, share, now) {
    let best = null;
    this.list.forEach(([from, b, s], i) => {
      const end = this.until(i);
      if (b !== bar || share < s || share >= end || i + 1 >= this.list.length) return;
      const t = from + (share - s) / (end - s) * (this.list[i + 1][0] - from);
      if (best === null || Math.abs(t - now) < Math.abs(best - now)) best = t;
    });
    return best;
  }
}
