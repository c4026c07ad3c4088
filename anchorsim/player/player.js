// One clock for the four views: plotly draws what stays, this module draws what moves, on a layer over each
// plot.  Everything arrives through the model (see packing.py for the packed layout).

import { Overlay } from "./overlay.js";
import { decode, minutes, sampleAt } from "./run.js";
import { STYLE, SYSTEM } from "./style.js";
import { step } from "./timeline.js";
import { VIEWS } from "./views.js";

const SPEEDS = [1, 2, 5, 10, 20];
const LETTERS = "ABCD";
const DASHES = [[], [7, 4], [2, 3], [9, 3, 2, 3]];      // as figures.style.DASHES
const AFAR = 3;            // px, the least width of a line in a picture that is enlarged
const LARGE = 12;          // px of the layer's type, times the scale

const make = (tag, how = {}, ...children) => {
  const made = Object.assign(document.createElement(tag), how);
  made.append(...children);
  return made;
};

export class Player {
  constructor(model, el) {
    Object.assign(this, { model, el, time: 0, held: false, stale: true, last: 0, told: 0, version: 0, frames: 0, runs: 0, all: [] });
    this.box = el.appendChild(make("section", { className: "anchorsim-player", tabIndex: 0,
      ariaLabel: "Playback: space plays or pauses, arrows step 1 second" }, ...this.parts()));
    this.box.dataset.lmSuppressShortcuts = "true";     // the notebook's own keys stay out of here
    this.still = matchMedia("(prefers-reduced-motion: reduce)");
    this.forced = matchMedia("(forced-colors: active)");
    this.overlays = Object.keys(VIEWS).map((view) => new Overlay(view, this));
    this.listen();
    this.speed.value = model.get("speed");
    this.dress();
    this.play(model.get("autoplay") && !this.still.matches);
    this.request = requestAnimationFrame((now) => this.frame(now));
  }

  parts() {
    this.toggle = make("button", { type: "button", className: "toggle" });
    this.speed = make("select", { ariaLabel: "Speed" }, ...SPEEDS.map((s) => make("option", { value: s, textContent: `${s}×` })));
    this.peak = make("button", { type: "button", className: "peak", textContent: "To the peak load" });
    this.scrubber = make("input", { type: "range", min: 0, step: 0.1, ariaLabel: "Time in the run", hidden: true });
    this.output = make("output", { ariaLive: "off" });
    return [make("style", { textContent: STYLE }), this.toggle, this.speed, this.peak, this.scrubber, this.output];
  }

  get run() { return this.all[0]; }

  listen() {
    const { model, box, scrubber } = this;
    const on = (target, event, handler) => target.addEventListener(event, handler, { signal: this.ended.signal });
    this.ended = new AbortController();
    on(box, "keydown", (event) => this.key(event));
    for (const { timeline } of this.overlays) if (timeline) on(timeline.box, "keydown", (event) => this.key(event));
    on(this.toggle, "click", () => this.play(!this.playing));
    on(this.peak, "click", () => { this.play(false); this.go(this.run?.scene.peak_time); });
    on(scrubber, "pointerdown", () => { this.held = true; });
    on(scrubber, "input", () => this.go((this.run?.start ?? 0) + Number(scrubber.value)));
    for (const end of ["change", "pointerup", "pointercancel"]) on(scrubber, end, () => { this.held = false; });
    for (const media of [matchMedia("(prefers-color-scheme: dark)"), this.forced]) on(media, "change", () => this.dress());
    on(this.still, "change", () => { if (this.still.matches) this.play(false); });
    this.observer = new MutationObserver(() => this.dress());
    this.observer.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
    this.watch = { seek: () => this.go(model.get("seek")), colours: () => this.dress() };
    this.watch.speed = () => { this.speed.value = model.get("speed"); };
    for (const name of ["run", "shapes", "scenes", "lanes", "units", "scale", "run_id"]) this.watch[name] = () => { this.stale = true; };
    for (const [name, handler] of Object.entries(this.watch)) model.on(`change:${name}`, handler);
  }

