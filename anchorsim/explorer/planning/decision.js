// The one decision on top, and beneath it what it rests on. What is unfolded stays so while the figures grow.

function render({ model, el }) {
  const made = (tag, className, parent) => parent.appendChild(Object.assign(document.createElement(tag), { className }));
  const banner = made("section", "anchorsim-decision", el);
  banner.ariaLabel = "What to do";
  const said = made("div", "said", banner);
  said.role = "status";
  const headline = made("p", "headline", said), more = made("p", "more", said), caution = made("p", "caution", banner);
  const foot = made("p", "foot", banner);
  const rest = made("details", "cautions", banner), summary = made("summary", "", rest), list = made("div", "", rest);
  el.dataset.lmSuppressShortcuts = "true";

  function show() {
    const text = (element, words) => { if (element.textContent !== words) element.textContent = words; element.hidden = !words; };
    banner.dataset.tone = model.get("tone");
    text(headline, model.get("headline"));
    text(more, model.get("more"));
    text(foot, model.get("foot"));
    const [gravest, ...others] = model.get("cautions");
    const fill = (line, [signal, words]) => {
      line.textContent = "";
      made("b", "", line).textContent = `${signal} `;
      line.append(words);
    };
    caution.hidden = !gravest;
    if (gravest) fill(caution, gravest);
    rest.hidden = !others.length;
    text(summary, `${others.length} more`);
    list.replaceChildren();
    for (const one of others) fill(made("p", "", list), one);
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); banner.remove(); };
}

export default { render };
