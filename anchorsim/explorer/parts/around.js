// What lies round the anchor: rows to type in, and handles over the view from above. Both are made of `things`,
// which the kernel sends; a thing that is being moved is shown where the hand has it until the kernel has followed.

const SVG = "http://www.w3.org/2000/svg", VIEW = ".anchorsim-view-above";
const ARROWS = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowRight: [0, 1], ArrowLeft: [0, -1] };
const FAST = 5, PAUSE = 250;      // metres by Shift and an arrow; ms after the last arrow until the kernel hears of it
const MOST_CORNERS = 24;          // of a shape whose corners can be moved one by one
const INSET = 12;                 // px from the plot's edge, where the handle is of what lies farther off
const STILL = 3;                  // px within which a press is a click

const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));
function drawn(name, attributes, parent) {
  const found = parent.appendChild(document.createElementNS(SVG, name));
  for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
  return found;
}
const sum = ([n, e], [dn, de]) => [n + dn, e + de];
const shown = (value) => value === null ? "" : String(Math.round(value * 10) / 10);
const three = (value) => String(Math.round((value + 360) % 360) % 360).padStart(3, "0");

// One thing's elements over the picture, made once and moved after that.
class Handle {
  constructor(picture, thing) {
    this.group = drawn("g", { class: `thing ${thing.kind}`, tabindex: 0, role: "button", "data-key": thing.key }, picture.svg);
    this.reach = drawn("path", { class: "reach" }, this.group);
    this.line = drawn("path", { class: "line" }, this.group);
    this.grip = drawn("circle", { class: "grip", r: 16 }, this.group);
    this.ring = drawn("circle", { class: "ring", r: 7 }, this.group);
    this.label = drawn("text", { class: "label" }, this.group);
    this.corners = [];
    picture.listen(this);
  }

  draw(thing, on, words) {
    const points = thing.corners.map(on.pixels), closed = thing.kind === "area";
    const path = points.length > 1 ? points.map(([x, y], k) => `${k ? "L" : "M"}${x} ${y}`).join("") + (closed ? "Z" : "") : "";
    this.line.setAttribute("d", path);
    this.reach.setAttribute("d", path);
    const at = on.pixels(thing.at), [x, y] = on.within(at);
    this.group.classList.toggle("away", x !== at[0] || y !== at[1]);
    for (const circle of [this.grip, this.ring]) { circle.setAttribute("cx", x); circle.setAttribute("cy", y); }
    const told = `${three(thing.bearing)}° ${shown(thing.distance)} ${on.unit}`;
    this.label.textContent = told;
    const right = x > on.left + on.width * 0.75;
    for (const [key, value] of [["x", x + (right ? -12 : 12)], ["y", y - 10], ["text-anchor", right ? "end" : "start"]]) this.label.setAttribute(key, value);
    this.group.setAttribute("aria-label", `${thing.name}, ${told}. ${words.handle}`);
    const wanted = points.length > 1 && points.length <= MOST_CORNERS ? points : [];
    while (this.corners.length > wanted.length) this.corners.pop().remove();
    wanted.forEach(([cx, cy], k) => {
      this.corners[k] ??= drawn("circle", { class: "corner", r: 6, "data-corner": k }, this.group);
      for (const [key, value] of [["cx", cx], ["cy", cy]]) this.corners[k].setAttribute(key, value);
    });
  }
}

// The handles over the plot, wherever that is now: figures come late, go, and are drawn anew.
class Picture {
  constructor(el, model, state) {
    Object.assign(this, { el, model, state, handles: new Map(), drawn: "" });
    this.svg = document.createElementNS(SVG, "svg");
    this.svg.setAttribute("class", "anchorsim-around-picture");
    this.svg.setAttribute("role", "group");
    this.svg.dataset.lmSuppressShortcuts = "true";
    this.svg.addEventListener("pointerdown", (event) => this.click(event));
    this.request = requestAnimationFrame(() => this.frame());
  }

