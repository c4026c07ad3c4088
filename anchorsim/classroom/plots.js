// What stays in each view, drawn as SVG by the player's pen from whichever runs are chosen.  The element has of a
// plot what the player's layer reads of one: a box, a drawing, and `_fullLayout` with its axes and its words.

import { SvgPen, measure } from "../player/pens.js";
import { point, sampleAt, shapeAt } from "../player/run.js";

const EDGE = { left: 46, right: 8, top: 26, foot: 22 };
const ROOMY = 40;          // px that she stays long from above where what lies round her is drawn with her
const LEAST_LONG = 20;     // px that she stays long wherever she drags to, if need be without where the anchor was set
const FROM_CORNER = 46;         // px from the corner to the middle of the wind arrow, as in views.js
const TYPE = 12;
const NAMES = { "anchorsim-view-above": "From above", "anchorsim-view-side": "From the side", "anchorsim-view-load": "Load and wind" };

const axis = (range, offset, length, up) => ({ range, _offset: offset, _length: length,
  d2p: (value) => length * (up ? range[1] - value : value - range[0]) / (range[1] - range[0]) });

// Round numbers for some marks along an axis.
function marks([low, high], count) {
  const least = (high - low) / count, ten = 10 ** Math.floor(Math.log10(least));
  const step = [1, 2, 5, 10].map((k) => k * ten).find((size) => size >= least), found = [];
  for (let k = Math.ceil(low / step); k * step <= high; k += 1) found.push(Number((k * step).toPrecision(10)));
  return found;
}

// A colour of ours made clearer; one of the system's own fills nothing.
const tint = (colour, share) => (colour[0] === "#" ? `${colour}${Math.round(255 * share).toString(16).padStart(2, "0")}` : "none");

export class Plot {
  constructor(box, view, page) {
    Object.assign(this, { box, view, page, shown: [] });
    box.className = `plot ${view} js-plotly-plot`;
    this.holder = box.appendChild(Object.assign(document.createElement("div"), { className: "svg-container" }));
    new ResizeObserver(() => this.draw()).observe(box);
  }

  show(shown) { this.shown = shown; this.draw(); }

  draw() {
    const { clientWidth: width, clientHeight: height } = this.box, { units, colours } = this.page;
    if (!this.shown.length || width < 80 || height < 60) return;
    const area = { left: EDGE.left, top: EDGE.top, width: width - EDGE.left - EDGE.right, height: height - EDGE.top - EDGE.foot };
    const pen = new SvgPen(), how = { units, colours, front: this.shown[0], several: this.shown.length > 1 };
    pen.words = (words, x, y, colour = colours.faint) => pen.text([{ text: words }], x, y, { size: TYPE, colour, halo: colours.paper });
    const axes = DRAW[this.view](pen, area, this.shown, how);
    this.title(pen, colours);
    this.box._fullLayout = { width, height, _size: { l: area.left, t: area.top, w: area.width, h: area.height },
      paper_bgcolor: colours.paper, ...axes };
    for (const old of this.holder.querySelectorAll(".main-svg")) old.remove();
    this.holder.insertAdjacentHTML("afterbegin", `<svg class="main-svg" aria-hidden="true" width="${width}" height="${height}" `
      + `viewBox="0 0 ${width} ${height}">${pen.markup}</svg>`);
  }

  // The view's name, and each boat's letter with her line.
  title(pen, colours) {
    pen.parts.push('<g class="gtitle">');
    const name = NAMES[this.view], after = EDGE.left - 26 + measure(name, 14, true);
    pen.text([{ text: name, bold: true }], EDGE.left - 40, 13, { size: 14, colour: colours.ink, halo: colours.paper });
    const letters = this.shown.filter((one) => one.letter).sort((a, b) => (a.letter < b.letter ? -1 : 1));
    for (const [k, one] of letters.entries()) {
      const x = after + 48 * k;
      pen.line([[x, 13], [x + 24, 13]], one.line(2.5));
      pen.text([{ text: one.letter, bold: true }], x + 28, 13, { size: TYPE, colour: colours.ink, halo: colours.paper });
    }
    pen.parts.push("</g>");
  }
}

