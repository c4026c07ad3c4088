// The view of load and wind as a slider: wherever it is pressed or dragged, the clock goes there.

import { minutes } from "./run.js";
import { VIEWS } from "./views.js";

const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10, Home: -1e9, End: 1e9 };
const MEANT = 8;           // px that a finger goes along before it is no swipe that scrolls the page

export const step = (key) => KEYS[key];

export class Timeline {
  constructor(player) {
    Object.assign(this, { player, told: 0 });
    this.box = Object.assign(document.createElement("div"), { className: "anchorsim-timeline", tabIndex: 0, role: "slider",
      ariaLabel: "Load and wind: time in the run", ariaOrientation: "horizontal", ariaValueMin: "0" });
    this.box.dataset.lmSuppressShortcuts = "true";
    for (const [event, handler] of Object.entries({ pointerdown: this.press, pointermove: this.move, pointerup: this.release,
      pointercancel: this.cancel })) this.box.addEventListener(event, handler.bind(this));
  }

  frame(holder, layout, frame, now) {
    const { _offset, _length, range } = layout.xaxis, [first, last] = range.map(Number);
    this.at = (x) => (first + (last - first) * (x - holder.getBoundingClientRect().left - _offset) / _length) / frame.units.time.factor;
    if (frame.playing && now - this.told < 1000) return;
    this.told = now;
    const { at, run } = frame.front, words = VIEWS["anchorsim-view-load"].tell(frame.front, frame.units);
    if (this.words === words) return;
    this.words = words;
    Object.assign(this.box, { ariaValueMax: run.duration.toFixed(0), ariaValueNow: (at.time - run.start).toFixed(0), ariaValueText: words });
  }

  press(event) {
    if (event.button || this.pressed) return;
    this.pressed = { id: event.pointerId, x: event.clientX, meant: event.pointerType === "mouse" };
    this.box.setPointerCapture(event.pointerId);
    if (this.pressed.meant) this.seek(event);
  }

  move(event) {
    if (this.pressed?.id !== event.pointerId) return;
    this.pressed.meant ||= Math.abs(event.clientX - this.pressed.x) > MEANT;
    if (this.pressed.meant) this.seek(event);
  }

  release(event) {
    if (this.pressed?.id !== event.pointerId) return;
    this.seek(event);      // a tap is meant too
    this.cancel();
  }

  cancel() { this.pressed = null; this.player.held = false; }

  seek(event) {
    this.player.held = true;
    this.player.go(this.at(event.clientX));
  }
}
