// One clock for the four views: plotly draws what stays, this module draws what moves, on a canvas
// over each plot.  Everything arrives through the model (see player.py for the packed layout).

const COLUMNS = "x y heading bow_load anchor_load angle_at_anchor wind_speed wind_direction anchor_x anchor_y".split(" ");
const SPEEDS = [1, 2, 5, 10, 20];
const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10, Home: -1e9, End: 1e9 };
const TRAIL = 60;        // seconds of the bow's track drawn behind her
const ARROW = 46;        // px from the plot's corner to the middle of the wind arrow, as in figures/above.py
const THINNEST = 0.3;    // least foreshortening seen from the side, as in figures/side.py
const FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif";
const DEGREE = 180 / Math.PI;

// A copy, because the bytes of a message need not start on a multiple of four.
const floats = (view, from) => new Float32Array(
  view.buffer.slice(view.byteOffset + from, view.byteOffset + view.byteLength));

function decode(run, shapes, scene) {
  if (!run || run.byteLength < 20 || !scene || !scene.bow) return null;
  const [n, width] = [4, 8].map((at) => run.getUint32(at, true));
  const [start, step] = [12, 16].map((at) => run.getFloat32(at, true));
  const found = { n, width, start, step, duration: (n - 1) * step, data: floats(run, 20), scene };
  if (shapes && shapes.byteLength > 12) {
    const [rows, m] = [4, 8].map((at) => shapes.getUint32(at, true)), all = floats(shapes, 12), end = rows + rows * m;
    found.rode = { rows, m, distance: all.subarray(0, rows), x: all.subarray(rows, end), z: all.subarray(end) };
  }
  return found;
}

const turn = (from, to) => ((to - from + 3 * Math.PI) % (2 * Math.PI) + 2 * Math.PI) % (2 * Math.PI) - Math.PI;
function sampleAt(run, time) {
  const place = Math.min(Math.max((time - run.start) / run.step, 0), run.n - 1);
  const i = Math.min(Math.floor(place), run.n - 2), share = place - i, at = { time };
  COLUMNS.forEach((name, c) => {
    const a = run.data[i * run.width + c], b = run.data[(i + 1) * run.width + c];
    at[name] = a + share * (name === "heading" || name === "wind_direction" ? turn(a, b) : b - a);
  });
  at.bow_x = at.x + run.scene.bow[0] * Math.cos(at.heading);
  at.bow_y = at.y + run.scene.bow[0] * Math.sin(at.heading);
  at.distance = Math.hypot(at.bow_x - at.anchor_x, at.bow_y - at.anchor_y);
  return at;
}

// The rode at a distance: linear between rows of the table, stretched beyond its ends.
function shapeAt({ rows, m, distance, x, z }, reach) {
  const within = Math.min(Math.max(reach, distance[0]), distance[rows - 1]);
  let above = 1;
  while (above < rows - 1 && distance[above] < within) above += 1;
  const share = (within - distance[above - 1]) / (distance[above] - distance[above - 1]);
  const stretch = within > 0 ? reach / within : 1;
  const mix = (table, k) => (1 - share) * table[(above - 1) * m + k] + share * table[above * m + k];
  return Array.from({ length: m }, (_, k) => [stretch * mix(x, k), mix(z, k)]);
}

const degrees = (angle) => Math.round((angle * DEGREE % 360 + 360) % 360) % 360;
const amount = (value, unit, digits = 3) => {
  const shown = Number((value * unit.factor).toPrecision(digits));
  return `${shown.toLocaleString("en", { maximumFractionDigits: 2 })} ${unit.label}`;
};

// From SI values to pixels of the plot, by the axes as they are at this moment.
function plane(layout, xname, yname, xfactor, yfactor) {
  const X = layout[xname], Y = layout[yname];
  const [x0, x1] = X.range.map(Number), [y0, y1] = Y.range.map(Number);
  return { left: X._offset, top: Y._offset, width: X._length, height: Y._length,
           x: (v) => X._offset + X._length * (v * xfactor - x0) / (x1 - x0),
           y: (v) => Y._offset + Y._length * (1 - (v * yfactor - y0) / (y1 - y0)) };
}