const note = (text, x, y, how, colours, rank = "third") => ({ text, name: rank, x, y, xref: "x", yref: "y",
  font: { size: TYPE, color: colours.ink }, ...how });
const paper = { xref: "paper", yref: "paper" };

function frame(pen, { left, top, width, height }, colours, fill) {
  const corners = [[left, top], [left + width, top], [left + width, top + height], [left, top + height]];
  pen.line(corners, { close: true, fill, stroke: colours.faint, width: 1 });
}

// Numbers along the foot and up the left side, with lines through the picture.
function scales(pen, area, x, y, label, colours, fine = 6) {
  const foot = area.top + area.height;
  for (const value of fine ? marks(x.range, fine) : []) {
    const at = x._offset + x.d2p(value), words = `${value} ${label}`;
    pen.line([[at, area.top], [at, foot]], { stroke: colours.grid, width: 1 });
    if (at < area.left + area.width - 12) pen.words(words, at - 3.4 * words.length, foot + 11);
  }
  for (const value of marks(y.range, Math.max(2, Math.min(6, area.height / 40)))) {
    const at = y._offset + y.d2p(value), words = `${value} ${label}`;
    pen.line([[area.left, at], [area.left + area.width, at]], { stroke: colours.grid, width: 1 });
    pen.words(words, Math.max(1, area.left - 6 - 6.6 * words.length), at);
  }
}

function above(pen, area, shown, { units, colours, front, several }) {
  const factor = units.length.factor, long = front.run.scene.length;
  const box = (name) => [0, 1, 2, 3].map((k) => (k % 2 ? Math.max : Math.min)(...shown.map(({ run }) => run.scene[name][k])));
  const fits = ([south, north, west, east]) => 0.92 * Math.min(area.width / (east - west), area.height / (north - south));
  let limits = box("needs");
  for (const { ring } of [...front.run.scene.around].sort((a, b) => a.distance - b.distance)) {
    const [norths, easts] = [0, 1].map((k) => ring.map((corner) => corner[k]));
    const widened = [Math.min(limits[0], ...norths), Math.max(limits[1], ...norths), Math.min(limits[2], ...easts), Math.max(limits[3], ...easts)];
    if (fits(widened) * long >= ROOMY) limits = widened;
  }
  if (fits(limits) * long < LEAST_LONG) limits = box("swept");
  const scale = fits(limits), middle = [(limits[0] + limits[1]) / 2, (limits[2] + limits[3]) / 2];
  const range = (at, pixels) => [-0.5, 0.5].map((half) => (at + half * pixels / scale) * factor);
  const x = axis(range(middle[1], area.width), area.left, area.width), y = axis(range(middle[0], area.height), area.top, area.height, true);
  const place = ([north, east]) => [x._offset + x.d2p(east * factor), y._offset + y.d2p(north * factor)];
  frame(pen, area, colours, colours.water);
  scales(pen, area, x, y, units.length.label, colours);
  pen.begin(area);
  const danger = several ? colours.ink : colours.danger;
  for (const { ring } of front.run.scene.around)
    pen.line(ring.map(place), { close: true, stroke: danger, width: 2, fill: tint(danger, 0.15) });
  for (const one of [...shown].reverse()) {
    const { run } = one, colour = one.letter ? one.colour : colours.room, line = { ...one.line(2), stroke: colour, close: true };
    if (run.scene.room) pen.line(run.scene.room.map(place), { ...line, fill: one.front ? tint(colour, 0.12) : undefined });
    const times = Array.from({ length: Math.ceil(run.duration / 0.5) + 1 }, (_, k) => run.start + Math.min(0.5 * k, run.duration));
    pen.line(times.map((time) => sampleAt(run, time)).map((at) => place([at.bow_x, at.bow_y])), { ...one.line(1), alpha: 0.35 });
  }
  const anchor = place([0, 0]), { mean_wind: wind, wind_right: right } = front.run.scene;
  pen.stamp("M-11 0A11 11 0 1 0 11 0A11 11 0 1 0-11 0Z", ...anchor, 0, { stroke: colours.faint, width: 1 });
  const corner = [right ? area.left + area.width - FROM_CORNER : area.left + FROM_CORNER, area.top + FROM_CORNER];
  pen.stamp("M-5-26V12H-12L0 26L12 12H5V-26Z", ...corner, wind, { fill: tint(colours.wind, 0.5) });
  pen.end();
  const aside = { xanchor: right ? "right" : "left", xshift: (right ? -1 : 1) * (2 * FROM_CORNER - 10), yshift: 22 - FROM_CORNER };
  return { xaxis: x, yaxis: y, annotations: [
    note("<b>N ↑</b>", 1, 0, { ...paper, xanchor: "right", yanchor: "bottom" }, colours, "first"),
    note(`mean wind from ${point(wind)}`, right ? 1 : 0, 1, { ...paper, ...aside }, colours, "first wide"),
    note("anchor", 0, 0, { yanchor: "top", yshift: -12 }, colours, "second")] };
}

