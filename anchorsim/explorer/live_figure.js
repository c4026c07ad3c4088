// Draws the picture that the kernel gives, anew whenever there is another, or another size to draw it in. It is always drawn
// from what was given: to keep scales equal plotly widens the ranges in what it has drawn, and would never narrow them again.

// What a person has chosen of plotly's tools stays, and what was zoomed to as long as the picture means the same ranges and has
// the same size. What plotly would keep of a zoom by itself, it makes other than it was where scales are equal.
function keep(layout, before, size) {
  const axes = Object.keys(layout).filter((name) => /^[xy]axis/.test(name) && layout[name].range), all = `${axes.map((name) => layout[name].range)} at ${size}`;
  layout.uirevision = "tools";
  for (const name of axes) {
    const axis = layout[name], was = before?.[name];
    axis.uirevision = `${axis.range} of ${all}`;
    if (was?.uirevision === axis.uirevision) axis.range = [...was.range];
  }
}

export default {
  async render({ model, el }) {
    const plotly = await COME;
    let waiting = 0, drawn = "";
    const size = () => `${el.clientWidth} × ${el.clientHeight}`;
    const draw = () => {
      waiting = 0;
      drawn = size();
      const { data, layout } = JSON.parse(new TextDecoder().decode(model.get("_sent")));
      keep(layout, el._fullLayout, drawn);
      plotly.react(el, data, layout, model.get("_config"));
    };
    const ask = () => { waiting ||= requestAnimationFrame(draw); };
    const sizes = new ResizeObserver(() => { if (el.offsetParent && size() !== drawn) ask(); });
    model.on("change:_sent", ask);
    draw();
    sizes.observe(el);
    return () => {
      sizes.disconnect();
      cancelAnimationFrame(waiting);
      model.off("change:_sent", ask);
      plotly.purge(el);
    };
  },
};