function clip(pen, { left, top, width, height }) {
  trace(pen, [[left, top], [left + width, top], [left + width, top + height], [left, top + height]]);
  pen.clip();
}
function trace(pen, points, close) {
  pen.beginPath();
  points.forEach(([x, y], k) => (k ? pen.lineTo(x, y) : pen.moveTo(x, y)));
  if (close) pen.closePath();
}
const line = (pen, points) => { trace(pen, points); pen.stroke(); };
function write(pen, text, x, y, { ink, paper }, align = "left") {
  Object.assign(pen, { font: `12px ${FONT}`, textAlign: align, textBaseline: "middle", lineWidth: 4, lineJoin: "round" });
  Object.assign(pen, { strokeStyle: paper, fillStyle: ink });
  pen.setLineDash([]);
  pen.strokeText(text, x, y);
  pen.fillText(text, x, y);
}

function pencil(pen, colours, pale, width) {
  Object.assign(pen, { strokeStyle: pale ? colours.before : colours.ink, lineWidth: pale ? 1.2 : width, lineJoin: "round" });
  pen.setLineDash(pale ? [5, 4] : []);
}

function outline(pen, shape, place, colours, pale) {
  pencil(pen, colours, pale, 1.8);
  trace(pen, shape.polygon.map(place), true);
  pen.fillStyle = colours.hull;
  if (!pale) pen.fill();
  pen.stroke();
  pen.lineWidth = 1.2;
  if (!pale) for (const points of shape.lines) line(pen, points.map(place));
}

const ANCHOR = new Path2D("M0-8V6M-4-4H4M-6 1Q-5 6 0 6Q5 6 6 1");
const DOT = new Path2D("M-5 0A5 5 0 1 0 5 0A5 5 0 1 0-5 0Z");
const WIND = new Path2D("M0-26V20M0 26L-5 15H5Z");      // down the screen: a wind from the north

function stamp(pen, path, x, y, angle, fill) {
  pen.save();
  pen.translate(x, y);
  pen.rotate(angle);
  if (fill) pen.fill(path);
  pen.stroke(path);
  pen.restore();
}

function dot(pen, x, y, colour) {
  pen.fillStyle = colour;
  stamp(pen, DOT, x, y, 0, true);
}

function drawWind(pen, on, at, { speed }, colours, right) {
  const [edge, inwards] = right ? [on.left + on.width, -1] : [on.left, 1];
  const words = `now ${amount(at.wind_speed, speed, 2)} from ${degrees(at.wind_direction)}°`;
  write(pen, words, edge + inwards * (2 * ARROW - 8), on.top + ARROW - 4, colours, right ? "right" : "left");
  pencil(pen, colours, false, 2);
  stamp(pen, WIND, edge + inwards * ARROW, on.top + ARROW, at.wind_direction, true);
}

function drawTrail(pen, on, run, at, colours) {
  const first = Math.max(run.start, at.time - TRAIL), count = Math.max(4, Math.ceil((at.time - first) * 2));
  const points = Array.from({ length: count + 1 }, (_, k) => sampleAt(run, first + (at.time - first) * k / count))
    .map((then) => [on.x(then.bow_y), on.y(then.bow_x)]);
  pencil(pen, { ink: colours.load }, false, 2);
  for (let p = 0; p < 4; p += 1) {
    pen.globalAlpha = (p + 1) / 4;
    line(pen, points.slice(Math.floor(count * p / 4), Math.floor(count * (p + 1) / 4) + 1));
  }
}

