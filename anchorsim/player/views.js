// The four views: plotly draws what stays, these draw what moves, each with any pen, and say where words go.

import { WIDE, about, besides } from "./labels.js";
import { DEGREE, amount, degrees, minutes, point, shapeAt, trail } from "./run.js";

const ARROW = 46;        // px from the plot's corner to the middle of the wind arrow, as in figures/above.py
const TRAIL = 60;        // seconds of the bow's track drawn behind her
const THINNEST = 0.3;    // least foreshortening seen from the side, as in figures/side.py
const HANDLE = 12;       // px from the edge to the ring by which what lies beyond is moved, as in parts/around.js
const INSET = 10;        // px from the edge of the plot to the marks for what lies beyond
const ANCHOR = "M0-8V6M-4-4H4M-6 1Q-5 6 0 6Q5 6 6 1";
const DOT = "M-5 0A5 5 0 1 0 5 0A5 5 0 1 0-5 0Z";
const WIND = "M0-26V20M0 26L-5 15H5Z";      // down the screen: a wind from the north
const BEYOND = "M0-8L6 5H-6Z";              // up the screen: north of here
const NEEDLE = "M0 0L5-8H-5Z";

// From SI values to pixels of the plot, by the axes as they are at this moment.
function plane(layout, xname, yname, xfactor, yfactor) {
  const X = layout[xname], Y = layout[yname];
  const [x0, x1] = X.range.map(Number), [y0, y1] = Y.range.map(Number);
  return { left: X._offset, top: Y._offset, width: X._length, height: Y._length,
           x: (v) => X._offset + X._length * (v * xfactor - x0) / (x1 - x0),
           y: (v) => Y._offset + Y._length * (1 - (v * yfactor - y0) / (y1 - y0)) };
}

function boxOf(points) {
  const xs = points.map(([x]) => x), ys = points.map(([, y]) => y);
  return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys) };
}

// From stem to stern in pixels.
const lengthOf = (points) => Math.max(...points.map(([x, y]) => Math.hypot(x - points[0][0], y - points[0][1])));

const inside = ([x, y], on) => x > on.left && x < on.left + on.width && y > on.top && y < on.top + on.height;

// Her outline: whole in front, only the hull of those that she is compared with.
function hull(pen, shape, place, one, colours) {
  const points = shape.polygon.map(place);
  pen.line(points, { ...one.line(1.8), fill: colours.hull, close: true, alpha: one.front ? 1 : 0.85 });
  if (one.front) for (const more of shape.lines) pen.line(more.map(place), { ...one.line(1.2), dash: [] });
  return points;
}

const letterOf = (one, spot, size, avoid) => (one.letter ? [{ id: `letter ${one.letter}`, text: `<b>${one.letter}</b>`,
  size: size + 2, rank: 5, colour: one.colour, must: true, avoid, places: [{ ...spot, ax: 0.5 }, ...about(spot, size)] }] : []);

// What is said of each set-up in one line: "A 4°  B 7°", or for one alone "4°".
const each = (shown, say) => [...shown].sort((a, b) => (a.letter < b.letter ? -1 : 1))
  .map((one) => `${one.letter ? `${one.letter} ` : ""}${say(one)}`).join("   ");

function wind(pen, on, front, { units, colours, scale, size }) {
  const right = front.run.scene.wind_right, inwards = right ? -1 : 1, edge = right ? on.left + on.width : on.left;
  const x = edge + inwards * ARROW * scale, y = on.top + ARROW * scale;
  pen.stamp(WIND, x, y, front.at.wind_direction, { stroke: colours.ink, fill: colours.ink, width: front.width(2), size: scale });
  const narrow = on.width < 0.9 * WIDE * size;  // the arrow tells it, and the boat is not to lie under words
  const words = { x: edge + inwards * (2 * ARROW - 10) * scale, y: y - 4 * scale, ax: right ? 1 : 0 };
  return { id: "wind", rank: 0, must: true, size, colour: colours.ink,
    text: `<b>now ${amount(front.at.wind_speed, units.speed, 2)}</b>${narrow ? "" : ` from ${degrees(front.at.wind_direction)}°`}`,
    places: [0, 1, 2].map((row) => ({ ...words, y: words.y + 1.3 * size * row })) };
}

