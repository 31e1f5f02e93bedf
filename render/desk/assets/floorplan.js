// The floor of a church to scale, with the organ and the listener where they are put: by dragging, or with the arrow keys.
import { el, svg, number } from './dom.js';
import { t } from './terms.js';

const STEP = 0.5; // m, of an arrow key
const WIDE = 320; // of the drawing, its own units

const plain = v => number(v, Number.isInteger(v) ? 0 : 1);

/** FloorPlan is the drawing; moved is called when a place changes. */
export class FloorPlan {
  constructor(moved) {
    this.moved = moved;
    this.size = [30, 12];
    /** Places in metres: along the length from the organ's end, across from the axis. */
    this.places = { organ: [0.6, 0], listener: [15, 0] };
    this.touched = false;
    this.node = el('figure', { class: 'plan' });
    this.said = el('figcaption', { class: 'hint', 'aria-live': 'polite' });
    this.draw();
  }

  /** resize redraws for a floor of so many metres; the places stay where they were put, inside the walls. */
  resize(length, width) {
    if (!(length > 0 && width > 0)) return;
    this.size = [length, width];
    if (!this.touched) this.places = { organ: [0.02 * length, 0], listener: [length / 2, 0] };
    for (const who of ['organ', 'listener']) this.put(who, ...this.places[who]);
    this.draw();
  }

  put(who, along, across) {
    const [length, width] = this.size;
    this.places[who] = [Math.max(0, Math.min(length, along)), Math.max(-width / 2, Math.min(width / 2, across))];
  }

  /** listener is the place of the listener from the organ, m: across and along, as far apart as they stand on the plan. The organ of a room stands at one end. */
  listener() {
    const { organ: [ox, oy], listener: [lx, ly] } = this.places;
    const far = Math.max(0.5, Math.hypot(lx - ox, ly - oy)), half = this.size[1] / 2;
    const across = Math.max(-half, Math.min(half, ly - oy));
    return [across, Math.min(this.size[0], Math.sqrt(Math.max(0.01, far * far - across * across)))];
  }

  /** distance between the two, m. */
  distance() {
    const { organ: [ox, oy], listener: [lx, ly] } = this.places;
    return Math.hypot(lx - ox, ly - oy);
  }

  draw() {
    const [length, width] = this.size;
    this.scale = Math.min(WIDE / length, (WIDE / 2) / width);
    const k = this.scale, w = length * k, h = width * k;
    this.markers = Object.fromEntries(['organ', 'listener'].map(who => [who, this.marker(who)]));
    this.drawing = svg('svg', { viewBox: `-22 -26 ${WIDE + 44} ${h + 62}`, width: '100%', role: 'group', 'aria-label': t`The floor, to scale` },
      svg('rect', { x: 0, y: 0, width: w, height: h, class: 'floor' }),
      this.between = svg('line', { class: 'between' }),
      this.markers.organ, this.markers.listener,
      svg('text', { x: w / 2, y: h + 26, 'text-anchor': 'middle' }, `${plain(length)} m × ${plain(width)} m`));
    this.node.replaceChildren(this.drawing, this.said);
    this.place();
  }

  marker(who) {
    const shape = who === 'organ' ? svg('rect', { x: -5, y: -9, width: 10, height: 18, class: 'organ' }) : svg('circle', { r: 7, class: 'seat' });
    return svg('g', { class: 'marker', tabindex: '0', role: 'slider', 'aria-roledescription': t`place on the plan`, 'aria-label': who === 'organ' ? t`Organ` : t`Your place`, 'aria-valuemin': '0',
      onkeydown: e => this.key(who, e), onpointerdown: e => this.drag(who, e) }, svg('circle', { r: 12, class: 'grip' }), shape, svg('text', { x: -5, y: -13 }, who === 'organ' ? t`Organ` : t`You`));
  }

  /** place moves the markers to their places and says where they are. */
  place() {
    const k = this.scale, half = this.size[1] / 2;
    for (const [who, g] of Object.entries(this.markers)) {
      const [x, y] = this.places[who];
      g.setAttribute('transform', `translate(${x * k} ${(y + half) * k})`);
      g.setAttribute('aria-valuemax', number(this.size[0], 1));
      g.setAttribute('aria-valuenow', x.toFixed(1));
      g.setAttribute('aria-valuetext', t`${number(x, 1)} m along, ${number(Math.abs(y), 1)} m off the axis`);
    }
    const { organ: [ox, oy], listener: [lx, ly] } = this.places;
    for (const [name, v] of Object.entries({ x1: ox, y1: oy + half, x2: lx, y2: ly + half })) this.between.setAttribute(name, String(v * k));
    this.said.textContent = t`You sit ${number(this.distance(), 1)} m from the organ. Drag the two, or move them with the arrow keys.`;
  }

  move(who, along, across) {
    this.touched = true;
    this.put(who, along, across);
    this.place();
    this.moved?.();
  }

  key(who, e) {
    const by = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP], Home: [-1e6, 0], End: [1e6, 0] }[e.key];
    if (!by) return;
    e.preventDefault();
    const far = e.shiftKey ? 4 : 1, [x, y] = this.places[who];
    this.move(who, x + by[0] * far, y + by[1] * far);
  }

  drag(who, e) {
    const g = this.markers[who];
    e.preventDefault();
    g.focus();
    g.setPointerCapture(e.pointerId);
    const follow = at => {
      const p = new DOMPoint(at.clientX, at.clientY).matrixTransform(this.drawing.getScreenCTM().inverse());
      this.move(who, Math.round(10 * p.x / this.scale) / 10, Math.round(10 * (p.y / this.scale - this.size[1] / 2)) / 10);
    };
    const end = () => { g.removeEventListener('pointermove', follow); };
    g.addEventListener('pointermove', follow);
    g.addEventListener('pointerup', end, { once: true });
    g.addEventListener('pointercancel', end, { once: true });
  }
}