function side(pen, area, shown, { units, colours, front }) {
  const factor = units.length.factor, { scene } = front.run, bed = (x) => x * Math.tan(scene.slope) - scene.depth;
  const far = Math.max(...shown.map(({ run }) => run.scene.far)), across = [-0.08 * far, 1.04 * far];
  const deep = -Math.min(...shown.flatMap(({ run }) => [-run.scene.depth, across[1] * Math.tan(run.scene.slope) - run.scene.depth]));
  const high = Math.max(...[scene.profile.polygon, ...scene.profile.lines].flat().map(([, up]) => up)), least = Math.min(high, 5);
  const words = 2.6 * TYPE;
  const scale = Math.min(area.width / (across[1] - across[0]), (area.height - words) / (deep + least));
  const low = -deep - words / scale, wide = area.width / scale, middle = (across[0] + across[1]) / 2;
  const x = axis([middle - wide / 2, middle + wide / 2].map((v) => v * factor), area.left, area.width);
  const y = axis([low * factor, (low + area.height / scale) * factor], area.top, area.height, true);
  const place = ([along, up]) => [x._offset + x.d2p(along * factor), y._offset + y.d2p(up * factor)];
  frame(pen, area, colours, colours.paper);
  pen.begin(area);
  const ends = x.range.map((end) => end / factor), ground = ends.map((end) => place([end, bed(end)])), foot = area.top + area.height;
  const surface = ends.map((end) => place([end, 0]));
  pen.line([...surface, [surface[1][0], foot], [surface[0][0], foot]], { fill: colours.water, close: true });
  pen.line([...ground, [ground[1][0], foot], [ground[0][0], foot]], { fill: colours.bottom, stroke: colours.ink, width: 1, close: true });
  pen.line(surface, { stroke: colours.load, width: 1.5 });
  pen.end();
  scales(pen, area, x, y, units.length.label, colours);
  pen.begin(area);
  const taut = [];
  for (const one of [...shown].reverse()) {
    const { run } = one, peak = sampleAt(run, run.scene.peak_time);
    const rode = shapeAt(run.rode, peak.distance).map(([along, up]) => [along, up - run.scene.depth]);
    pen.line(rode.map(place), { ...one.line(1.5), alpha: 0.55 });
    if (run.scene.depth !== scene.depth || run.scene.slope !== scene.slope)
      pen.line(ends.map((end) => place([end, end * Math.tan(run.scene.slope) - run.scene.depth])), { ...one.line(1), alpha: 0.6 });
    if (one.front) taut.push(...rode);
  }
  pen.stamp("M-8 0L5-7V7Z", ...place([0, -scene.depth]), 0, { fill: colours.ink });
  pen.end();
  const [along, up] = taut[Math.floor(0.62 * taut.length)], edge = { xref: "paper", xanchor: "right", yanchor: "top" };
  return { xaxis: x, yaxis: y, annotations: [
    note("at peak load", along * factor, up * factor, { xanchor: "left", yanchor: "top", font: { size: TYPE, color: colours.faint } }, colours, "second"),
    note("bottom", 1, bed(ends[1]) * factor, edge, colours), note("water", 1, 0, edge, colours)] };
}

