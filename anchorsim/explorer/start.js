// The first screen: three ways in, and what was made before. Every entry is one button.

const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));

function render({ model, el }) {
  const box = made("div", "anchorsim-index", el);
  el.dataset.lmSuppressShortcuts = "true";
  const title = made("h2", "", box), ways = made("div", "ways", box), lists = made("div", "lists", box);

  function show() {
    const said = model.get("said"), drawn = JSON.stringify(said);
    if (box.dataset.of === drawn) return;
    box.dataset.of = drawn;
    title.textContent = said.title ?? "";
    ways.replaceChildren();
    for (const [page, who, what, button] of said.ways ?? []) {
      const way = made("section", "way", ways);
      made("h3", "", way, { textContent: who });
      made("p", "", way, { textContent: what });
      made("button", "jupyter-button", way, { type: "button", textContent: button, onclick: () => model.send({ do: "page", key: page }) }).dataset.key = page;
    }
    lists.replaceChildren();
    for (const [heading, action, entries] of said.lists ?? []) if (entries.length) {
      const list = made("section", "", lists);
      made("h3", "", list, { textContent: heading });
      for (const [key, label] of entries) made("button", "entry", list, { type: "button", textContent: label, onclick: () => model.send({ do: action, key }) });
    }
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); box.remove(); };
}

export default { render };
