// Draws the picture that the kernel gives, anew whenever there is another, or another size to draw it in. It is always drawn
// from what was given: to keep scales equal plotly widens the ranges in what it has drawn, and would never narrow them again.

// What a person has zoomed to stays as long as the picture means the same range.
function revised({ xaxis, yaxis }) {
  for (const axis of [xaxis, yaxis]) if (axis?.range) axis.uirevision = String(axis.range);
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
      revised(layout);
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