  load() {
    const get = (name) => this.model.get(name), share = this.run ? (this.time - this.run.start) / this.run.duration : 0;
    this.stale = false;
    this.runs += 1;
    this.all = decode(get("run"), get("shapes"), get("scenes"));
    if (this.run) [this.time, this.scrubber.max] = [this.run.start + share * this.run.duration, this.run.duration];
    Object.assign(this.box.dataset, { samples: this.run?.n ?? 0, run: get("run_id") });
    this.dress();
  }

  changed() { Object.assign(this, { version: this.version + 1, told: 0 }); }

  go(time) {
    if (!this.run || !Number.isFinite(time)) return;
    this.time = Math.min(Math.max(time, this.run.start), this.run.start + this.run.duration);
    this.changed();
  }

  play(playing) {
    this.playing = playing;
    this.toggle.textContent = playing ? "Pause" : "Play";
    this.box.dataset.playing = playing;
    this.changed();
  }

  key(event) {
    if (event.target === this.speed || event.altKey || event.ctrlKey || event.metaKey) return;
    if (step(event.key)) this.go(this.time + step(event.key));
    else if (event.key === " " && event.target.tagName !== "BUTTON") this.play(!this.playing);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  dress() {
    const lab = document.body.dataset.jpThemeLight;
    this.dark = lab ? lab === "false" : matchMedia("(prefers-color-scheme: dark)").matches;
    const own = this.model.get("colours")?.[this.dark ? "dark" : "light"] ?? {};
    this.colours = this.forced.matches ? { ...own, ...SYSTEM } : own;
    this.scale = this.model.get("scale") ?? 1;
    for (const name of ["ink", "paper", "faint"]) document.documentElement.style.setProperty(`--own-${name}`, own[name] ?? "");
    document.documentElement.style.setProperty("--own-k", this.scale);
    if (this.model.get("dark") !== this.dark) { this.model.set("dark", this.dark); this.model.save_changes(); }
    this.changed();
  }

  // Each run as it is drawn: where it is now, and its letter, colour and dash among others.
  shown() {
    const width = (wanted) => (this.scale === 1 ? wanted : Math.max(wanted * this.scale, AFAR));
    return this.all.map((run, k) => {
      const { letter } = run.scene, place = LETTERS.indexOf(letter || "A");
      const colour = letter ? this.colours.setups[place] : this.colours.ink;
      const line = (wanted) => ({ stroke: colour, width: width(wanted), dash: letter ? DASHES[place] : [] });
      return { run, at: sampleAt(run, this.time), front: k === 0, letter, colour, width, line };
    });
  }

  // Everything that the views draw at this instant.
  picture() {
    const shown = this.shown();
    return { shown, front: shown[0], units: this.model.get("units"), colours: this.colours, scale: this.scale,
      size: Math.ceil(LARGE * this.scale), lanes: this.model.get("lanes"), playing: this.playing };
  }

  tell() {
    const [passed, whole] = [this.time - this.run.start, this.run.duration].map(minutes);
    if (this.output.textContent !== `${passed} of ${whole}`) this.output.textContent = `${passed} of ${whole}`;
    if (!this.held) this.scrubber.value = this.time - this.run.start;
    this.scrubber.ariaValueText = this.output.textContent;
  }

  frame(now) {
    this.request = requestAnimationFrame((next) => this.frame(next));
    if (this.stale) this.load();
    const passed = Math.min((now - (this.last || now)) / 1000, 0.25), { run } = this;
    this.last = now;
    if (!run) return this.overlays.forEach((overlay) => overlay.remove());
    if (this.playing && !this.held) {
      this.time += passed * Number(this.speed.value);
      if (this.time > run.start + run.duration) this.time = run.start;
      this.version += 1;
      this.frames += 1;
    }
    const scope = this.model.get("scope"), picture = this.picture();
    const root = scope ? this.el.closest(`.${scope}`) || document.querySelector(`.${scope}`) : document;
    for (const overlay of this.overlays) overlay.frame(root, picture, this.version, now);
    Object.assign(this.box.dataset, { frames: this.frames, time: this.time.toFixed(3) });
    this.scrubber.hidden = Boolean(root?.querySelector(".anchorsim-view-load"));
    if (!this.told || (this.playing && now - this.told > 100)) { this.told = now; this.tell(); }
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

export const render = ({ model, el }) => { const player = new Player(model, el); return () => player.end(); };
