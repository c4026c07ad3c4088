// A run as it is packed (see packing.py), read back, and what it has at any instant.

export const COLUMNS = "x y heading bow_load anchor_load angle_at_anchor wind_speed wind_direction anchor_x anchor_y".split(" ");
export const DEGREE = 180 / Math.PI;
const POINTS = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];

// A copy, because the bytes of a message need not start on a multiple of four.
const floats = (view, from, count) => new Float32Array(
  view.buffer.slice(view.byteOffset + from, view.byteOffset + from + 4 * count));

// A column of quantised values (see quantised.py), and where it ends.
function column(view, at, n) {
  const low = view.getFloat64(at, true), quantum = view.getFloat64(at + 8, true), found = new Float32Array(n);
  for (let k = 0, step = 0, value = 0; k < n; k += 1) {
    const bend = view.getUint8(at + 16 + k) | view.getUint8(at + 16 + n + k) << 8;
    step = step + (bend >>> 1 ^ -(bend & 1)) & 65535;
    value = value + step & 65535;
    found[k] = low + quantum * value;
  }
  return [found, at + 16 + 2 * n];
}

const quantised = (view, at) => view.getUint8(at + 3) === 50;      // the digit 2 of RUN2 and SHP2

function decodeRuns(view) {
  const found = [];
  for (let at = 0; view && at + 20 <= view.byteLength;) {
    const [n, width] = [4, 8].map((from) => view.getUint32(at + from, true)), whole = !quantised(view, at);
    const [start, step] = [12, 16].map((from) => view.getFloat32(at + from, true));
    const data = whole ? floats(view, at + 20, n * width) : new Float32Array(n * width);
    at += whole ? 20 + 4 * n * width : 20;
    for (let c = 0, values; !whole && c < width; c += 1) {
      [values, at] = column(view, at, n);
      for (let k = 0; k < n; k += 1) data[k * width + c] = values[k];
    }
    found.push({ n, width, start, step, duration: (n - 1) * step, data });
  }
  return found;
}

function decodeShapes(view) {
  const found = [];
  for (let at = 0; view && at + 12 <= view.byteLength;) {
    const [rows, m] = [4, 8].map((from) => view.getUint32(at + from, true)), whole = !quantised(view, at), tables = [];
    at += 12;
    for (const count of [rows, rows * m, rows * m]) {
      let table = whole && floats(view, at, count), end = at + 4 * count;
      if (!whole) [table, end] = column(view, at, count);
      tables.push(table);
      at = end;
    }
    found.push({ rows, m, distance: tables[0], x: tables[1], z: tables[2] });
  }
  return found;
}

// The runs with what belongs to each, the one in front first; none while something is missing.
export function decode(run, shapes, scenes) {
  const rodes = decodeShapes(shapes);
  return decodeRuns(run).map((found, k) => ({ ...found, rode: rodes[k], scene: scenes?.[k] }))
    .filter((found) => found.scene?.bow);
}

export const turn = (from, to) =>
  ((to - from + 3 * Math.PI) % (2 * Math.PI) + 2 * Math.PI) % (2 * Math.PI) - Math.PI;

function mixed(run, time, columns, at) {
  const place = Math.min(Math.max((time - run.start) / run.step, 0), run.n - 1);
  const i = Math.min(Math.floor(place), run.n - 2), share = place - i;
  for (const c of columns) {
    const name = COLUMNS[c], a = run.data[i * run.width + c], b = run.data[(i + 1) * run.width + c];
    at[name] = a + share * (name === "heading" || name === "wind_direction" ? turn(a, b) : b - a);
  }
  at.bow_x = at.x + run.scene.bow[0] * Math.cos(at.heading);
  at.bow_y = at.y + run.scene.bow[0] * Math.sin(at.heading);
  return at;
}

export function sampleAt(run, time) {
  const at = mixed(run, time, COLUMNS.keys(), { time });
  at.distance = Math.hypot(at.bow_x - at.anchor_x, at.bow_y - at.anchor_y);
  return at;
}

// Where the bow went in the last seconds before an instant: north and east, oldest first.
export function trail(run, time, seconds) {
  const first = Math.max(run.start, time - seconds), count = Math.max(4, Math.ceil((time - first) * 2));
  return Array.from({ length: count + 1 }, (_, k) => mixed(run, first + (time - first) * k / count, [0, 1, 2], {}))
    .map((then) => [then.bow_x, then.bow_y]);
}

// The rode at a distance: linear between rows of the table, stretched beyond its ends.
export function shapeAt({ rows, m, distance, x, z }, reach) {
  const within = Math.min(Math.max(reach, distance[0]), distance[rows - 1]);
  let above = 1;
  while (above < rows - 1 && distance[above] < within) above += 1;
  const share = (within - distance[above - 1]) / (distance[above] - distance[above - 1]);
  const stretch = within > 0 ? reach / within : 1;
  const mix = (table, k) => (1 - share) * table[(above - 1) * m + k] + share * table[above * m + k];
  return Array.from({ length: m }, (_, k) => [stretch * mix(x, k), mix(z, k)]);
}

export const degrees = (angle) => Math.round((angle * DEGREE % 360 + 360) % 360) % 360;
export const point = (angle) => POINTS[Math.round(degrees(angle) / 45) % 8];
export const amount = (value, unit, digits = 3) => {
  const shown = Number((value * unit.factor).toPrecision(digits));
  return `${shown.toLocaleString("en", { maximumFractionDigits: 2 })} ${unit.label}`;
};
export const minutes = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