  plane() {
    const gd = this.el.closest(".anchorsim-explorer")?.querySelector(`${VIEW} .js-plotly-plot`);
    const X = gd?._fullLayout?.xaxis, Y = gd?._fullLayout?.yaxis, holder = gd?.querySelector(".svg-container");
    if (!holder || !X?._length || !Y?._length || !gd.offsetParent) return null;
    const [x0, x1] = X.range.map(Number), [y0, y1] = Y.range.map(Number), per = this.model.get("per");
    const [left, top, width, height] = [X._offset, Y._offset, X._length, Y._length];
    const bound = (value, from, length) => Math.min(Math.max(value, from + INSET), from + length - INSET);
    return {
      holder, left, top, width, height, unit: this.model.get("unit"), size: [gd._fullLayout.width, gd._fullLayout.height],
      pixels: ([north, east]) => [left + width * (east * per - x0) / (x1 - x0), top + height * (1 - (north * per - y0) / (y1 - y0))],
      metres: ([px, py]) => [(y0 + (y1 - y0) * (1 - (py - top) / height)) / per, (x0 + (x1 - x0) * (px - left) / width) / per],
      within: ([x, y]) => [bound(x, left, width), bound(y, top, height)],
      drawn: [x0, x1, y0, y1, left, top, width, height, per].join(),
    };
  }

  frame() {
    this.request = requestAnimationFrame(() => this.frame());
    const on = this.on = this.plane();
    if (!on) return this.svg.remove();
    const wanted = `${this.state.version} ${on.drawn}`;
    if (this.svg.parentNode !== on.holder) on.holder.append(this.svg);
    else if (wanted === this.drawn) return;
    this.drawn = wanted;
    const words = this.model.get("words");
    this.svg.setAttribute("aria-label", words.title ?? "");
    for (const [k, name] of ["width", "height"].entries()) this.svg.setAttribute(name, on.size[k]);
    this.svg.classList.toggle("putting", Boolean(this.state.putting));
    const things = this.state.things();
    for (const [key, handle] of this.handles) if (!things.some((thing) => thing.key === key && handle.group.matches(`.${thing.kind}`))) {
      handle.group.remove();
      this.handles.delete(key);
    }
    for (const thing of things) {
      if (!this.handles.has(thing.key)) this.handles.set(thing.key, new Handle(this, thing));
      this.handles.get(thing.key).draw(thing, on, words);
    }
  }

  place(event) {
    const box = this.svg.getBoundingClientRect();
    return this.on.metres([event.clientX - box.left, event.clientY - box.top]);
  }

  click(event) {
    if (!this.state.putting || !this.on) return;
    event.preventDefault();
    event.stopPropagation();
    this.state.put(this.place(event), "handle");
  }

  listen({ group }) {
    const key = group.dataset.key;
    let from = null;
    group.addEventListener("pointerdown", (event) => {
      if (this.state.putting || event.button || !this.on) return;
      event.preventDefault();
      event.stopPropagation();
      group.focus({ preventScroll: true });
      group.setPointerCapture(event.pointerId);
      const thing = this.state.thing(key);
      from = { place: this.place(event), thing, corner: event.target.dataset.corner, x: event.clientX, y: event.clientY, moved: false };
    });
    group.addEventListener("pointermove", (event) => {
      if (!from || !this.on) return;
      if (!from.moved && Math.hypot(event.clientX - from.x, event.clientY - from.y) <= STILL) return;
      from.moved = true;
      group.classList.add("moving");
      const place = this.place(event), by = [place[0] - from.place[0], place[1] - from.place[1]];
      this.state.hold(from.thing, by, from.corner === undefined ? null : Number(from.corner));
    });
    for (const end of ["pointerup", "pointercancel"]) group.addEventListener(end, () => {
      group.classList.remove("moving");
      if (from?.moved) end === "pointerup" ? this.state.send(key) : this.state.again();
      from = null;
    });
    group.addEventListener("keydown", (event) => {
      if (event.altKey || event.ctrlKey || event.metaKey) return;
      const step = ARROWS[event.key], many = event.shiftKey ? FAST : 1;
      if (step) this.state.nudge(key, step.map((each) => each * many));
      else if (event.key === "Delete" || event.key === "Backspace") this.state.remove(key);
      else return;
      event.preventDefault();
      event.stopPropagation();
    });
  }

  focus(key) { this.handles.get(key)?.group.focus({ preventScroll: true }); }
  end() { cancelAnimationFrame(this.request); this.svg.remove(); }
}

