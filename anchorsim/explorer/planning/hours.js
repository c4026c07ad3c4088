// Steps through the hours of a night: by pointer, by the arrows, Page Up and Down, Home and End. One tab stop.

function render({ model, el }) {
  const made = (tag, className, parent) => parent.appendChild(Object.assign(document.createElement(tag), { className }));
  const row = made("div", "anchorsim-hours", el), range = made("input", "", row);
  Object.assign(range, { type: "range", min: 0, step: 1, ariaLabel: "Hour of the night" });
  const line = made("div", "line", row), said = made("p", "said", line), open = made("button", "jupyter-button", line);
  said.role = "status";
  Object.assign(open, { type: "button", textContent: "Open this hour", title: "Show this hour in Swing; undo brings back what was there" });
  el.dataset.lmSuppressShortcuts = "true";

  function show() {
    const names = model.get("names"), at = Math.min(model.get("value"), names.length - 1);
    row.hidden = !names.length;
    if (!names.length) return;
    range.max = names.length - 1;
    if (Number(range.value) !== at) range.value = at;
    range.ariaValueText = names[at];
    said.textContent = model.get("lines")[at] ?? "";
    open.disabled = !model.get("afloat")[at];
  }
  range.addEventListener("input", () => {
    model.set("value", Number(range.value));
    model.save_changes();
    show();
  });
  range.addEventListener("keydown", (event) => {
    const by = { PageUp: 3, PageDown: -3 }[event.key];
    event.stopPropagation();  // JupyterLab's own keys
    if (!by) return;
    event.preventDefault();
    range.value = Math.min(Math.max(Number(range.value) + by, 0), Number(range.max));
    range.dispatchEvent(new Event("input"));
  });
  open.addEventListener("click", () => model.send({ do: "open", hour: model.get("value") }));
  model.on("change", show);
  show();
  return () => { model.off("change", show); row.remove(); };
}

export default { render };
