// The head of the screen. A page opens at once, in the browser; what it needs of the kernel comes after.

const KEYS = { z: "undo", Z: "redo", y: "redo" };

function render({ model, el }) {
  const made = (tag, className, parent) => parent.appendChild(Object.assign(document.createElement(tag), { className }));
  const head = made("div", "anchorsim-head-row", el);
  const title = made("h1", "title", head), name = made("span", "", title), note = made("small", "", title);
  const tabs = made("div", "tabs", head);
  Object.assign(tabs, { role: "tablist", ariaLabel: "Pages" });
  const actions = made("div", "actions", head);
  const screen = () => el.closest(".anchorsim-explorer");
  el.dataset.lmSuppressShortcuts = "true";

  function open(page, focus) {
    model.set("page", page);
    model.save_changes();
    show();
    if (focus) tabs.querySelector('[aria-selected="true"]').focus();
  }

  // Presenting is at once, in the browser; the pictures follow.
  function act(key) {
    if (key !== "present") return model.send({ do: key });
    model.set("presenting", !model.get("presenting"));
    model.save_changes();
    show();
  }

  // The same elements stay while their words change, so that none loses the focus.
  function fill(parent, entries, act, dress) {
    while (parent.children.length > entries.length) parent.lastChild.remove();
    entries.forEach(([key, label, help, enabled], place) => {
      const button = parent.children[place] ?? made("button", "", parent);
      Object.assign(button, { type: "button", title: help ?? "", disabled: enabled === false, onclick: () => act(key) });
      if (button.textContent !== label) button.textContent = label;
      button.dataset.key = key;
      dress(button, key);
    });
  }

  function show() {
    const page = model.get("page");
    name.textContent = model.get("title");
    note.textContent = model.get("note");
    fill(tabs, model.get("pages"), (key) => open(key), (button, key) => {
      const here = key === page;
      Object.assign(button, { role: "tab", ariaSelected: String(here), tabIndex: here ? 0 : -1 });
    });
    fill(actions, model.get("actions"), act, (button, key) => {
      button.ariaPressed = key === "present" ? String(model.get("presenting")) : null;
    });
    requestAnimationFrame(() => {
      const found = screen();
      const presenting = model.get("presenting");
      if (!found || (found.dataset.page === page && found.classList.contains("anchorsim-presenting") === presenting)) return;
      found.dataset.page = page;
      found.classList.toggle("anchorsim-presenting", presenting);
      window.dispatchEvent(new Event("resize"));  // plotly measures a picture's room only when told
    });
  }

  tabs.addEventListener("keydown", (event) => {
    const keys = model.get("pages").map(([key]) => key), at = keys.indexOf(model.get("page"));
    const to = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: keys.length - 1 }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    open(keys[(to + keys.length) % keys.length], true);
  });
  // In a field being typed in, undoing is the browser's own.
  const keys = (event) => {
    const action = (event.ctrlKey || event.metaKey) && !event.altKey && KEYS[event.key];
    if (!action || event.target.matches?.("textarea, input[type=text]") || !screen()?.isConnected) return;
    event.preventDefault();
    event.stopPropagation();
    if (model.get("actions").some(([key, , , can]) => key === action && can)) model.send({ do: action });
  };
  window.addEventListener("keydown", keys, true);
  model.on("change", show);
  show();
  return () => { window.removeEventListener("keydown", keys, true); model.off("change", show); head.remove(); };
}

export default { render };
