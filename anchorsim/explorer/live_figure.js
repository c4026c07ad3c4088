// A plotly figure whose code comes by another widget, and perhaps late. anywidget gives a model two seconds to begin and
// then loses all that is sent to it: so this one begins at once, keeps what is sent, and goes through it when plotly is there.

const SENT = ["addTraces", "deleteTraces", "moveTraces", "restyle", "relayout", "update", "animate", "removeLayoutProps", "removeTraceProps"]
  .map((what) => `_py2js_${what}`);
// What plotly filled in by itself: the kernel has no use for it, and there are megabytes of it.
const UNHEARD = ["_js2py_traceDeltas", "_js2py_layoutDelta"];

function waiting({ model, ...context }) {
  const early = [], listeners = [];
  const heard = SENT.map((key) => [`change:${key}`, () => early.push([key, model.get(key)])]);
  for (const [name, hear] of heard) model.on(name, hear);
  let now = null;  // what is gone through
  const told = {
    ...model,
    get: (key) => (now?.[0] === key ? now[1] : model.get(key)),
    set: (key, value) => UNHEARD.includes(key) || model.set(key, value),
    on: (name, listener) => { listeners.push([name, listener]); model.on(name, listener); },
  };
  return COME.then(async (plot) => {
    const own = await plot();
    for (const [name, hear] of heard) model.off(name, hear);
    await own.initialize({ ...context, model: told });
    for (now of early) for (const [name, listener] of listeners) if (name === `change:${now[0]}`) listener();
    now = null;
    return own;
  });
}

// What was taken out of a figure before it was drawn stands in it by this word, of which plotly cannot draw.
const GONE = "_undefined_";
function tidy(held) {
  for (const [key, value] of Object.entries(held)) {
    if (value === GONE) delete held[key];
    else if (value && typeof value === "object" && !ArrayBuffer.isView(value)) tidy(value);
  }
}

// Ranges that plotly widened for equal scales are those that were meant again, before it widens them for another size.
// Only then: where nothing has it draw anew, it would take them as they are, and leave the scales unequal.
function meant({ layout }) {
  for (const axis of [layout?.xaxis, layout?.yaxis]) if (axis?.uirevision) axis.range = [...axis.uirevision];
}

function resized(place) {
  const { width, height } = place._fullLayout ?? {}, now = getComputedStyle(place);
  if (!place.offsetParent) return false;  // on a page that is not open
  return Math.abs(width - parseFloat(now.width)) > 1 || Math.abs(height - parseFloat(now.height)) > 1;  // px, as plotly has it
}

export default async () => {
  let begun;
  const places = new Set();
  const fit = () => [...places].filter(resized).forEach(meant);
  return {
    initialize(context) {
      const ranged = ([key, value]) => /axis\.(range|uirevision)/.test(key) || value?.uirevision;
      const told = () => Object.entries(context.model.get("_py2js_update")?.layout_data ?? {}).some(ranged) && places.forEach(meant);
      context.model.on("change:_py2js_update", told);  // ahead of plotly's own listener
      begun = waiting(context);
    },
    async render(context) {
      const own = await begun;
      for (const part of ["_widget_data", "_widget_layout"]) tidy(context.model.get(part));
      const remove = await own.render(context);
      places.add(context.el);
      window.addEventListener("resize", fit, true);  // ahead of plotly's
      const sizes = new ResizeObserver(() => window.dispatchEvent(new Event("resize")));
      sizes.observe(context.el);
      return () => { sizes.disconnect(); places.delete(context.el); window.removeEventListener("resize", fit, true); remove?.(); };
    },
  };
};
