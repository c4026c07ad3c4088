// The page: what the class guesses, which boats are chosen, and the runs of those, unpacked when they are asked for.

import { Player } from "../player/player.js";
import { Plot } from "./plots.js";

const BOATS = 3, KEPT = 12;          // boats at once, and runs that are kept unpacked
// What stays is drawn with these where the person's own colours are to be kept to (see style.js for what moves).
const FORCED = { water: "Canvas", bottom: "Canvas", grid: "GrayText", room: "CanvasText", danger: "CanvasText", holding: "GrayText", limit: "CanvasText" };
const $ = (name) => document.getElementById(name);
const create = (tag, how = {}, ...children) => {
  const made = Object.assign(document.createElement(tag), how);
  made.append(...children);
  return made;
};

// What the player takes for its model (see player.js): values by name, and who wants to hear of them.
class Model {
  constructor(state, saved) { Object.assign(this, { state, saved, heard: {} }); }
  get(name) { return this.state[name]; }
  set(name, value) { this.state[name] = value; }
  save_changes() { this.saved(); }
  on(event, handler) { (this.heard[event] ??= []).push(handler); }
  off(event, handler) { this.heard[event] = this.heard[event].filter((found) => found !== handler); }
  change(values) {
    Object.assign(this.state, values);
    for (const name of Object.keys(values)) for (const handler of this.heard[`change:${name}`] ?? []) handler();
  }
}

async function inflate(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new DataView(await new Response(stream).arrayBuffer());
}

// One choice as it is packed (see page.py): two lengths, then the scene as text, the run, and the shapes of the rode.
async function unpacked(text) {
  const view = await inflate(text), [scene, run] = [0, 4].map((at) => view.getUint32(at, true));
  const part = (from, to) => new Uint8Array(view.buffer, from, to - from);
  return { scene: JSON.parse(new TextDecoder().decode(part(8, 8 + scene))),
    run: part(8 + scene, 8 + scene + run), shapes: part(8 + scene + run, view.byteLength) };
}

function together(parts) {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  parts.reduce((at, part) => { whole.set(part, at); return at + part.length; }, 0);
  return new DataView(whole.buffer);
}

class Page {
  constructor(book) {
    Object.assign(this, { book, kept: new Map(), system: book.system, front: 0, asked: 0 });
    this.boats = book.compared.map((place) => [...place]);
    this.model = new Model({ scope: "", run: null, shapes: null, scenes: [], lanes: [], units: book.units[this.system], colours: book.colours,
      run_id: "", scale: 1, speed: 5, autoplay: false, seek: 0, dark: false }, () => this.draw());
    this.player = new Player(this.model, $("bar"));
    this.plots = [...document.querySelectorAll("[data-view]")].map((box) => new Plot(box, box.dataset.view, this));
    this.boxes();
    this.listen();
    this.measures();
  }

  cell(place) { return this.book.cells[place.reduce((at, step, k) => at * this.book.axes[k].values.length + step, 0)]; }

  async unpack(place) {
    const key = place.join();
    if (!this.kept.has(key)) this.kept.set(key, unpacked(this.cell(place).data));
    if (this.kept.size > KEPT) this.kept.delete(this.kept.keys().next().value);
    return this.kept.get(key);
  }

  listen() {
    $("guesses").addEventListener("click", ({ target }) => target.matches("button") && this.guess(Number(target.dataset.choice)));
    $("unguessed").addEventListener("click", () => this.reveal());
    $("add").addEventListener("click", () => this.add());
    $("remove").addEventListener("click", () => this.remove());
    for (const radio of document.querySelectorAll("[name=system]"))
      radio.addEventListener("change", () => { this.system = radio.value; this.measures(); });
    $("save").addEventListener("click", () => this.save());
    this.player.forced.addEventListener("change", () => this.draw());
    addEventListener("beforeprint", () => this.printed(true));
    addEventListener("afterprint", () => this.printed(false));
  }

  // A group of choices for each control; they are for the boat that is chosen above them.
  boxes() {
    $("controls").replaceChildren(...this.book.axes.map((axis, a) => create("fieldset", {}, create("legend"),
      ...axis.values.map((_, v) => {
        const radio = create("input", { type: "radio", name: `axis-${a}`, value: v });
        radio.addEventListener("change", () => { this.boats[this.front][a] = v; this.show(); });
        return create("label", {}, radio, create("span"));
      }))));
  }

  measures() {
    document.body.dataset.system = this.system;
    this.model.change({ units: this.book.units[this.system] });
    for (const [a, axis] of this.book.axes.entries()) {
      const box = $("controls").children[a];
      box.firstChild.textContent = axis.label[this.system];
      box.querySelectorAll("span").forEach((span, v) => { span.textContent = axis.values[v][this.system]; });
    }
    return this.show();
  }

  add() {
    this.boats.push([...this.boats[this.front]]);
    this.front = this.boats.length - 1;
    this.show();
  }

  remove() {
    this.boats.splice(this.front, 1);
    this.front = 0;
    this.show();
    $("boats").querySelector("input").focus();
  }

  choose(k) { this.front = k; this.show(); }

  words(place) { return place.map((v, a) => this.book.axes[a].values[v][this.system]).join(", "); }