// What is on its way from the hand to the kernel.
class State {
  constructor(model) { Object.assign(this, { model, held: new Map(), busy: "", version: 0, putting: "", said: "", after: null, timer: 0 }); }
  changed() { this.version += 1; this.show?.(); }
  things() { return this.model.get("things").map((thing) => this.held.get(thing.key) ?? thing); }
  thing(key) { return this.things().find((thing) => thing.key === key); }

  hold(thing, by, corner) {
    const corners = thing.corners.map((place, k) => corner === null || corner === k ? sum(place, by) : place);
    const at = corner === null ? sum(thing.at, by) : thing.at;
    const bearing = Math.atan2(at[1], at[0]) * 180 / Math.PI, distance = Math.hypot(...at) * this.model.get("per");
    this.busy = thing.key;
    this.held.set(thing.key, { ...thing, corners, at, bearing: (bearing + 360) % 360, distance });
    this.changed();
  }

  nudge(key, by) {
    const thing = this.thing(key);
    if (!thing) return;
    this.hold(thing, by, null);
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(key, true), PAUSE);
  }

  send(key, keys = false) {
    const held = this.held.get(key);
    this.busy = "";
    if (held) this.model.send({ do: "move", key, corners: held.corners, keys });
  }

  // Enter and the browser's own word of a change may both tell of one entry.
  set(key, field, value) {
    const said = JSON.stringify([key, field, value]);
    if (said !== this.said) this.model.send({ do: "set", key, field, value });
    this.said = said;
  }

  remove(key) { this.again(); this.model.send({ do: "remove", key }); }

  put(at, focus) {
    this.after = { count: this.model.get("things").length, kind: this.putting, focus };
    this.model.send({ do: "put", kind: this.putting, at });
    this.putting = "";
    this.changed();
  }

  // The kernel has followed: what the hand still moves stays where the hand has it.
  followed() {
    this.said = "";
    for (const key of this.held.keys()) if (key !== this.busy) this.held.delete(key);
    this.changed();
  }

  // It has refused, or the move is given up.
  again() {
    clearTimeout(this.timer);
    this.busy = "";
    this.followed();
  }
}

class Rows {
  constructor(el, model, state) {
    Object.assign(this, { model, state, rows: new Map() });
    this.box = made("div", "anchorsim-around", el);
    this.box.role = "group";
    this.box.dataset.lmSuppressShortcuts = "true";
    this.tools = made("div", "put", this.box);
    this.hint = made("p", "hint", this.box, { role: "status" });
    this.list = made("ul", "rows", this.box);
    el.closest("body")?.addEventListener("keydown", this.escape = (event) => {
      if (event.key === "Escape" && state.putting) { state.putting = ""; state.changed(); }
    });
  }

  show(picture) {
    const words = this.model.get("words"), things = this.state.things();
    this.box.ariaLabel = words.title ?? "";
    for (const [kind, label] of Object.entries(words.put ?? {})) {
      const button = this.tools.querySelector(`[data-kind="${kind}"]`) ?? made("button", "jupyter-button", this.tools, { type: "button" });
      button.dataset.kind = kind;
      button.textContent = label;
      button.ariaPressed = String(this.state.putting === kind);
      button.onclick = (event) => this.arm(kind, event.detail === 0 || !picture.on);
    }
    this.hint.textContent = this.state.putting ? words.hint : "";
    for (const [key, row] of this.rows) if (!things.some((thing) => thing.key === key && row.kind === thing.kind)) {
      this.rows.delete(key);  // before it goes: a field that loses the focus by that shows the rows, too
      row.item.remove();
    }
    for (const thing of things) {
      if (!this.rows.has(thing.key)) this.rows.set(thing.key, this.made(thing));
      const row = this.rows.get(thing.key);
      if (this.list.lastChild !== row.item) this.list.append(...(row.item.contains(document.activeElement) ? [] : [row.item]));
      this.fill(row, thing, words);
    }
  }

  // By keys there is nothing to click with: it is put down the wind, and then typed where it is.
  arm(kind, here) {
    this.state.putting = this.state.putting === kind && !here ? "" : kind;
    if (here) this.state.put(null, "row");
    else this.state.changed();
  }

