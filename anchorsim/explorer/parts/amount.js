// A quantity that a person sets: by dragging, by the keys, or by typing it. The value never snaps by itself,
// so that 6 m stays 6 m when it is shown in feet. One that may be left blank has no value then.

const KEYS = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 };
const SLIDE = 10;  // px that a finger goes before it is plain whether it slides or scrolls
const WORDS = { less: "Less", more: "More" };
const HTML = '<span class="name"></span><input type="range" step="any"><button type="button" class="step">−</button><input type="number" step="any">'
  + '<button type="button" class="step">+</button><span class="unit"></span>';

function render({ model, el }) {
  const row = el.appendChild(Object.assign(document.createElement("div"), { className: "anchorsim-amount", innerHTML: HTML }));
  const [name, range, less, number, more, unit] = row.children, get = (key) => model.get(key);
  let held = false, finger = null;  // where a finger came down, until it slides along

  // On whole steps, and within the bounds; the last digits of a sum of steps are noise.
  const clean = (value) => Number(Math.min(Math.max(value, get("low")), get("high")).toPrecision(10));
  const onStep = (value) => clean(Math.round(value / get("step")) * get("step"));
  const digits = (value) => value === null ? "" : String(Number(value.toPrecision(4)));

  function set(value) {
    if (value === null ? !get("blank") : !Number.isFinite(value)) return show();
    model.set("value", value);
    model.save_changes();
    show();
  }

  function show() {
    name.textContent = get("label");
    unit.textContent = get("unit");
    const words = `${get("label")}${get("unit") && ` in ${get("unit")}`}`;
    for (const input of [range, number]) Object.assign(input, { ariaLabel: words, title: get("help") });
    const value = get("value"), at = value ?? get("low");
    number.placeholder = get("blank");
    row.classList.toggle("worded", Boolean(get("blank")));  // there is room for the word that stands where nothing is given
    [less.ariaLabel, more.ariaLabel] = [`${WORDS.less}: ${get("label")}`, `${WORDS.more}: ${get("label")}`];
    Object.assign(range, { min: Math.min(get("low"), at), max: Math.max(get("high"), at) });
    range.ariaValueText = value === null ? get("blank") : `${digits(value)} ${get("unit")}`;
    if (!held) range.value = at;
    if (document.activeElement !== number) number.value = digits(get("value"));
  }

  // JupyterLab keeps the browser from telling of a change by Enter.
  const typed = () => number.value.trim() === "" ? set(number.validity.badInput ? NaN : null) : set(clean(Number(number.value)));
  const step = (by) => {
    const count = (get("value") ?? get("low")) / get("step");
    set(onStep((by > 0 ? Math.floor(count + 1e-6) : Math.ceil(count - 1e-6)) * get("step") + by * get("step")));
  };
  const steps = (event) => {
    if (event.key === "Enter" && event.target === number) {
      typed();
      number.value = digits(get("value"));
    }
    if (!(event.key in KEYS) || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    step(KEYS[event.key]);
    if (event.target === number) number.value = digits(get("value"));
  };
  row.dataset.lmSuppressShortcuts = "true";
  row.addEventListener("keydown", steps);
  // A finger that comes down may be about to scroll: it moves nothing until it has gone along the slider.
  range.addEventListener("pointerdown", (event) => {
    held = true;
    finger = event.pointerType === "touch" ? [event.clientX, event.clientY] : null;
  });
  range.addEventListener("pointermove", (event) => {
    if (!finger) return;
    const [along, across] = [Math.abs(event.clientX - finger[0]), Math.abs(event.clientY - finger[1])];
    if (along > SLIDE && along > 2 * across) finger = null;
  });
  range.addEventListener("input", () => { if (!finger) set(onStep(Number(range.value))); });
  for (const end of ["change", "pointerup", "pointercancel"]) range.addEventListener(end, () => { held = false; show(); });
  range.addEventListener("change", () => { finger = null; });
  for (const [button, by] of [[less, -1], [more, 1]]) {
    button.tabIndex = -1;  // the keys do the same
    button.addEventListener("click", () => step(by));
  }
  number.addEventListener("change", typed);
  number.addEventListener("blur", show);
  model.on("change", show);
  show();
  return () => { model.off("change", show); row.remove(); };
}

export default { render };