  async show() {
    this.chips();
    const turn = this.asked += 1, order = [this.front, ...this.boats.keys()].filter((k, at, all) => all.indexOf(k) === at);
    const found = await Promise.all(order.map((k) => this.unpack(this.boats[k])));
    if (turn !== this.asked) return;
    const letter = (k) => (this.boats.length > 1 ? "ABC"[k] : "");
    this.model.change({ run: together(found.map(({ run }) => run)), shapes: together(found.map(({ shapes }) => shapes)),
      scenes: found.map(({ scene }, at) => ({ ...scene, letter: letter(order[at]) })), run_id: `${turn}` });
    this.player.load();
    this.draw();
    this.table();
    document.body.dataset.shown = Math.round(performance.now());
  }

  draw() {
    if (!this.plots) return;
    this.colours = { ...this.player.colours, ...(this.player.forced.matches ? FORCED : {}) };
    this.units = this.book.units[this.system];
    for (const plot of this.plots) plot.show(this.player.shown());
  }

  // The boats as choices, each with her letter and what she is.
  chips() {
    const box = $("boats"), focused = box.contains(document.activeElement);
    box.replaceChildren(create("legend", { textContent: "Boat to change" }), ...this.boats.map((place, k) => {
      const radio = create("input", { type: "radio", name: "boat", value: k, checked: k === this.front });
      radio.addEventListener("change", () => this.choose(k));
      const badge = create("b", { textContent: "ABC"[k], className: `letter letter-${"ABC"[k]}` });
      return create("label", {}, radio, create("span", {}, badge, ` ${this.words(place)}`));
    }));
    if (focused) box.querySelector(":checked").focus();
    $("add").disabled = this.boats.length >= BOATS;
    $("remove").disabled = this.boats.length < 2;
    $("remove").textContent = `Remove ${"ABC"[this.front]}`;
    for (const [a, v] of this.boats[this.front].entries()) document.querySelectorAll(`[name=axis-${a}]`)[v].checked = true;
    $("command").textContent = this.command();
  }

  table() {
    const head = create("tr", {}, create("th", { scope: "col", textContent: "Figure" }),
      ...this.boats.map((place, k) => create("th", { scope: "col", textContent: `${this.boats.length > 1 ? "ABC"[k] : ""} ${this.words(place)}` })));
    const rows = this.book.rows.map((label, row) => create("tr", {}, create("th", { scope: "row", textContent: label }),
      ...this.boats.map((place) => create("td", { textContent: this.cell(place)[this.system][row] }))));
    this.warn();
    $("figures").replaceChildren(create("caption", { textContent: this.book.caption }), create("thead", {}, head), create("tbody", {}, ...rows));
  }

  // What there is to heed, once, with the letters of the boats that it is of.
  warn() {
    const whose = new Map(), several = this.boats.length > 1;
    for (const [k, place] of this.boats.entries())
      for (const said of this.cell(place).warnings[this.system]) whose.set(said, [...(whose.get(said) ?? []), "ABC"[k]]);
    $("warnings").replaceChildren(...[...whose].map(([said, letters]) => create("li", { textContent: several ? `${letters.join(", ")}: ${said}` : said })));
  }

  command() {
    const settings = this.boats[this.front].map((v, a) => this.book.axes[a].set[v]);
    const quoted = [...settings, this.book.duration].map((text) => `--set "${text}"`).join(" ");
    return `anchorsim run scenario.toml ${quoted} --seed ${this.book.seed}${this.system === "US" ? " --us" : ""}`;
  }

  async guess(choice) {
    const said = this.book.choices[choice];
    $("guessed").textContent = choice === this.book.nearest ? `You said ${said}: the nearest of the six.` : `You said ${said}.`;
    this.reveal();
    if (!this.book.served) return;
    const answer = await fetch("guess", { method: "POST", body: String(choice) }).catch(() => null);
    $("sent").textContent = answer?.ok ? "Sent to the class, without a name." : "Not sent: this phone cannot reach the class. The guess stays here.";
  }

  reveal() {
    document.body.dataset.step = "play";
    for (const box of document.querySelectorAll("[data-after]")) box.hidden = false;
    $("guess").hidden = true;
    this.player.play(!this.player.still.matches);
    this.player.box.focus({ preventScroll: true });
  }

  save() {
    const link = create("a", { href: URL.createObjectURL(new Blob([$("scenario").textContent], { type: "text/plain" })), download: "scenario.toml" });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  // On paper all is light, unfolded and as wide as a sheet; what moves stands where it was, drawn as SVG.
  printed(on) {
    const { body } = document, { player } = this;
    body.classList.toggle("paper", on);
    if (on) body.dataset.jpThemeLight = "true";
    else delete body.dataset.jpThemeLight;
    for (const box of document.querySelectorAll("details:not(.anchorsim-save)")) {
      if (on) box.dataset.was = box.open;
      box.open = on || box.dataset.was === "true";
    }
    for (const old of document.querySelectorAll(".moved")) old.remove();
    player.dress();
    this.draw();
    for (const overlay of on ? player.overlays : []) {
      overlay.frame(document, player.picture(), player.version, performance.now());
      const { width, height } = overlay.gd?._fullLayout ?? {};
      if (width) overlay.canvas.insertAdjacentHTML("beforebegin", `<svg class="moved" aria-hidden="true" width="${width}" height="${height}" `
        + `viewBox="0 0 ${width} ${height}">${overlay.svg(player.picture())}</svg>`);
    }
  }
}

if ("DecompressionStream" in window) new Page(JSON.parse($("book").textContent));
else $("old").hidden = false;