const VIEWS = {
  "anchorsim-view-above"(pen, layout, { run, at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor);
    clip(pen, on);
    if (!pale) drawTrail(pen, on, run, at, colours);
    const bow = [on.x(at.bow_y), on.y(at.bow_x)], anchor = [on.x(at.anchor_y), on.y(at.anchor_x)];
    pencil(pen, colours, pale, 1.5);
    line(pen, [anchor, bow]);
    stamp(pen, ANCHOR, ...anchor, 0, false);
    const cos = Math.cos(at.heading), sin = Math.sin(at.heading);
    outline(pen, run.scene.plan, ([ahead, starboard]) => [
      on.x(at.y + ahead * sin + starboard * cos), on.y(at.x + ahead * cos - starboard * sin)], colours, pale);
    if (!pale) drawWind(pen, on, at, units, colours, run.scene.wind_right);
    return { north: at.bow_x, east: at.bow_y, px: bow[0], py: bow[1] };
  },

  "anchorsim-view-side"(pen, layout, { run, at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor);
    clip(pen, on);
    const { depth, ground, bow, profile } = run.scene;
    pencil(pen, colours, pale, 2.5);
    if (run.rode) line(pen, shapeAt(run.rode, at.distance).map(([x, z]) => [on.x(x), on.y(z - depth)]));
    const toAnchor = Math.atan2(at.anchor_y - at.bow_y, at.anchor_x - at.bow_x), c = Math.cos(at.heading - toAnchor);
    const look = (c < 0 ? -1 : 1) * Math.max(Math.abs(c), THINNEST);
    outline(pen, profile, ([ahead, up]) => [on.x(at.distance + (bow[0] - ahead) * look), on.y(up)], colours, pale);
    const lift = at.angle_at_anchor * DEGREE;
    if (!pale) write(pen, `uplift at the anchor now ${lift.toFixed(0)}°`, on.x(0) + 4, on.y(ground) + 12, colours);
    return { distance: at.distance, lift, px: on.x(at.distance), py: on.y(bow[1]) };
  },

  "anchorsim-view-load"(pen, layout, { at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.time.factor, units.force.factor);
    const wind = plane(layout, "xaxis", "yaxis2", units.time.factor, units.speed.factor);
    const px = on.x(at.time), py = on.y(at.bow_load);
    clip(pen, { ...on, height: wind.top + wind.height - on.top });
    pencil(pen, colours, pale, 1.2);
    if (!pale) line(pen, [[px, on.top], [px, wind.top + wind.height]]);
    dot(pen, px, py, pale ? colours.paper : colours.load);
    if (!pale) dot(pen, px, wind.y(at.wind_speed), colours.wind);
    const [gap, align] = px < on.left + on.width / 2 ? [10, "left"] : [-10, "right"];
    if (!pale) write(pen, `${amount(at.bow_load, units.force)} now`, px + gap, py - 10, colours, align);
    return { load: at.bow_load, wind: at.wind_speed, px, py };
  },

  "anchorsim-view-parts"(pen, layout, { run, at, colours }, pale) {
    if (pale) return {};
    const on = plane(layout, "xaxis", "yaxis", 1, 1);
    clip(pen, on);
    const needles = run.scene.parts.map((p) => 100 * p.share * (p.at === "anchor" ? at.anchor_load : at.bow_load) / p.working_load);
    pencil(pen, { ink: colours.paper }, false, 1.5);
    pen.fillStyle = colours.ink;
    needles.forEach((level, row) => {
      const x = on.x(level), foot = on.y(row + 0.42), side = [[2, on.y(row)], [2, foot], [5, foot + 7]];
      trace(pen, [...side.map(([d, y]) => [x + d, y]), ...side.reverse().map(([d, y]) => [x - d, y])], true);
      pen.stroke();
      pen.fill();
    });
    return { needles: needles.map((v) => v.toFixed(2)).join(" "), px: needles.length ? on.x(needles[0]) : 0 };
  },
};

// One canvas over one plot, wherever the plot is now: figures come late, go, and are drawn anew.
class Overlay {
  constructor(view) {
    this.view = view;
    this.sizes = new ResizeObserver(() => this.fit());
    this.canvas = document.createElement("canvas");
    Object.assign(this.canvas, { className: `anchorsim-overlay ${view}-overlay`, ariaHidden: "true" });
    this.canvas.style.cssText = "position:absolute;left:0;top:0;pointer-events:none;z-index:5";
  }

  plot(root) {
    if (this.gd?.isConnected && this.gd._fullLayout && root.contains(this.gd)) return this.gd;
    const box = root.matches?.(`.${this.view}`) ? root : root.querySelector(`.${this.view}`);
    this.gd = box && (box.matches(".js-plotly-plot") ? box : box.querySelector(".js-plotly-plot"));
    this.sizes.disconnect();
    if (this.gd?._fullLayout) this.sizes.observe(this.gd);
    return this.gd?._fullLayout ? this.gd : null;
  }

  frame(root, pictures, version) {
    const gd = root && this.plot(root), holder = gd?.querySelector(".svg-container"), layout = gd?._fullLayout;
    const axes = [layout?.xaxis, layout?.yaxis, ...(this.view === "anchorsim-view-load" ? [layout?.yaxis2] : [])];
    if (!holder || !axes.every((axis) => axis?._length)) return this.remove();
    if (this.canvas.parentNode !== holder) { holder.appendChild(this.canvas); this.drawn = ""; }
    const sharp = window.devicePixelRatio || 1, { width, height } = layout;
    const wanted = [version, width, height, sharp, ...axes.map((axis) => [axis.range, axis._offset, axis._length])].join();
    if (wanted === this.drawn) return;
    this.drawn = wanted;
    const size = [Math.round(width * sharp), Math.round(height * sharp)], pen = this.canvas.getContext("2d");
    if (this.canvas.width !== size[0] || this.canvas.height !== size[1]) [this.canvas.width, this.canvas.height] = size;
    Object.assign(this.canvas.style, { width: `${width}px`, height: `${height}px` });
    pen.setTransform(sharp, 0, 0, sharp, 0, 0);
    pen.clearRect(0, 0, width, height);
    this.canvas.dataset.time = pictures.at(-1).at.time.toFixed(3);
    for (const picture of pictures) {
      pen.save();
      Object.assign(this.canvas.dataset, VIEWS[this.view](pen, layout, picture, picture.pale));
      pen.restore();
    }
  }

