// One clock for the four views: plotly draws what stays, this module draws what moves, on a canvas
// over each plot.  Everything arrives through the model (see player.py for the packed layout).

const COLUMNS = ["x", "y", "heading", "bow_load", "anchor_load", "angle_at_anchor",
                 "wind_speed", "wind_direction", "anchor_x", "anchor_y"];
const SPEEDS = [1, 2, 5, 10, 20];
const TRAIL = 60;        // seconds of the bow's track drawn behind her
const ARROW = 46;        // px from the plot's corner to the middle of the wind arrow, as in figures/above.py
const THINNEST = 0.3;    // least foreshortening seen from the side, as in figures/side.py
const FONT = "12px system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif";
const DEGREE = 180 / Math.PI;

// ---------------------------------------------------------------- the run

// A copy, because the bytes of a message need not start on a multiple of four.
const floats = (view, from) => new Float32Array(
  view.buffer.slice(view.byteOffset + from, view.byteOffset + view.byteLength));

function decode(run, shapes, scene) {
  if (!run || run.byteLength < 20 || !scene || !scene.bow) return null;
  const width = run.getUint32(8, true);
  const found = { n: run.getUint32(4, true), width, start: run.getFloat32(12, true),
                  step: run.getFloat32(16, true), data: floats(run, 20), scene };
  found.duration = (found.n - 1) * found.step;
  if (shapes && shapes.byteLength > 12) {
    const n = shapes.getUint32(4, true), m = shapes.getUint32(8, true), all = floats(shapes, 12);
    found.rode = { n, m, distance: all.subarray(0, n), x: all.subarray(n, n + n * m), z: all.subarray(n + n * m) };
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
  const ahead = run.scene.bow[0];
  at.bow_x = at.x + ahead * Math.cos(at.heading);
  at.bow_y = at.y + ahead * Math.sin(at.heading);
  at.distance = Math.hypot(at.bow_x - at.anchor_x, at.bow_y - at.anchor_y);
  return at;
}

// The rode at a distance: linear between rows of the table, stretched beyond its ends.
function shapeAt({ n, m, distance, x, z }, reach) {
  const within = Math.min(Math.max(reach, distance[0]), distance[n - 1]);
  let above = 1;
  while (above < n - 1 && distance[above] < within) above += 1;
  const share = (within - distance[above - 1]) / (distance[above] - distance[above - 1]);
  const stretch = within > 0 ? reach / within : 1, points = [];
  for (let k = 0; k < m; k += 1) {
    const low = (above - 1) * m + k, high = above * m + k;
    points.push([stretch * (x[low] + share * (x[high] - x[low])), z[low] + share * (z[high] - z[low])]);
  }
  return points;
}

function peakTime(run) {
  let best = 0;
  const load = COLUMNS.indexOf("bow_load");
  for (let i = 1; i < run.n; i += 1) if (run.data[i * run.width + load] > run.data[best * run.width + load]) best = i;
  return run.start + best * run.step;
}

// ---------------------------------------------------------------- drawing on a plot

// From SI values to pixels of the plot, by the axes as they are at this moment.
function plane(layout, xname, yname, xfactor, yfactor) {
  const X = layout[xname], Y = layout[yname];
  const [x0, x1] = X.range.map(Number), [y0, y1] = Y.range.map(Number);
  return { left: X._offset, top: Y._offset, width: X._length, height: Y._length,
           x: (v) => X._offset + X._length * (v * xfactor - x0) / (x1 - x0),
           y: (v) => Y._offset + Y._length * (1 - (v * yfactor - y0) / (y1 - y0)) };
}

function clip(pen, { left, top, width, height }) {
  pen.beginPath();
  pen.rect(left, top, width, height);
  pen.clip();
}

function trace(pen, points, close) {
  pen.beginPath();
  points.forEach(([x, y], k) => (k ? pen.lineTo(x, y) : pen.moveTo(x, y)));
  if (close) pen.closePath();
}

function write(pen, text, x, y, colours, align = "left") {
  pen.font = FONT;
  pen.textAlign = align;
  pen.textBaseline = "middle";
  pen.lineWidth = 4;
  pen.lineJoin = "round";
  pen.setLineDash([]);
  pen.strokeStyle = colours.paper;
  pen.strokeText(text, x, y);
  pen.fillStyle = colours.ink;
  pen.fillText(text, x, y);
}

function outline(pen, shape, place, colours, pale) {
  trace(pen, shape.polygon.map(place), true);
  pen.fillStyle = colours.hull;
  if (!pale) pen.fill();
  pen.stroke();
  pen.lineWidth = pale ? 1 : 1.2;
  for (const line of shape.lines) { trace(pen, line.map(place)); pen.stroke(); }
}

function pencil(pen, colours, pale, width) {
  pen.strokeStyle = pale ? colours.before : colours.ink;
  pen.lineWidth = pale ? 1.2 : width;
  pen.setLineDash(pale ? [5, 4] : []);
  pen.lineJoin = "round";
}

function drawAnchor(pen, x, y, colours, pale) {
  pencil(pen, colours, pale, 2);
  pen.beginPath();
  pen.moveTo(x, y - 8); pen.lineTo(x, y + 6);
  pen.moveTo(x - 4, y - 4); pen.lineTo(x + 4, y - 4);
  pen.moveTo(x - 6, y + 1); pen.quadraticCurveTo(x - 5, y + 6, x, y + 6);
  pen.quadraticCurveTo(x + 5, y + 6, x + 6, y + 1);
  pen.stroke();
}

function drawWind(pen, left, top, at, colours) {
  const x = left + ARROW, y = top + ARROW, half = 26;
  const dx = -Math.sin(at.wind_direction), dy = Math.cos(at.wind_direction);   // where it blows to, on screen
  const tip = [x + half * dx, y + half * dy], tail = [x - half * dx, y - half * dy];
  pen.setLineDash([]);
  pen.strokeStyle = pen.fillStyle = colours.ink;
  pen.lineWidth = 2;
  trace(pen, [tail, [x + (half - 6) * dx, y + (half - 6) * dy]]);
  pen.stroke();
  trace(pen, [tip, [tip[0] - 10 * dx - 5 * dy, tip[1] - 10 * dy + 5 * dx], [tip[0] - 10 * dx + 5 * dy, tip[1] - 10 * dy - 5 * dx]], true);
  pen.fill();
}

function drawTrail(pen, on, run, at, colours) {
  const first = Math.max(run.start, at.time - TRAIL), pieces = 4, step = Math.max(0.5, run.step);
  pen.setLineDash([]);
  pen.strokeStyle = colours.load;
  pen.lineWidth = 2;
  for (let p = 0; p < pieces; p += 1) {
    const from = first + (at.time - first) * p / pieces, to = first + (at.time - first) * (p + 1) / pieces;
    const points = [];
    for (let t = from; t < to; t += step) { const s = sampleAt(run, t); points.push([on.x(s.bow_y), on.y(s.bow_x)]); }
    const s = sampleAt(run, to);
    points.push([on.x(s.bow_y), on.y(s.bow_x)]);
    pen.globalAlpha = (p + 1) / pieces;
    trace(pen, points);
    pen.stroke();
  }
  pen.globalAlpha = 1;
}

const VIEWS = {
  "anchorsim-view-above"(pen, layout, { run, at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor);
    clip(pen, on);
    if (!pale) drawTrail(pen, on, run, at, colours);
    const bow = [on.x(at.bow_y), on.y(at.bow_x)], anchor = [on.x(at.anchor_y), on.y(at.anchor_x)];
    pencil(pen, colours, pale, 1.5);
    trace(pen, [anchor, bow]);
    pen.stroke();
    drawAnchor(pen, ...anchor, colours, pale);
    const cos = Math.cos(at.heading), sin = Math.sin(at.heading);
    pencil(pen, colours, pale, 1.8);
    outline(pen, run.scene.plan, ([ahead, starboard]) => [
      on.x(at.y + ahead * sin + starboard * cos), on.y(at.x + ahead * cos - starboard * sin)], colours, pale);
    if (!pale) drawWind(pen, on.left, on.top, at, colours);
    return { north: at.bow_x, east: at.bow_y, px: bow[0], py: bow[1] };
  },

  "anchorsim-view-side"(pen, layout, { run, at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor);
    clip(pen, on);
    const { depth, bow, profile } = run.scene, bed = on.y(-depth);
    pencil(pen, colours, pale, 2.5);
    if (run.rode) {
      trace(pen, shapeAt(run.rode, at.distance).map(([x, z]) => [on.x(x), on.y(z - depth)]));
      pen.stroke();
    }
    const toAnchor = Math.atan2(at.anchor_y - at.bow_y, at.anchor_x - at.bow_x), c = Math.cos(at.heading - toAnchor);
    const look = (c < 0 ? -1 : 1) * Math.max(Math.abs(c), THINNEST);
    pencil(pen, colours, pale, 1.8);
    outline(pen, profile, ([ahead, up]) => [on.x(at.distance + (bow[0] - ahead) * look), on.y(up)], colours, pale);
    const lift = at.angle_at_anchor * DEGREE;
    if (!pale) write(pen, `lift at the anchor now ${lift.toFixed(0)}°`, on.x(0) + 4, bed + 12, colours);
    return { distance: at.distance, lift, px: on.x(at.distance), py: on.y(bow[1]) };
  },

  "anchorsim-view-load"(pen, layout, { at, units, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", units.time.factor, units.force.factor);
    const wind = plane(layout, "xaxis", "yaxis2", units.time.factor, units.speed.factor);
    const px = on.x(at.time), py = on.y(at.bow_load);
    clip(pen, { ...on, height: wind.top + wind.height - on.top });
    pencil(pen, colours, pale, 1.2);
    if (!pale) { trace(pen, [[px, on.top], [px, wind.top + wind.height]]); pen.stroke(); }
    for (const [y, colour] of pale ? [[py, colours.before]] : [[py, colours.load], [wind.y(at.wind_speed), colours.wind]]) {
      pen.beginPath();
      pen.arc(px, y, 5, 0, 2 * Math.PI);
      pen.fillStyle = pale ? colours.paper : colour;
      pen.fill();
      pen.stroke();
    }
    if (!pale) {
      const right = px < on.left + on.width / 2;
      write(pen, `${amount(at.bow_load, units.force)} now`, px + (right ? 10 : -10), py - 10, colours, right ? "left" : "right");
    }
    return { load: at.bow_load, wind: at.wind_speed, px, py };
  },

  "anchorsim-view-parts"(pen, layout, { run, at, colours }, pale) {
    const on = plane(layout, "xaxis", "yaxis", 1, 1);
    if (pale) return {};
    clip(pen, on);
    const needles = run.scene.parts.map((part) =>
      100 * part.share * (part.at === "anchor" ? at.anchor_load : at.bow_load) / part.working_load);
    pen.fillStyle = colours.ink;
    pen.strokeStyle = colours.paper;
    pen.lineWidth = 1.5;
    needles.forEach((level, row) => {
      const x = on.x(level), top = on.y(row - 0.02), bottom = on.y(row + 0.42);
      trace(pen, [[x - 5, top - 5], [x + 5, top - 5], [x + 2, top + 2], [x + 2, bottom], [x - 2, bottom], [x - 2, top + 2]], true);
      pen.stroke();
      pen.fill();
    });
    return { needles: needles.map((v) => v.toFixed(2)).join(" "), px: needles.length ? on.x(needles[0]) : 0 };
  },
};

const amount = (value, unit, digits = 3) => {
  const shown = value * unit.factor;
  return `${Number(shown.toPrecision(digits)).toLocaleString("en", { maximumFractionDigits: 2 })} ${unit.label}`;
};

// One canvas over one plot, wherever the plot is now: figures come late, go, and are drawn anew.
class Overlay {
  constructor(view) {
    this.view = view;
    this.canvas = document.createElement("canvas");
    this.canvas.className = `anchorsim-overlay ${view}-overlay`;
    this.canvas.setAttribute("aria-hidden", "true");
    this.canvas.style.cssText = "position:absolute;left:0;top:0;pointer-events:none;z-index:5";
    this.drawn = "";
  }

  plot(root) {
    if (this.gd?.isConnected && this.gd._fullLayout && root.contains(this.gd)) return this.gd;
    const box = root.matches?.(`.${this.view}`) ? root : root.querySelector(`.${this.view}`);
    this.gd = box && (box.matches(".js-plotly-plot") ? box : box.querySelector(".js-plotly-plot"));
    return this.gd?._fullLayout ? this.gd : null;
  }

  frame(root, pictures, version) {
    const gd = root && this.plot(root), holder = gd?.querySelector(".svg-container"), layout = gd?._fullLayout;
    if (!holder || !layout.xaxis?._length || !layout.yaxis?._length || !pictures.length) return this.remove();
    if (this.canvas.parentNode !== holder) { holder.appendChild(this.canvas); this.drawn = ""; }
    const sharp = window.devicePixelRatio || 1, { width, height } = layout, axes = [layout.xaxis, layout.yaxis, layout.yaxis2];
    const wanted = [version, width, height, sharp, ...axes.map((a) => a && [a.range, a._offset, a._length])].join();
    if (wanted === this.drawn) return;
    this.drawn = wanted;
    if (this.canvas.width !== Math.round(width * sharp) || this.canvas.height !== Math.round(height * sharp)) {
      this.canvas.width = Math.round(width * sharp);
      this.canvas.height = Math.round(height * sharp);
      this.canvas.style.width = `${width}px`;
      this.canvas.style.height = `${height}px`;
    }
    const pen = this.canvas.getContext("2d");
    pen.setTransform(sharp, 0, 0, sharp, 0, 0);
    pen.clearRect(0, 0, width, height);
    for (const picture of pictures) {
      pen.save();
      const facts = VIEWS[this.view](pen, layout, picture, picture.pale);
      pen.restore();
      if (!picture.pale) Object.assign(this.canvas.dataset, facts, { time: picture.at.time.toFixed(3) });
    }
  }

  remove() { this.canvas.remove(); this.drawn = ""; }
}

// ---------------------------------------------------------------- controls

const STYLE = `
.anchorsim-player { --ink:#1B2A38; --paper:#fff; --faint:#586876; box-sizing:border-box; color:var(--ink); background:var(--paper);
  font:14px system-ui,'Segoe UI','Noto Sans','DejaVu Sans',Arial,sans-serif; padding:6px 8px; }
.anchorsim-player div { display:flex; flex-wrap:wrap; gap:6px 10px; align-items:center; }
.anchorsim-player button, .anchorsim-player select { font:inherit; color:inherit; background:transparent; border:1px solid var(--faint);
  border-radius:4px; min-height:32px; padding:2px 10px; }
.anchorsim-player select option { color:#1B2A38; background:#fff; }
.anchorsim-player .toggle { min-width:76px; font-weight:600; }
.anchorsim-player input { flex:1 1 160px; min-width:120px; accent-color:var(--faint); }
.anchorsim-player :focus-visible, .anchorsim-player:focus-visible { outline:3px solid var(--ink); outline-offset:2px; }
.anchorsim-player output { display:flex; flex-wrap:wrap; gap:2px 18px; margin-top:4px; font-variant-numeric:tabular-nums; }
.anchorsim-player output b { font-weight:600; }`;

const HTML = `<style>${STYLE}</style><div role="group" aria-label="Player">
<button type="button" class="toggle">Play</button>
<button type="button" class="back" aria-label="One second back">− 1 s</button>
<button type="button" class="on" aria-label="One second on">+ 1 s</button>
<button type="button" class="peak">Greatest load</button>
<input type="range" min="0" step="0.1" aria-label="Time in the run">
<label>Speed <select aria-label="Speed of play">${SPEEDS.map((s) => `<option value="${s}">${s}×</option>`).join("")}</select></label>
</div><output aria-live="off"></output>`;

const minutes = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;

function readout(at, run, units) {
  const heading = ((at.heading * DEGREE) % 360 + 360) % 360, from = ((at.wind_direction * DEGREE) % 360 + 360) % 360;
  return [["time", `${minutes(at.time - run.start)} of ${minutes(run.duration)}`],
          ["load at the bow", amount(at.bow_load, units.force)],
          ["lift at the anchor", `${(at.angle_at_anchor * DEGREE).toFixed(0)}°`],
          ["wind", `${amount(at.wind_speed, units.speed, 2)} from ${from.toFixed(0)}°`],
          ["heading", `${heading.toFixed(0)}°`]];
}

const darkNow = () => {
  const lab = document.body.dataset.jpThemeLight;
  return lab === undefined ? matchMedia("(prefers-color-scheme: dark)").matches : lab === "false";
};

function render({ model, el }) {
  const player = document.createElement("section");
  player.className = "anchorsim-player";
  player.tabIndex = 0;
  player.setAttribute("aria-label", "Player of the run: space plays and pauses, the arrow keys step one second");
  player.dataset.lmSuppressShortcuts = "true";     // the notebook's own keys stay out of here
  player.innerHTML = HTML;
  el.appendChild(player);
  const part = (name) => player.querySelector(name);
  const toggle = part(".toggle"), scrubber = part("input"), speed = part("select"), output = part("output");
  const overlays = Object.keys(VIEWS).map((view) => new Overlay(view));

  let run = null, before = null, time = 0, playing = false, held = false, dark = false, stale = true;
  let last = 0, told = 0, version = 0, frames = 0, request = 0;

  function load() {
    stale = false;
    const share = run ? (time - run.start) / run.duration : 0;
    run = decode(model.get("run"), model.get("shapes"), model.get("scene"));
    before = decode(model.get("run_before"), model.get("shapes_before"), model.get("scene_before"));
    if (run) {
      time = run.start + share * run.duration;
      scrubber.max = run.duration;
    }
    Object.assign(player.dataset, { samples: run ? run.n : 0, run: model.get("run_id") });
    changed();
  }
  const changed = () => { version += 1; told = 0; };
  const go = (to) => {
    if (!run) return;
    time = Math.min(Math.max(to, run.start), run.start + run.duration);
    changed();
  };
  function play(on) {
    playing = on;
    toggle.textContent = on ? "Pause" : "Play";
    output.setAttribute("aria-live", on ? "off" : "polite");
    player.dataset.playing = on;
    changed();
  }
  function dress() {
    dark = darkNow();
    const colours = model.get("colours")?.[dark ? "dark" : "light"];
    if (colours) for (const name of ["ink", "paper", "faint"]) player.style.setProperty(`--${name}`, colours[name]);
    if (model.get("dark") !== dark) { model.set("dark", dark); model.save_changes(); }
    changed();
  }
  function tell(at, units) {
    output.replaceChildren(...readout(at, run, units).map(([name, value]) => {
      const span = document.createElement("span"), strong = document.createElement("b");
      strong.textContent = value;
      span.append(`${name} `, strong);
      return span;
    }));
    if (!held) scrubber.value = at.time - run.start;
    scrubber.setAttribute("aria-valuetext", `${minutes(at.time - run.start)} of ${minutes(run.duration)}`);
  }

  function frame(now) {
    request = requestAnimationFrame(frame);
    if (stale) load();
    const passed = Math.min((now - last) / 1000, 0.25);
    last = now;
    if (!run) return;
    if (playing && !held) {
      time += passed * Number(speed.value);
      if (time > run.start + run.duration) time = run.start;
      version += 1;
      frames += 1;
    }
    const units = model.get("units"), colours = model.get("colours")[dark ? "dark" : "light"];
    const at = sampleAt(run, time), pictures = [{ run, at, units, colours, pale: false }];
    if (before) pictures.unshift({ run: before, at: sampleAt(before, time), units, colours, pale: true });
    const scope = model.get("scope");
    const root = scope ? el.closest(`.${scope}`) || document.querySelector(`.${scope}`) : document;
    for (const overlay of overlays) overlay.frame(root, pictures, version);
    Object.assign(player.dataset, { frames, time: time.toFixed(3) });
    if (!told || (playing && now - told > 100)) { told = now; tell(at, units); }
  }

  const KEYS = { ArrowLeft: -1, ArrowRight: 1, ArrowDown: -1, ArrowUp: 1, PageDown: -10, PageUp: 10, Home: -1e9, End: 1e9 };
  player.addEventListener("keydown", (event) => {
    if (event.target === speed || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key in KEYS) go(time + KEYS[event.key]);
    else if (event.key === " " && event.target.tagName !== "BUTTON") play(!playing);
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  toggle.addEventListener("click", () => play(!playing));
  part(".back").addEventListener("click", () => go(time - 1));
  part(".on").addEventListener("click", () => go(time + 1));
  part(".peak").addEventListener("click", () => { if (run) { play(false); go(peakTime(run)); } });
  scrubber.addEventListener("pointerdown", () => { held = true; });
  scrubber.addEventListener("input", () => run && go(run.start + Number(scrubber.value)));
  scrubber.addEventListener("change", () => { held = false; });
  scrubber.addEventListener("pointerup", () => { held = false; });

  const watch = { "change:seek": () => go(model.get("seek")), "change:speed": pick, "change:colours": dress };
  for (const name of ["run", "shapes", "scene", "run_before", "shapes_before", "scene_before", "units", "run_id"])
    watch[`change:${name}`] = () => { stale = true; };
  for (const [event, handler] of Object.entries(watch)) model.on(event, handler);
  function pick() { speed.value = SPEEDS.includes(model.get("speed")) ? model.get("speed") : 5; }

  const preference = matchMedia("(prefers-color-scheme: dark)"), observer = new MutationObserver(dress);
  preference.addEventListener("change", dress);
  observer.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
  pick();
  dress();
  play(model.get("autoplay") && !matchMedia("(prefers-reduced-motion: reduce)").matches);
  request = requestAnimationFrame((now) => { last = now; frame(now); });

  return () => {
    cancelAnimationFrame(request);
    for (const [event, handler] of Object.entries(watch)) model.off(event, handler);
    preference.removeEventListener("change", dress);
    observer.disconnect();
    for (const overlay of overlays) overlay.remove();
    player.remove();
  };
}

export default { render };