function load(pen, area, shown, { units, colours, front, several }) {
  const { run } = front, { holding, weakest } = run.scene, { time, force, speed } = units;
  const upper = { ...area, height: 0.66 * area.height }, lower = { ...area, top: area.top + 0.74 * area.height, height: 0.26 * area.height };
  const column = (one, c) => Array.from({ length: one.n }, (_, k) => one.data[k * one.width + c]);
  const most = Math.max(...shown.map(({ run: one }) => one.scene.peak_load)), windiest = Math.max(...column(run, 6)) * speed.factor;
  const limits = [holding[2], ...(weakest ? [weakest.wll] : [])].filter((limit) => limit < 2 * most);
  const top = 1.12 * Math.max(most, ...limits);
  const x = axis([run.start, run.start + run.duration].map((v) => v * time.factor), area.left, area.width);
  const y = axis([0, top * force.factor], upper.top, upper.height, true), y2 = axis([0, 1.15 * windiest], lower.top, lower.height, true);
  frame(pen, upper, colours, colours.paper);
  scales(pen, upper, x, y, force.label, colours, 0);
  frame(pen, lower, colours, colours.paper);
  for (const value of marks(x.range, 6)) {
    const at = x._offset + x.d2p(value), words = `${value} ${time.label}`;
    if (at < area.left + area.width - 12) pen.words(words, at - 3.2 * words.length, area.top + area.height + 11);
  }
  const mark = Math.max(10 * Math.floor(windiest / 10), 5);
  pen.words(`${mark} ${speed.label}`, 8, y2._offset + y2.d2p(mark));
  const line = (one, c, scale, factor, how) => pen.line(column(one, c).map((value, k) => [
    x._offset + x.d2p((one.start + k * one.step) * time.factor), scale._offset + scale.d2p(value * factor)]), how);
  const level = (value) => [[area.left, y._offset + y.d2p(value * force.factor)], [area.left + area.width, y._offset + y.d2p(value * force.factor)]];
  pen.begin(upper);
  const held = several ? front.colour : colours.holding;
  pen.line([...level(holding[0]), ...level(holding[2]).reverse()], { close: true, fill: tint(held, 0.16), stroke: held, width: 1 });
  pen.line(level(holding[1]), { stroke: held, width: 1 });
  if (weakest) pen.line(level(weakest.wll), { stroke: several ? front.colour : colours.limit, width: 2, dash: [12, 4, 2, 4] });
  if (!several) line(run, 4, y, force.factor, { stroke: colours.load, width: 1, dash: [2, 3], alpha: 0.75 });
  for (const one of [...shown].reverse()) line(one.run, 3, y, force.factor, { ...one.line(1.5), stroke: one.letter ? one.colour : colours.load });
  pen.end();
  line(run, 6, y2, speed.factor, { stroke: several ? colours.faint : colours.wind, width: 1 });
  const words = [[run.scene.said.holding[units.name], holding[2], 0], ...(weakest ? [[run.scene.said.weakest[units.name], weakest.wll, 1]] : [])];
  return { xaxis: x, yaxis: y, yaxis2: y2, annotations: words.map(([said, value, end]) => {
    const whose = front.letter ? `${front.letter}: ` : "", where = { xref: "paper", xanchor: end ? "right" : "left" };
    return value < top ? note(`${whose}${said}`, end, value * force.factor, { ...where, yanchor: "bottom" }, colours, "first")
      : note(`${whose}↑ ${said}`, end, 1, { ...where, yref: "paper", yanchor: "top" }, colours, "first");
  }) };
}

const DRAW = { "anchorsim-view-above": above, "anchorsim-view-side": side, "anchorsim-view-load": load };
