// One layer over one plot, wherever the plot is now: figures come late, go, and are drawn anew.

import { placed, written } from "./labels.js";
import { CanvasPen, SvgPen, measure } from "./pens.js";
import { Saving } from "./saving.js";
import { Timeline } from "./timeline.js";
import { VIEWS } from "./views.js";

const LEAST = 40;          // px that she is long from above, whatever lies round her
const CORNER = 40;         // px at the right of the title's line that the button for saving takes, times the scale

export class Overlay {
  constructor(view, player) {
    Object.assign(this, { view, player, ...VIEWS[view], memory: new Map(), told: 0 });
    this.sizes = new ResizeObserver(() => this.fit());
    this.canvas = document.createElement("canvas");
    Object.assign(this.canvas, { className: `anchorsim-overlay ${view}-overlay`, role: "img", ariaLabel: this.name });
    this.saving = new Saving(this);
    if (view === "anchorsim-view-load") {
      this.timeline = new Timeline(player);
      this.canvas.removeAttribute("role");
      this.canvas.ariaHidden = "true";
    }
  }

  plot(root) {
    if (this.gd?.isConnected && this.gd._fullLayout && root.contains(this.gd)) return this.gd;
    const box = root.matches?.(`.${this.view}`) ? root : root.querySelector(`.${this.view}`);
    this.gd = box && (box.matches(".js-plotly-plot") ? box : box.querySelector(".js-plotly-plot"));
    this.sizes.disconnect();
    if (this.gd?._fullLayout) this.sizes.observe(this.gd);
    return this.gd?._fullLayout ? this.gd : null;
  }

  frame(root, frame, version, now) {
    const gd = root && this.plot(root), holder = gd?.querySelector(".svg-container"), layout = gd?._fullLayout;
    const axes = (this.axes ?? ["xaxis", "yaxis"]).map((name) => layout?.[name]);
    if (!holder || !axes.every((axis) => axis?._length)) return this.remove();
    if (this.canvas.parentNode !== holder) this.enter(holder);
    if (this.timeline) this.timeline.frame(holder, layout, frame, now);
    const sharp = window.devicePixelRatio || 1, { width, height } = layout;
    const place = [width, height, sharp, ...axes.map((axis) => [axis.range, axis._offset, axis._length])].join();
    if (`${version} ${place}` === this.drawn) return;
    if (this.place !== place) { this.place = place; this.written = null; this.title = null; }
    this.drawn = `${version} ${place}`;
    this.size(width, height, sharp);
    const pen = this.canvas.getContext("2d");
    pen.setTransform(sharp, 0, 0, sharp, 0, 0);
    pen.clearRect(0, 0, width, height);
    this.facts = this.ink(new CanvasPen(pen), layout, frame);
    Object.assign(this.canvas.dataset, this.facts, { time: frame.front.at.time.toFixed(3) });
    this.canvas.labels = this.labels;
    if (now - this.told > 1000 || !frame.playing) this.say(frame, now);
    if ("long" in this.facts) this.near(gd, layout, frame, now);
  }

  // What moves and all words, by any pen.
  ink(pen, layout, frame) {
    const { on, labels, facts, things } = this.draw(pen, layout, frame);
    if (this.from !== layout.annotations) [this.from, this.written] = [layout.annotations, null];
    this.written ??= written(layout, frame.colours);
    const words = things ? this.written.map((label) => ({ ...label, avoid: things })) : this.written;
    this.labels = placed([...labels, ...words], on, this.memory);
    for (const { x0, y0, y1, label, parts } of this.labels)
      pen.text(parts, x0, (y0 + y1) / 2, { size: label.size, colour: label.colour, halo: frame.colours.paper });
    if (this.view === "anchorsim-view-above") this.across(pen, layout, on, frame);
    return facts;
  }

  // How much water is seen, at the right of the title.
  across(pen, layout, on, { units, colours, size, scale }) {
    const [west, east] = layout.xaxis.range, words = `${Math.round(east - west)} ${units.length.label} across`;
    this.title ??= this.gd.querySelector(".gtitle")?.getBBox().width ?? 0;
    const x = on.left + on.width - CORNER * scale - measure(words, size);
    if (x > this.title + 24) pen.text([{ text: words }], x, on.top / 2, { size, colour: colours.faint, halo: colours.paper });
  }

  size(width, height, sharp) {
    const size = [Math.round(width * sharp), Math.round(height * sharp)];
    if (this.canvas.width !== size[0] || this.canvas.height !== size[1]) [this.canvas.width, this.canvas.height] = size;
    Object.assign(this.canvas.style, { width: `${width}px`, height: `${height}px` });
  }

  // A view that is too small for all that is drawn shows what is about her, once for each run and size.
  near(gd, layout, { front, units }, now) {
    const wanted = [layout.width, layout.height, this.player.runs].join();
    if (this.asked !== wanted) [this.asked, this.until] = [wanted, now + 500];
    if (now > this.until || this.facts.long >= LEAST || !globalThis.Plotly) return;
    const { length, needs, swept } = front.run.scene, factor = units.length.factor, change = {};
    const spans = [layout.yaxis, layout.xaxis].map((axis) => axis._length * length / (LEAST + 1));
    const fits = spans.every((span, k) => needs[2 * k + 1] - needs[2 * k] <= span);
    for (const [k, name] of ["yaxis", "xaxis"].entries()) {
      const [low, high] = (fits ? needs : swept).slice(2 * k, 2 * k + 2), middle = (low + high) / 2;
      change[`${name}.range`] = [-0.5, 0.5].map((half) => (middle + half * spans[k]) * factor);
    }
    globalThis.Plotly.relayout(gd, change);
  }

  say({ front, units }, now) {
    this.told = now;
    const words = `${this.name}. ${this.tell(front, units)}`;
    if (this.said !== words) this.canvas.ariaLabel = this.said = words;
  }


  enter(holder) {
    holder.append(this.canvas, ...(this.timeline ? [this.timeline.box] : []), this.saving.box);
    this.gd.classList.add("anchorsim-played");
    for (const drawing of holder.querySelectorAll(":scope > .main-svg")) drawing.setAttribute("aria-hidden", "true");
    this.drawn = "";
  }

  // The layer once more as SVG, for a picture that is kept.
  svg(frame) {
    const pen = new SvgPen();
    this.ink(pen, this.gd._fullLayout, frame);
    return pen.markup;
  }

  // Plotly looks at the room for a plot only when the window changes; boxes change without that.
  fit() {
    const { clientWidth, clientHeight, _fullLayout: { width, height } } = this.gd;
    if (Math.hypot(clientWidth - width, clientHeight - height) > 1) window.dispatchEvent(new Event("resize"));
  }

  remove() {
    this.canvas.remove();
    this.saving.box.remove();
    this.timeline?.box.remove();
    this.gd?.classList.remove("anchorsim-played");
    this.sizes.disconnect();
    this.gd = null;
  }
}
