// A view as a file: plotly's own drawing as it stands in the page, and over it what moves, at this instant.

import { minutes } from "./run.js";

const NAMESPACE = "http://www.w3.org/2000/svg";
const NOT_KEPT = ".annotation, .hoverlayer, .draglayer, .zoomlayer, .selectionlayer, .cursor-pointer.infolayer";
const SHARP = 2;           // pixels of a PNG to one on screen

// SVG text of a plot with the layer over it.
export function drawing(gd, layer) {
  const { width, height, paper_bgcolor: paper } = gd._fullLayout;
  const parts = [...gd.querySelectorAll(".svg-container > .main-svg")].map((part) => {
    const copy = part.cloneNode(true);
    copy.querySelectorAll(NOT_KEPT).forEach((element) => element.remove());
    for (const name of ["style", "class", "aria-hidden"]) copy.removeAttribute(name);
    return new XMLSerializer().serializeToString(copy);
  });
  const whole = `<svg xmlns="${NAMESPACE}" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">`
    + `<rect width="${width}" height="${height}" fill="${paper}"/>${parts.join("")}<g>${layer}</g></svg>`;
  return whole.replace(/url\((?:&quot;|["'])?[^)"'#]*#([^)"'&]+)(?:&quot;|["'])?\)/g, "url(#$1)");
}

async function pixels(svg, { width, height }) {
  const image = new Image();
  image.src = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  await image.decode();
  const canvas = Object.assign(document.createElement("canvas"), { width: SHARP * width, height: SHARP * height });
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  URL.revokeObjectURL(image.src);
  return new Promise((done) => canvas.toBlob(done, "image/png"));
}

function handOut(blob, name) {
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(blob), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

// The button in a view's corner, and the two kinds of file that it offers.
export class Saving {
  constructor(overlay) {
    this.overlay = overlay;
    this.box = Object.assign(document.createElement("details"), { className: "anchorsim-save" });
    this.box.dataset.lmSuppressShortcuts = "true";
    const summary = Object.assign(document.createElement("summary"), { textContent: "⤓", title: "Save picture" });
    summary.ariaLabel = `Save picture: ${overlay.name}`;
    this.box.append(summary);
    for (const kind of ["SVG", "PNG"]) {
      const button = Object.assign(document.createElement("button"), { type: "button", textContent: kind });
      button.addEventListener("click", () => { this.box.open = false; this.save(kind.toLowerCase()); });
      this.box.append(button);
    }
    this.box.addEventListener("focusout", ({ relatedTarget }) => { if (!this.box.contains(relatedTarget)) this.box.open = false; });
    this.box.addEventListener("keydown", (event) => {
      if (event.key === "Escape") { this.box.open = false; summary.focus(); }
    });
  }

  async save(kind) {
    const { overlay } = this, frame = overlay.player.picture(), layout = overlay.gd._fullLayout;
    const svg = drawing(overlay.gd, overlay.svg(frame)), then = minutes(frame.front.at.time - frame.front.run.start);
    const blob = kind === "png" ? await pixels(svg, layout) : new Blob([svg], { type: "image/svg+xml" });
    handOut(blob, `anchorsim-${overlay.file}-${then.replace(":", "m")}.${kind}`);
  }
}
