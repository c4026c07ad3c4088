// Answers as cards. Elements stay while their words change, so that an unfolded "Why?" stays open and none loses
// the focus; a section's cards are made anew only where others come in their place.

const SVG = "http://www.w3.org/2000/svg";
const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));
function drawn(name, attributes, parent) {
  const found = parent.appendChild(document.createElementNS(SVG, name));
  for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
  return found;
}
const at = (share) => `${(100 * share).toFixed(2)}%`;
const put = (element, text) => { if (element.textContent !== text) element.textContent = text; };

function range(svg, { low, high }, y) {
  if (high - low < 0.004) return;
  drawn("line", { class: "range", x1: at(low), x2: at(high), y1: y, y2: y }, svg);
  for (const end of [low, high]) drawn("line", { class: "range", x1: at(end), x2: at(end), y1: y - 4, y2: y + 4 }, svg);
}

function bars(box, picture) {
  const list = made("div", "bars", box);
  let before = "";
  for (const bar of picture.bars) {
    const row = made("div", "row", list);
    row.dataset.tone = bar.tone;
    made("span", "label", row, { textContent: bar.label === before ? "" : bar.label });
    made("span", "value", row, { textContent: bar.value });
    before = bar.label;
    const svg = drawn("svg", { class: "track", "aria-hidden": "true" }, list);
    svg.dataset.tone = bar.tone;
    drawn("rect", { class: "axis", x: 0, y: 6, width: "100%", height: 2 }, svg);
    drawn("rect", { class: `bar series-${bar.series}`, x: 0, y: 1, width: at(bar.at), height: 12 }, svg);
    range(svg, bar, 7);
  }
  foot(box, picture);
}

function foot(box, picture) {
  const ends = made("p", "ends", box);
  for (const [k, name] of picture.series.entries()) if (picture.series.length > 1) {
    made("i", `key series-${k}`, ends);
    made("span", "", ends, { textContent: name });
  }
  made("span", "top", ends, { textContent: `axis to ${picture.top}` });
}

// A scale of wind: up to where few fail, where some do, where most do, and beyond; and where the wind is now.
function scale(box, picture) {
  const marks = picture.bars, svg = drawn("svg", { class: "scale", "aria-hidden": "true" }, box);
  const zones = [0, ...marks.map((mark) => mark.at), 1];
  zones.slice(1).forEach((end, k) => drawn("rect", { class: `zone zone-${k}`, x: at(zones[k]), y: 22, width: at(Math.max(end - zones[k], 0)), height: 16 }, svg));
  marks.forEach((mark, k) => {
    drawn("line", { class: "mark", x1: at(mark.at), x2: at(mark.at), y1: 18, y2: 42 }, svg);
    range(svg, mark, 48 + 8 * k);
  });
  drawn("line", { class: "now", x1: at(picture.now), x2: at(picture.now), y1: 14, y2: 46 }, svg);
  const side = picture.now > 0.7 ? "end" : picture.now < 0.15 ? "start" : "middle";
  drawn("text", { class: "now-text", x: at(picture.now), y: 11, "text-anchor": side }, svg).textContent = picture.now_text;
  const list = made("div", "marks", box);
  marks.forEach((mark, k) => {
    made("i", `key zone-${k + 1}`, list);
    made("span", "label", list, { textContent: mark.label });
    made("span", "value", list, { textContent: mark.value });
  });
  foot(box, picture);
}

const PICTURES = { bars, scale };

class CardView {
  constructor(parent, card, model) {
    this.box = made("article", "odds-card", parent);
    this.title = made("h3", "", this.box);
    this.line = made("p", "line", this.box);
    this.picture = made("div", "picture", this.box, { role: "img" });
    this.foot = made("div", "foot", this.box);
    if (card.tries) this.act = made("button", "jupyter-button act", this.foot, { type: "button", onclick: () =>
      model.send({ do: model.get("tried") === this.card.key ? "undo" : "try", key: this.card.key }) });
    this.why = made("details", "", this.foot);
    this.summary = made("summary", "", this.why);
    this.lines = made("div", "", this.why);
  }

  show(card, model) {
    const words = model.get("words"), tried = model.get("tried") === card.key;
    this.card = card;
    this.box.dataset.tone = card.tone;
    this.box.dataset.key = card.key;
    put(this.title, card.title);
    put(this.line, card.line);
    put(this.summary, words.why ?? "");
    this.summary.ariaLabel = `${words.why} ${card.title}`;
    const drawing = JSON.stringify(card.picture);
    if (drawing !== this.drawn) {
      this.picture.replaceChildren();
      this.picture.hidden = !card.picture;
      if (card.picture) PICTURES[card.picture.kind](this.picture, card.picture);
      this.picture.ariaLabel = (card.picture?.bars ?? []).map((bar) => `${bar.label}: ${bar.value}`).join("; ");
      this.drawn = drawing;
    }
    this.lines.replaceChildren(...card.why.map((text) => Object.assign(document.createElement("p"), { textContent: text })));
    if (!this.act) return;
    put(this.act, tried ? words.undo : words.try);
    this.act.title = tried ? words.undo_help : words.try_help;
    this.act.ariaPressed = String(tried);
    this.act.ariaLabel = `${this.act.textContent}: ${card.title}`;
  }
}

class SectionView {
  constructor(parent) {
    this.box = made("section", "odds-section", parent);
    const head = made("div", "odds-head", this.box);
    this.title = made("h2", "", head);
    this.note = made("p", "note", head);
    this.asks = made("div", "asks", head);
    this.flow = made("div", "odds-flow", this.box);
    this.cards = [];
  }

  show(section, model) {
    put(this.title, section.title);
    put(this.note, section.note);
    this.box.ariaLabel = section.title;
    while (this.asks.children.length > section.asks.length) this.asks.lastChild.remove();
    section.asks.forEach(([key, label, help], k) => {
      const button = this.asks.children[k] ?? made("button", "jupyter-button", this.asks, { type: "button" });
      put(button, label);
      Object.assign(button, { title: help, onclick: () => model.send({ do: "ask", key }) });
    });
    const same = section.cards.every((card, k) => Boolean(this.cards[k]?.act) === card.tries && this.cards[k]?.card.key === card.key);
    if (!same) {
      this.flow.replaceChildren();
      this.cards = section.cards.map((card) => new CardView(this.flow, card, model));
    } else while (this.cards.length > section.cards.length) this.cards.pop().box.remove();
    section.cards.forEach((card, k) => this.cards[k].show(card, model));
  }
}

function render({ model, el }) {
  const box = made("div", "anchorsim-cards", el);
  box.dataset.lmSuppressShortcuts = "true";
  const bar = made("div", "odds-bar", box);
  const age = made("p", "age", bar), busy = made("p", "busy", bar, { role: "status" });
  const progress = made("progress", "", bar, { max: 1 });
  const all = made("div", "odds-all", box), views = [];

  function show() {
    put(age, model.get("age"));
    put(busy, model.get("busy"));
    progress.hidden = !model.get("busy");
    progress.value = model.get("done");
    progress.ariaLabel = model.get("busy");
    const sections = model.get("sections");
    while (views.length > sections.length) views.pop().box.remove();
    sections.forEach((section, k) => { (views[k] ??= new SectionView(all)).show(section, model); });
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); box.remove(); };
}

export default { render };