// Names of what lies round her; what lies beyond the plot is pointed to from its edge.
function around(pen, on, front, { units, colours, scale, size }) {
  const middle = [on.left + on.width / 2, on.top + on.height / 2], found = [];
  const { anchor_x, anchor_y, bow_x, bow_y } = front.at;
  const anchor = { name: "Anchor", ring: [[anchor_x, anchor_y]], distance: front.at.distance,
    bearing: Math.atan2(anchor_y - bow_y, anchor_x - bow_x), drawn: true };
  const all = [...front.run.scene.around, anchor];
  const rings = all.map(({ ring }) => ring.map(([north, east]) => [on.x(east), on.y(north)])), boxes = rings.map(boxOf);
  for (const [k, { name, distance, bearing, drawn }] of all.entries()) {
    const points = rings[k];
    const centre = [0, 1].map((axis) => points.reduce((sum, spot) => sum + spot[axis], 0) / points.length);
    const label = { id: `around ${k}`, rank: 0.5, must: true, widest: 0.6, size, colour: colours.ink };
    if (inside(centre, on)) {
      if (!drawn) found.push({ ...label, text: text(name), places: besides(boxes[k], 4),
        avoid: boxes.filter((_, other) => other !== k) });
      continue;
    }
    const [dx, dy] = [centre[0] - middle[0], centre[1] - middle[1]];
    const share = Math.min((on.width / 2 - INSET) / Math.abs(dx), (on.height / 2 - INSET) / Math.abs(dy));
    const [x, y] = [middle[0] + share * dx, middle[1] + share * dy];
    pen.stamp(BEYOND, x, y, Math.atan2(dx, -dy), { stroke: colours.paper, fill: colours.ink, width: 1, size: scale });
    const [left, top] = [[centre[0], on.left, on.width], [centre[1], on.top, on.height]]
      .map(([at, from, length]) => Math.min(Math.max(at, from + HANDLE), from + length - HANDLE));
    const avoid = [[x, y, INSET], [left, top, HANDLE]].map(([px, py, r]) => ({ x0: px - r, x1: px + r, y0: py - r, y1: py + r }));
    found.push({ ...label, rank: 0.7, places: about({ x, y }, 10 * scale, 1.3 * size), avoid,
      text: text(`${name}, ${amount(distance, units.length, 2)} ${point(bearing)}`) });
  }
  return found;
}