  // Plotly looks at the room for a plot only when the window changes; boxes change without that.
  fit() {
    const { clientWidth, clientHeight, _fullLayout: { width, height } } = this.gd;
    if (Math.hypot(clientWidth - width, clientHeight - height) > 1) window.dispatchEvent(new Event("resize"));
  }

  remove() { this.canvas.remove(); this.sizes.disconnect(); this.gd = null; }
}

const STYLE = `
.anchorsim-player { box-sizing:border-box; color:var(--ink); background:var(--paper); padding:6px 8px; font:14px ${FONT}; }
.anchorsim-player div, .anchorsim-player output { display:flex; flex-wrap:wrap; gap:6px 14px; align-items:center; }
.anchorsim-player output { margin-top:4px; font-variant-numeric:tabular-nums; }
.anchorsim-player button, .anchorsim-player select { font:inherit; color:inherit; background:var(--paper);
  border:1px solid var(--faint); border-radius:4px; min-height:32px; padding:2px 10px; }
.anchorsim-player .toggle { min-width:76px; font-weight:600; }
.anchorsim-player input { flex:1 1 160px; min-width:120px; accent-color:var(--faint); }
.anchorsim-player :focus-visible, .anchorsim-player:focus-visible { outline:3px solid var(--ink); outline-offset:2px; }`;

const HTML = `<style>${STYLE}</style><div role="group" aria-label="Player">
<button type="button" class="toggle">Play</button>
<button type="button" class="back" aria-label="Back 1 second">− 1 s</button> <button type="button" class="on"
aria-label="Forward 1 second">+ 1 s</button>
<button type="button" class="peak">Peak load</button>
<input type="range" min="0" step="0.1" aria-label="Time in the run">
<label>Speed <select>${SPEEDS.map((s) => `<option value="${s}">${s}×</option>`).join("")}</select></label>
</div><output aria-live="off"></output>`;
const minutes = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

function readout(at, run, units) {
  return [["time", `${minutes(at.time - run.start)} of ${minutes(run.duration)}`],
          ["load at the bow", amount(at.bow_load, units.force)],
          ["uplift at the anchor", `${(at.angle_at_anchor * DEGREE).toFixed(0)}°`],
          ["wind", `${amount(at.wind_speed, units.speed, 2)} from ${degrees(at.wind_direction)}°`],
          ["heading", `${degrees(at.heading)}°`]];
}

class Player {
  constructor(model, el) {
    Object.assign(this, { model, el, time: 0, held: false, stale: true, last: 0, told: 0, version: 0, frames: 0 });
    this.overlays = Object.keys(VIEWS).map((view) => new Overlay(view));
    this.box = el.appendChild(Object.assign(document.createElement("section"), {
      className: "anchorsim-player", tabIndex: 0, innerHTML: HTML,
      ariaLabel: "Playback: space plays or pauses, arrows step 1 second" }));
    this.box.dataset.lmSuppressShortcuts = "true";     // the notebook's own keys stay out of here
    [this.toggle, this.scrubber, this.speed, this.output] =
      [".toggle", "input", "select", "output"].map((name) => this.box.querySelector(name));
    this.listen();
    this.speed.value = model.get("speed");
    this.dress();
    this.play(model.get("autoplay") && !matchMedia("(prefers-reduced-motion: reduce)").matches);
    this.request = requestAnimationFrame((now) => this.frame(now));
  }