  made({ key, kind }) {
    const item = made("li", kind, this.list), row = { item, kind, fields: {} };
    const field = (name, type, parent, unit) => {
      const label = made("label", name, parent), caption = made("span", "", label);
      const input = made("input", "", label, { type, ...(type === "number" ? { step: "any" } : { maxLength: 200 }) });
      row.fields[name] = { label, caption, input, unit: unit && made("span", "unit", label) };
      const commit = () => this.commit(key, name, input);
      input.addEventListener("change", commit);
      input.addEventListener("keydown", (event) => { if (event.key === "Enter") commit(); });
      input.addEventListener("blur", () => this.state.changed());
    };
    const first = made("div", "first", item), second = made("div", "second", item);
    field("name", "text", first);
    row.remove = made("button", "jupyter-button remove", first, { type: "button", textContent: "✕", onclick: () => this.state.remove(key) });
    field("bearing", "number", second, true);
    field("distance", "number", second, true);
    if (kind === "neighbour") {
      const third = made("div", "third", item);
      row.boat = made("select", "", third, { onchange: () => this.state.set(key, "boat", row.boat.value) });
      field("rode", "number", third, true);
    } else field("depth", "number", second, true);
    row.note = made("p", "note", item);
    return row;
  }

  commit(key, name, input) {
    const thing = this.state.thing(key);
    if (!thing) return;
    if (name === "name") return input.value !== thing.name && this.state.set(key, name, input.value);
    const value = input.value.trim() === "" && name === "depth" ? null : Number(input.value);
    const fits = value === null ? !input.validity.badInput : Number.isFinite(value) && input.value.trim() !== "";
    if (!fits) { input.value = shown(thing[name]); return; }
    if (shown(value) !== shown(thing[name])) this.state.set(key, name, name === "bearing" ? ((value % 360) + 360) % 360 : value);
  }

  fill(row, thing, words) {
    const unit = this.model.get("unit"), captions = { bearing: words.bears, distance: words.off, depth: words.depth, rode: words.rode };
    for (const [name, { label, caption, input, unit: sign }] of Object.entries(row.fields)) {
      caption.textContent = captions[name] ?? "";
      input.ariaLabel = name === "name" ? words.name : `${thing.name}: ${captions[name]}`;
      if (sign) sign.textContent = name === "bearing" ? "°" : unit;
      if (document.activeElement !== input) input.value = name === "name" ? thing.name : shown(thing[name]);
      label.hidden = name === "depth" && thing.kind !== "area" && thing.depth === null;
    }
    row.remove.ariaLabel = row.remove.title = `${words.remove} ${thing.name}`;
    if (row.boat) {
      const boats = this.model.get("boats");
      if (row.boat.options.length !== boats.length) row.boat.replaceChildren(...boats.map(([value, text]) => new Option(text, value)));
      row.boat.value = thing.boat;
      row.boat.ariaLabel = `${thing.name}: ${words.boat}`;
    }
    row.note.textContent = thing.note;
    row.note.dataset.tone = thing.tone;
  }

  focus(key) { const field = this.rows.get(key)?.fields.bearing.input; field?.focus(); field?.select(); }
  end() { document.body.removeEventListener("keydown", this.escape); this.box.remove(); }
}

function render({ model, el }) {
  const state = new State(model), picture = new Picture(el, model, state), rows = new Rows(el, model, state);
  state.show = () => rows.show(picture);
  const changed = () => {
    state.followed();
    const { after } = state, things = model.get("things");
    if (!after || things.length <= after.count) return;
    state.after = null;
    const mine = things.filter((thing) => after.kind === "neighbour" ? thing.kind === "neighbour" : thing.kind === after.kind).at(-1);
    if (mine) requestAnimationFrame(() => requestAnimationFrame(() => (after.focus === "row" ? rows : picture).focus(mine.key)));
  };
  const told = (content) => { if (content.do === "again") state.again(); };
  model.on("change", changed);
  model.on("msg:custom", told);
  state.changed();
  return () => { model.off("change", changed); model.off("msg:custom", told); picture.end(); rows.end(); };
}

export default { render };
