// Two pens with the same strokes: one draws on a canvas as the clock runs, one writes SVG to be kept.

export const FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif";

const round = (value) => Math.round(value * 100) / 100;
const escape = (text) => text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c]);
const font = (size, bold) => `${bold ? "700 " : ""}${size}px ${FONT}`;
const paths = new Map(), widths = new Map();
const measuring = document.createElement("canvas").getContext("2d");

// The width of a text, asked once: a canvas takes longer to tell than all the rest of placing.
export function measure(text, size, bold) {
  const wanted = `${size}${bold}${text}`;
  if (widths.size > 4000) widths.clear();
  if (!widths.has(wanted)) {
    measuring.font = font(size, bold);
    widths.set(wanted, measuring.measureText(text).width);
  }
  return widths.get(wanted);
}

export class CanvasPen {
  constructor(pen) { this.pen = pen; }

  begin({ left, top, width, height }) {
    this.pen.save();
    this.pen.beginPath();
    this.pen.rect(left, top, width, height);
    this.pen.clip();
  }

  end() { this.pen.restore(); }

  dress({ stroke, fill, width = 1.5, dash = [], alpha = 1 }) {
    Object.assign(this.pen, { strokeStyle: stroke ?? "transparent", fillStyle: fill ?? "transparent",
      lineWidth: width, lineJoin: "round", globalAlpha: alpha });
    this.pen.setLineDash(dash);
  }

  line(points, how) {
    this.dress(how);
    this.pen.beginPath();
    points.forEach(([x, y], k) => (k ? this.pen.lineTo(x, y) : this.pen.moveTo(x, y)));
    if (how.close) this.pen.closePath();
    if (how.fill) this.pen.fill();
    if (how.stroke) this.pen.stroke();
  }

  // A shape given as SVG path data about 0, 0.
  stamp(path, x, y, angle, how) {
    const { size = 1 } = how;
    if (!paths.has(path)) paths.set(path, new Path2D(path));
    this.dress({ ...how, width: (how.width ?? 1.5) / size });
    this.pen.save();
    this.pen.translate(x, y);
    this.pen.rotate(angle);
    this.pen.scale(size, size);
    if (how.fill) this.pen.fill(paths.get(path));
    if (how.stroke) this.pen.stroke(paths.get(path));
    this.pen.restore();
  }

  // Pieces of text one after the other, their middle at y.
  text(pieces, x, y, { size, colour, halo }) {
    Object.assign(this.pen, { textAlign: "left", textBaseline: "middle", lineWidth: size / 3, lineJoin: "round",
      strokeStyle: halo, fillStyle: colour, globalAlpha: 1 });
    this.pen.setLineDash([]);
    for (const { text, bold } of pieces) {
      this.pen.font = font(size, bold);
      this.pen.strokeText(text, x, y);
      this.pen.fillText(text, x, y);
      x += measure(text, size, bold);
    }
  }
}

export class SvgPen {
  constructor() { Object.assign(this, { parts: [], clips: 0 }); }

  begin({ left, top, width, height }) {
    const id = `anchorsim-clip-${this.clips += 1}`;
    this.parts.push(`<clipPath id="${id}"><rect x="${round(left)}" y="${round(top)}" width="${round(width)}"`
      + ` height="${round(height)}"/></clipPath><g clip-path="url(#${id})">`);
  }

  end() { this.parts.push("</g>"); }

  look({ stroke, fill, width = 1.5, dash = [], alpha = 1 }) {
    return `fill="${fill ?? "none"}" stroke="${stroke ?? "none"}" stroke-width="${round(width)}" stroke-linejoin="round"`
      + (dash.length ? ` stroke-dasharray="${dash.join(" ")}"` : "") + (alpha < 1 ? ` opacity="${alpha}"` : "");
  }

  line(points, how) {
    const path = points.map(([x, y], k) => `${k ? "L" : "M"}${round(x)} ${round(y)}`).join("");
    this.parts.push(`<path d="${path}${how.close ? "Z" : ""}" ${this.look(how)}/>`);
  }

  stamp(path, x, y, angle, how) {
    const { size = 1 } = how, place = `translate(${round(x)} ${round(y)}) rotate(${round(angle * 180 / Math.PI)}) scale(${size})`;
    this.parts.push(`<path d="${path}" transform="${place}" ${this.look({ ...how, width: (how.width ?? 1.5) / size })}/>`);
  }

  text(pieces, x, y, { size, colour, halo }) {
    const spans = pieces.map(({ text, bold }) => `<tspan${bold ? ' font-weight="700"' : ""}>${escape(text)}</tspan>`);
    this.parts.push(`<text x="${round(x)}" y="${round(y)}" dy="0.35em" font-family="${escape(FONT)}" font-size="${size}"`
      + ` fill="${colour}" stroke="${halo}" stroke-width="${round(size / 3)}" stroke-linejoin="round"`
      + ` paint-order="stroke" xml:space="preserve">${spans.join("")}</text>`);
  }

  get markup() { return this.parts.join(""); }
}