  listen() {
    const { model, box, scrubber } = this;
    const on = (target, event, handler) => target.addEventListener(event, handler, { signal: this.ended.signal });
    this.ended = new AbortController();
    on(box, "keydown", (event) => this.key(event));
    on(this.toggle, "click", () => this.play(!this.playing));
    for (const [name, step] of [[".back", -1], [".on", 1]]) on(box.querySelector(name), "click", () => this.go(this.time + step));
    on(box.querySelector(".peak"), "click", () => { this.play(false); this.go(this.run?.scene.peak_time); });
    on(scrubber, "pointerdown", () => { this.held = true; });
    on(scrubber, "input", () => this.go((this.run?.start ?? 0) + Number(scrubber.value)));
    for (const end of ["change", "pointerup", "pointercancel"]) on(scrubber, end, () => { this.held = false; });
    on(matchMedia("(prefers-color-scheme: dark)"), "change", () => this.dress());
    this.observer = new MutationObserver(() => this.dress());
    this.observer.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
    this.watch = { seek: () => this.go(model.get("seek")), colours: () => this.dress() };
    this.watch.speed = () => { this.speed.value = model.get("speed"); };
    for (const name of ["run", "shapes", "scene", "run_before", "shapes_before", "scene_before", "units", "run_id"])
      this.watch[name] = () => { this.stale = true; };
    for (const [name, handler] of Object.entries(this.watch)) model.on(`change:${name}`, handler);
  }

  load() {
    const get = (name) => this.model.get(name), share = this.run ? (this.time - this.run.start) / this.run.duration : 0;
    this.stale = false;
    this.run = decode(get("run"), get("shapes"), get("scene"));
    this.before = decode(get("run_before"), get("shapes_before"), get("scene_before"));
    if (this.run) [this.time, this.scrubber.max] = [this.run.start + share * this.run.duration, this.run.duration];
    Object.assign(this.box.dataset, { samples: this.run?.n ?? 0, run: get("run_id") });
    this.changed();
  }

  changed() { Object.assign(this, { version: this.version + 1, told: 0 }); }
  palette() { return this.model.get("colours")?.[this.dark ? "dark" : "light"] ?? {}; }

  go(time) {
    if (!this.run) return;
    this.time = Math.min(Math.max(time, this.run.start), this.run.start + this.run.duration);
    this.changed();
  }

  play(playing) {
    this.playing = playing;
    this.toggle.textContent = playing ? "Pause" : "Play";
    this.output.ariaLive = playing ? "off" : "polite";
    this.box.dataset.playing = playing;
    this.changed();
  }

  key(event) {
    if (event.target === this.speed || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key in KEYS) this.go(this.time + KEYS[event.key]);
    else if (event.key === " " && event.target.tagName !== "BUTTON") this.play(!this.playing);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  dress() {
    const lab = document.body.dataset.jpThemeLight;
    this.dark = lab ? lab === "false" : matchMedia("(prefers-color-scheme: dark)").matches;
    for (const name of ["ink", "paper", "faint"]) this.box.style.setProperty(`--${name}`, this.palette()[name] ?? "");
    if (this.model.get("dark") !== this.dark) { this.model.set("dark", this.dark); this.model.save_changes(); }
    this.changed();
  }

  tell(at, units) {
    const facts = readout(at, this.run, units).map(([name, value]) => `<span>${name} <b>${value}</b></span>`);
    this.output.innerHTML = facts.join("");
    if (!this.held) this.scrubber.value = at.time - this.run.start;
    this.scrubber.ariaValueText = `${minutes(at.time - this.run.start)} of ${minutes(this.run.duration)}`;
  }

  frame(now) {
    this.request = requestAnimationFrame((next) => this.frame(next));
    if (this.stale) this.load();
    const passed = Math.min((now - (this.last || now)) / 1000, 0.25), { run, before } = this;
    this.last = now;
    if (!run) return this.overlays.forEach((overlay) => overlay.remove());
    if (this.playing && !this.held) {
      this.time += passed * Number(this.speed.value);
      if (this.time > run.start + run.duration) this.time = run.start;
      this.version += 1;
      this.frames += 1;
    }
    const units = this.model.get("units"), colours = this.palette(), scope = this.model.get("scope");
    const at = sampleAt(run, this.time), pictures = [{ run, at, units, colours, pale: false }];
    if (before) pictures.unshift({ run: before, at: sampleAt(before, this.time), units, colours, pale: true });
    const root = scope ? this.el.closest(`.${scope}`) || document.querySelector(`.${scope}`) : document;
    for (const overlay of this.overlays) overlay.frame(root, pictures, this.version);
    Object.assign(this.box.dataset, { frames: this.frames, time: this.time.toFixed(3) });
    if (!this.told || (this.playing && now - this.told > 100)) { this.told = now; this.tell(at, units); }
  }

  end() {
    cancelAnimationFrame(this.request);
    this.ended.abort();
    this.observer.disconnect();
    for (const [name, handler] of Object.entries(this.watch)) this.model.off(`change:${name}`, handler);
    for (const overlay of this.overlays) overlay.remove();
    this.box.remove();
  }
}

const render = ({ model, el }) => { const player = new Player(model, el); return () => player.end(); };
export default { render };
