// A bearing that a person sets: on a compass dial, by the keys, or by typing it. North is up; it goes round.

const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -9, PageUp: 9 };
const STEP = 5;
const SVG = "http://www.w3.org/2000/svg";
const around = (value) => ((value % 360) + 360) % 360;

function drawn(name, attributes, parent) {
  const made = parent.appendChild(document.createElementNS(SVG, name));
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function render({ model, el }) {
  const row = el.appendChild(Object.assign(document.createElement("div"), { className: "anchorsim-amount anchorsim-bearing" }));
  const name = row.appendChild(Object.assign(document.createElement("span"), { className: "name" }));
  const dial = drawn("svg", { viewBox: "-50 -50 100 100", "aria-hidden": "true" }, row);
  const number = row.appendChild(Object.assign(document.createElement("input"), { type: "number", step: "any" }));
  const unit = row.appendChild(Object.assign(document.createElement("span"), { className: "unit" }));
  const get = (key) => model.get(key), large = get("large");
  row.classList.toggle("large", large);
  drawn("circle", { r: 46, class: "rose" }, dial);
  for (let at = 0; at < 360; at += 30) drawn("path", { d: at % 90 ? "M0-46V-41" : "M0-46V-37", transform: `rotate(${at})`, class: "tick" }, dial);
  if (large) drawn("text", { y: -22, "text-anchor": "middle" }, dial).textContent = "N";
  const hand = drawn("g", { class: "hand" }, dial);  // points down the wind, from where it blows
  drawn("path", { d: "M0-36V26M-9 13L0 28L9 13" }, hand);
  drawn("circle", { r: 9, cy: -36 }, hand);
  const grip = drawn("circle", { r: 22, cy: -36, class: "grip" }, hand);

  function set(value) {
    if (!Number.isFinite(value)) return show();
    model.set("value", around(Number(value.toPrecision(10))));
    model.save_changes();
    show();
  }

  function show() {
    const value = get("value") ?? 0;
    name.textContent = get("label");
    unit.textContent = get("unit");
    Object.assign(number, { ariaLabel: `${get("label")} in degrees`, title: get("help") });
    dial.setAttribute("data-value", value);
    hand.setAttribute("transform", `rotate(${value})`);
    if (document.activeElement !== number) number.value = String(Math.round(value * 10) / 10);
  }

  function point(event) {
    const box = dial.getBoundingClientRect();
    const east = event.clientX - box.left - box.width / 2, south = event.clientY - box.top - box.height / 2;
    if (Math.hypot(east, south) > 3) set(Math.round(Math.atan2(east, -south) * 180 / Math.PI / STEP) * STEP);
  }
  // A finger that comes down beside the hand may be about to scroll: only where it stays does the hand go there.
  dial.addEventListener("click", (event) => { if (event.pointerType === "touch") point(event); });
  dial.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "touch" && event.target !== grip) return;
    event.preventDefault();
    dial.setPointerCapture(event.pointerId);
    point(event);
  });
  dial.addEventListener("pointermove", (event) => { if (dial.hasPointerCapture(event.pointerId)) point(event); });
  dial.addEventListener("pointerup", () => number.focus({ preventScroll: true }));
  const typed = () => number.value.trim() === "" ? show() : set(Number(number.value));
  number.addEventListener("keydown", (event) => {
    if (event.key === "Enter") {
      typed();
      number.value = String(get("value"));
    }
    if (!(event.key in KEYS) || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    set((Math.round(get("value") / STEP) + KEYS[event.key]) * STEP);
    number.value = String(get("value"));
  });
  number.addEventListener("change", typed);
  number.addEventListener("blur", show);
  row.dataset.lmSuppressShortcuts = "true";
  model.on("change", show);
  show();
  return () => { model.off("change", show); row.remove(); };
}

export default { render };
