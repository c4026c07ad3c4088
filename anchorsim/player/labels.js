// Where words stand: each label in turn takes the first of its places that leaves the others free.

import { measure } from "./pens.js";

const GAP = 1;             // px between two labels, and from a label to the edge of the plot
const LINE = 1.15;         // of its size of type that a label is high
const HIT = 3;             // what a place costs that covers something drawn; one place further down costs 1
const STEP = 9;            // px between the places that are tried when none of its own is free

// A label's text, as plotly takes it (see figures.style.plain), in pieces that are bold or not.
export function pieces(text) {
  const found = [];
  let bold = false;
  for (const part of text.split(/(<\/?b>)/)) {
    if (/^<\/?b>$/.test(part)) bold = part === "<b>";
    else if (part) found.push({ bold, text: part.replace(/&(lt|gt|amp|#36);/g, (_, name) =>
      ({ lt: "<", gt: ">", amp: "&", "#36": "$" })[name]) });
  }
  return found;
}

const widthOf = (parts, size) => parts.reduce((sum, { text, bold }) => sum + measure(text, size, bold), 0);

function shortened(parts, size, most) {
  const found = parts.map((part) => ({ ...part }));
  while (widthOf(found, size) > most && found.length) {
    const last = found[found.length - 1];
    if (last.text.length > 2) last.text = `${last.text.replace(/…$/, "").slice(0, -1).trimEnd()}…`;
    else found.pop();
  }
  return found;
}

const overlap = (a, b, gap) =>
  a.x0 < b.x1 + gap && b.x0 < a.x1 + gap && a.y0 < b.y1 + gap && b.y0 < a.y1 + gap;

// The box of a label at one of its places { x, y, ax, ay }: ax is 0 where the text begins at x, 1 where it ends.
function boxAt({ width, height }, { x, y, ax = 0, ay = 0.5 }, bounds) {
  const left = Math.min(Math.max(x - ax * width, bounds.x0), bounds.x1 - width);
  const top = Math.min(Math.max(y - ay * height, bounds.y0), bounds.y1 - height);
  return { x0: left, x1: left + width, y0: top, y1: top + height };
}

function* anywhere({ width, height }, { x, y }, bounds) {
  const found = [];
  for (let x0 = bounds.x0; x0 <= bounds.x1 - width; x0 += STEP)
    for (let y0 = bounds.y0; y0 <= bounds.y1 - height; y0 += STEP)
      found.push([Math.hypot(x0 + width / 2 - x, 2 * (y0 + height / 2 - y)), { x0, x1: x0 + width, y0, y1: y0 + height }]);
  for (const [, box] of found.sort((a, b) => a[0] - b[0])) yield box;
}

// Labels { id, text, size, rank, places, must, avoid, widest, room } in their room of the plot `on`, of lowest rank first.  Each keeps off the
// boxes that it is to `avoid` where it can; `memory` holds where each stood, so that none hops about.
export function placed(labels, on, memory) {
  const taken = [];
  for (const label of [...labels].sort((a, b) => a.rank - b.rank)) {
    const { left, top, width, height } = label.room ?? on;
    const bounds = { x0: left + GAP, x1: left + width - GAP, y0: top + GAP, y1: top + height - GAP };
    const parts = shortened(pieces(label.text), label.size, (label.widest ?? 1) * (bounds.x1 - bounds.x0));
    const size = { width: widthOf(parts, label.size), height: Math.ceil(LINE * label.size) };
    const free = (box) => taken.every((other) => !overlap(box, other, GAP));
    let best = null, least = Infinity, at = -1;
    label.places.forEach((spot, k) => {
      const box = boxAt(size, spot, bounds);
      const hits = (label.avoid ?? []).filter((thing) => overlap(box, thing, 0)).length;
      const cost = k + HIT * hits - (memory.get(label.id) === k ? 2.5 : 0);
      if (cost < least && free(box)) [best, least, at] = [box, cost, k];
    });
    if (!best && label.must)
      for (const box of anywhere(size, label.places[0], bounds)) if (free(box)) { best = box; break; }
    memory.set(label.id, at);
    if (best) taken.push({ ...best, label, parts });
  }
  return taken;
}

// Places about a point at some distance from it: right, left, above, below, then the corners and lines further off.
export const about = ({ x, y }, gap, height = 0) => [
  { x: x + gap, y, ax: 0 }, { x: x - gap, y, ax: 1 }, { x, y: y - gap, ax: 0.5, ay: 1 }, { x, y: y + gap, ax: 0.5, ay: 0 },
  ...[[1, -1], [-1, -1], [1, 1], [-1, 1]].map(([side, down]) => ({ x: x + side * gap * 0.7, y: y + down * gap * 0.7,
    ax: side > 0 ? 0 : 1, ay: down > 0 ? 0 : 1 })),
  ...(height ? [-1, 1, -2, 2].flatMap((row) => [0, 1].map((ax) => ({ x: x + (ax ? -gap : gap), y: y + row * height, ax }))) : [])];

// Places about a box: below it, above, right, left.
export const besides = ({ x0, x1, y0, y1 }, gap) => {
  const x = (x0 + x1) / 2, y = (y0 + y1) / 2;
  return [{ x, y: y1 + gap, ax: 0.5, ay: 0 }, { x, y: y0 - gap, ax: 0.5, ay: 1 }, { x: x1 + gap, y, ax: 0 },
    { x: x0 - gap, y, ax: 1 }, { x, y, ax: 0.5 }];
};

// Places of a label that a figure has put somewhere: there, and by lines of a height further off to both sides.
function places(x, y, ax, ay, height) {
  if (!height) return [{ x, y, ax, ay }];
  const rows = [0, 1, -1, 2, -2, 3, -3].map((row) => ({ x, y: y + row * height, ax, ay }));
  return [...rows, ...rows.slice(0, 3).map((spot) => ({ ...spot, ax: 1 - ax }))];
}

export const WIDE = 40;    // times the size of type that a plot is wide in which nothing needs to be left out
const RANKS = { first: 1, second: 2, third: 3 };
const SHARES = { left: 0, top: 0, center: 0.5, middle: 0.5, right: 1, bottom: 1 };

// The words of a figure, from its annotations, but for those that are said while it plays.
export function written(layout, colours) {
  const area = layout._size, found = [];
  for (const [k, note] of (layout.annotations ?? []).entries()) {
    const axes = [["xref", "xaxis"], ["yref", "yaxis"]].map(([ref, name]) => layout[`${name}${String(note[ref]).slice(1)}`]);
    const [rank, how] = String(note.name).split(" "), size = note.font?.size ?? 12;
    if (!(rank in RANKS) || !note.text || (how === "wide" && area.w < WIDE * size)) continue;
    const put = (value, axis, low, length, up) => (axis ? axis._offset + axis.d2p(value)
      : low + length * (up ? 1 - value : value));
    const x = put(note.x, note.xref === "paper" ? null : axes[0], area.l, area.w) + (note.xshift ?? 0);
    const y = put(note.y, note.yref === "paper" ? null : axes[1], area.t, area.h, true) - (note.yshift ?? 0);
    const faint = note.font?.color === colours.faint;
    found.push({ id: `figure ${k}`, text: note.text, size, rank: RANKS[rank], colour: faint ? colours.faint : colours.ink,
      places: places(x, y, SHARES[note.xanchor] ?? 0.5, SHARES[note.yanchor] ?? 0.5, how === "here" ? 0 : Math.ceil(LINE * size) + GAP + 1) });
  }
  return found;
}
