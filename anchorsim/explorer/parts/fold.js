// A group's headline. It works in the page alone, so that folding is at once; the kernel is told for next time.

function render({ model, el }) {
  const button = el.appendChild(Object.assign(document.createElement("button"), { type: "button", className: "anchorsim-fold" }));
  const [mark, title, headline] = ["mark", "title", "headline"].map((name) =>
    button.appendChild(Object.assign(document.createElement("span"), { className: name })));
  mark.ariaHidden = "true";
  el.dataset.lmSuppressShortcuts = "true";

  function show() {
    const open = model.get("unfolded");
    title.textContent = model.get("title");
    headline.textContent = model.get("headline");
    mark.textContent = open ? "▾" : "▸";
    button.setAttribute("aria-expanded", String(open));
    requestAnimationFrame(() => el.closest(".anchorsim-group")?.classList.toggle("anchorsim-open", open));
  }
  button.addEventListener("click", () => {
    model.set("unfolded", !model.get("unfolded"));
    model.save_changes();
    show();
  });
  model.on("change", show);
  show();
  return () => { model.off("change", show); button.remove(); };
}

export default { render };