const text = (words) => words.replace(/[&<>]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;" })[c]);

export const VIEWS = {
  "anchorsim-view-above": {
    name: "From above",
    file: "from-above",
    draw(pen, layout, frame) {
      const { shown, front, units, colours, size, scale } = frame, on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor);
      const labels = [], things = [];
      pen.begin(on);
      for (const one of [...shown].reverse()) {
        const { run, at } = one, way = trail(run, at.time, TRAIL).map(([north, east]) => [on.x(east), on.y(north)]);
        for (let p = 0; p < 4; p += 1)
          pen.line(way.slice(Math.floor(way.length * p / 4), Math.floor(way.length * (p + 1) / 4) + 1),
            { stroke: one.letter ? one.colour : colours.load, width: one.width(2), alpha: (p + 1) / 4 });
        const bow = [on.x(at.bow_y), on.y(at.bow_x)], anchor = [on.x(at.anchor_y), on.y(at.anchor_x)];
        pen.line([anchor, bow], one.line(1.5));
        pen.stamp(ANCHOR, ...anchor, 0, { stroke: one.colour, width: one.width(1.5), size: scale });
        const cos = Math.cos(at.heading), sin = Math.sin(at.heading);
        const points = hull(pen, run.scene.plan, ([ahead, starboard]) => [
          on.x(at.y + ahead * sin + starboard * cos), on.y(at.x + ahead * cos - starboard * sin)], one, colours);
        const astern = run.scene.length / 2 + (size + 2) * run.scene.length / lengthOf(points);
        things.push(boxOf(points));
        labels.push(...letterOf(one, { x: on.x(at.y - astern * sin), y: on.y(at.x - astern * cos) }, size, things));
      }
      labels.push(wind(pen, on, front, frame), ...around(pen, on, front, frame));
      pen.end();
      const { at } = front, long = front.run.scene.length * units.length.factor * on.width / (layout.xaxis.range[1] - layout.xaxis.range[0]);
      return { on, labels, facts: { north: at.bow_x, east: at.bow_y, px: on.x(at.bow_y), py: on.y(at.bow_x), long } };
    },
    tell: ({ at }, units) => `Bow ${amount(at.distance, units.length, 2)} ${
      point(Math.atan2(at.bow_y - at.anchor_y, at.bow_x - at.anchor_x))} of the anchor, heading ${degrees(at.heading)}°. Wind ${
      amount(at.wind_speed, units.speed, 2)} from ${degrees(at.wind_direction)}°.`,
  },

  "anchorsim-view-side": {
    name: "From the side",
    file: "from-the-side",
    draw(pen, layout, { shown, front, units, colours, size, scale }) {
      const on = plane(layout, "xaxis", "yaxis", units.length.factor, units.length.factor), labels = [], things = [];
      pen.begin(on);
      for (const one of [...shown].reverse()) {
        const { at, run } = one, { depth, bow, profile } = run.scene;
        if (run.rode) pen.line(shapeAt(run.rode, at.distance).map(([x, z]) => [on.x(x), on.y(z - depth)]), one.line(2.5));
        const toAnchor = Math.atan2(at.anchor_y - at.bow_y, at.anchor_x - at.bow_x), c = Math.cos(at.heading - toAnchor);
        const look = (c < 0 ? -1 : 1) * Math.max(Math.abs(c), THINNEST);
        const box = boxOf(hull(pen, profile, ([ahead, up]) => [on.x(at.distance + (bow[0] - ahead) * look), on.y(up)], one, colours));
        things.push(box);
        labels.push(...letterOf(one, { x: (box.x0 + box.x1) / 2, y: box.y0 - size }, size, things));
      }
      pen.end();
      const lift = (one) => one.at.angle_at_anchor * DEGREE, { at, run } = front;
      const peak = shown.length > 1 ? "" : `, peak ${(run.scene.peak_uplift * DEGREE).toFixed(0)}°`;
      labels.push({ id: "uplift", rank: 1, must: true, size, colour: colours.ink,
        text: `<b>uplift ${shown.length > 1 ? "" : "at the anchor "}now ${each(shown, (one) => `${lift(one).toFixed(0)}°`)}</b>${peak}`,
        places: [0, 0.4, -1].map((row) => ({ x: on.x(0) + 4, y: on.y(run.scene.ground) + 2 + 1.4 * size * row, ay: 0 })) });
      return { on, labels, things, facts: { distance: at.distance, lift: lift(front), px: on.x(at.distance), py: on.y(run.scene.bow[1]) } };
    },
    tell: ({ at }, units) => `Bow ${amount(at.distance, units.length, 2)} from the anchor. Uplift at the anchor ${
      (at.angle_at_anchor * DEGREE).toFixed(0)}°.`,
  },

  "anchorsim-view-load": {
    name: "Load and wind",
    file: "load-and-wind",
    axes: ["xaxis", "yaxis", "yaxis2"],
    draw(pen, layout, { shown, front, units, colours, size, scale }) {
      const on = plane(layout, "xaxis", "yaxis", units.time.factor, units.force.factor);
      const below = plane(layout, "xaxis", "yaxis2", units.time.factor, units.speed.factor);
      const { at, run } = front, px = on.x(at.time), foot = below.top + below.height, windy = below.y(at.wind_speed);
      const whole = { ...on, height: foot - on.top }, gap = 9 * scale, labels = [];
      pen.begin(whole);
      pen.line([[px, on.top], [px, foot]], { stroke: colours.ink, width: front.width(1.6) });
      pen.stamp(DOT, px, windy, 0, { stroke: colours.ink, fill: shown.length > 1 ? colours.faint : colours.wind, width: 1.2, size: scale });
      for (const one of [...shown].reverse()) {
        const x = on.x(one.at.time), y = on.y(one.at.bow_load);
        pen.stamp(DOT, x, y, 0, { stroke: colours.ink, fill: one.letter ? one.colour : colours.load, width: 1.2, size: scale });
        labels.push({ id: `load ${one.letter}`, rank: one.front ? 5 : 6, size, must: true, room: on, places: about({ x, y }, gap, 1.2 * size),
          colour: one.letter ? one.colour : colours.ink,
          text: `<b>${one.letter ? `${one.letter} ` : ""}${amount(one.at.bow_load, units.force)}</b>` });
      }
      pen.end();
      labels.push({ id: "wind", rank: 5, size, must: true, room: below, colour: colours.ink, places: about({ x: px, y: windy }, gap),
        text: `<b>${amount(at.wind_speed, units.speed, 2)}</b> wind` });
      labels.push({ id: "time", rank: 4, size, must: true, colour: colours.ink, text: minutes(at.time - run.start),
        places: [0, 1.4 * size, foot - on.top - 1.3 * size].flatMap((down) => [0, 1].map((ax) => (
          { x: px + (ax ? -6 : 6), y: on.top + down, ax, ay: 0 }))) });
      const dots = [...shown.map((one) => on.y(one.at.bow_load)), windy];
      const avoid = dots.map((y) => ({ x0: px - 5, x1: px + 5, y0: y - 5, y1: y + 5 }));
      for (const label of labels) label.avoid = avoid;
      return { on: whole, labels, facts: { load: at.bow_load, wind: at.wind_speed, px, py: on.y(at.bow_load) } };
    },
    tell: ({ at, run }, units) => `${minutes(at.time - run.start)}, ${amount(at.bow_load, units.force)}, wind ${amount(at.wind_speed, units.speed, 2)}`,
  },

  "anchorsim-view-parts": {
    name: "Load on each part",
    file: "load-on-each-part",
    draw(pen, layout, { shown, front, colours, scale, lanes }) {
      const on = plane(layout, "xaxis", "yaxis", 1, 1), rows = new Map(front.run.scene.parts.map((part, row) => [part.name, row]));
      pen.begin(on);
      for (const [place, one] of shown.entries()) {
        const [middle, width] = lanes[place];
        for (const part of one.run.scene.parts) {
          if (!rows.has(part.name)) continue;
          const x = on.x(loaded(part, one.at)), y = rows.get(part.name) + middle;
          const [top, foot] = [-0.6, 0.6].map((half) => on.y(y + half * width));
          pen.line([[x, top], [x, foot]], { stroke: colours.paper, width: one.width(4.5) });
          pen.line([[x, top], [x, foot]], { stroke: colours.ink, width: one.width(2.5) });
          if (shown.length === 1) pen.stamp(NEEDLE, x, top + 2, 0, { stroke: colours.paper, fill: colours.ink, width: 1, size: scale });
        }
      }
      pen.end();
      const needles = front.run.scene.parts.map((part) => loaded(part, front.at));
      return { on, labels: [], facts: { needles: needles.map((v) => v.toFixed(2)).join(" "), px: needles.length ? on.x(needles[0]) : 0 } };
    },
    tell: ({ at, run }) => `Now, of the WLL: ${run.scene.parts.map((part) => `${part.name} ${loaded(part, at).toFixed(0)} %`).join(", ")}.`,
  },
};

// The load on a part at an instant, in per cent of its WLL.
function loaded(part, at) {
  return 100 * part.share * (part.at === "anchor" ? at.anchor_load : at.bow_load) / part.working_load;
}
