// The set-ups beneath each other: who each is and what can be done with it, and its figures as bars on common axes.

const DASHES = { solid: "", dash: "7 4", dot: "2 4", dashdot: "7 3 2 3" };
const ACTS = {
  show: ["Show", "Put this set-up on screen; undo brings back what was there"],
  rename: ["Rename", "Give this set-up another name"],
  remove: ["Remove", "Remove this set-up from the comparison"],
  keep: ["Keep", "Keep this set-up, to compare others with"],
};

function render({ model, el }) {
  const made = (tag, className, parent) => parent.appendChild(Object.assign(document.createElement(tag), { className }));
  const table = made("div", "anchorsim-lanes", el), head = made("div", "lane heads", table), rows = [];
  head.ariaHidden = "true";  // each figure is named again beside its value
  table.role = "list";
  table.ariaLabel = "Set-ups";
  el.dataset.lmSuppressShortcuts = "true";
  let renaming = null;  // the letter of the set-up that is being given a name

  function line(parent) {
    const svg = parent.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "svg"));
    svg.setAttribute("viewBox", "0 0 30 4");
    svg.setAttribute("aria-hidden", "true");
    const stroke = svg.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "path"));
    stroke.setAttribute("d", "M0 2H30");
    return stroke;
  }

  function row(place) {
    if (rows[place]) return rows[place];
    const lane = made("div", "lane", table), who = made("div", "who", lane), first = made("div", "first", who);
    lane.role = "listitem";
    const found = { lane, badge: made("span", "badge", first), stroke: line(first), name: made("strong", "name", first) };
    found.input = made("input", "name", first);
    Object.assign(found.input, { type: "text", maxLength: 60 });
    const second = made("div", "second", who);
    found.word = made("b", "word", second);
    found.gist = made("span", "gist", second);
    found.acts = made("div", "acts", who);
    found.cells = [];
    found.problem = made("p", "problem", lane);
    found.input.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Enter") named(found, true);
      if (event.key === "Escape") named(found, false);
    });
    found.input.addEventListener("blur", () => named(found, true));
    return (rows[place] = found);
  }

  function named(found, keep) {
    if (renaming === null || renaming !== found.letter) return;
    const name = found.input.value.trim();
    renaming = null;
    if (keep && name && name !== found.name.textContent) model.send({ do: "rename", letter: found.letter, name });
    show();
    found.acts.querySelector('[data-do="rename"]')?.focus();
  }

  function act(found, what) {
    if (what !== "rename") return model.send({ do: what, letter: found.letter });
    renaming = found.letter;
    show();
    found.input.value = found.name.textContent;
    found.input.focus();
    found.input.select();
  }

  function cell(found, place) {
    if (found.cells[place]) return found.cells[place];
    const box = made("div", "cell", found.lane), words = made("div", "words", box);
    const made_ = { box, title: made("span", "title", words), value: made("b", "value", words), note: made("small", "note", words) };
    const track = made("div", "track", box);
    track.ariaHidden = "true";
    Object.assign(made_, { fill: made("i", "fill", track), band: made("i", "band", track), limit: made("i", "limit", track) });
    return (found.cells[place] = made_);
  }

  function fill(found, setup, axes) {
    Object.assign(found, { letter: setup.letter });
    found.lane.style.setProperty("--own", setup.colour);
    found.lane.classList.toggle("here", setup.here);
    found.lane.ariaLabel = `${setup.letter}: ${setup.name}`;
    found.badge.textContent = setup.letter;
    found.stroke.setAttribute("stroke-dasharray", DASHES[setup.dash]);
    found.name.textContent = found.name.title = setup.name;
    found.input.ariaLabel = `Name of ${setup.letter}`;
    found.input.hidden = renaming !== setup.letter;
    found.name.hidden = renaming === setup.letter;
    found.word.textContent = setup.word;
    found.word.dataset.tone = setup.tone;
    found.gist.textContent = found.gist.title = setup.gist;
    const wanted = setup.kept ? ["show", "rename", "remove"] : ["keep"];
    if (found.acts.dataset.of !== wanted.join()) {
      found.acts.replaceChildren();
      found.acts.dataset.of = wanted.join();
      for (const what of wanted) {
        const button = made("button", "jupyter-button", found.acts);
        Object.assign(button, { type: "button", textContent: ACTS[what][0], title: ACTS[what][1], onclick: () => act(found, what) });
        button.dataset.do = what;
      }
    }
    for (const button of found.acts.children) {
      button.ariaLabel = `${button.textContent} ${setup.letter}`;
      button.disabled = (button.dataset.do === "show" && setup.here) || (button.dataset.do === "keep" && !setup.free);
    }
    found.problem.textContent = setup.problem;
    found.problem.hidden = !setup.problem;
    axes.forEach((axis, place) => {
      const at = cell(found, place), bar = setup.bars[place];
      at.box.hidden = Boolean(setup.problem);
      at.title.textContent = axis.title;
      at.value.textContent = bar ? bar.value : "–";
      at.note.textContent = at.note.title = bar ? bar.note : "";
      at.box.dataset.tone = bar ? bar.tone : "none";
      const share = (value) => `${100 * Math.min(Math.max(value, 0), 1)}%`;
      at.fill.style.width = share(bar ? bar.likely : 0);
      Object.assign(at.band.style, { left: share(bar ? bar.low : 0), right: share(1 - (bar ? bar.high : 0)) });
      at.band.hidden = !bar;
      at.limit.hidden = axis.limit === null;
      at.limit.style.left = share(axis.limit ?? 0);
    });
  }

  function heads(axes) {
    head.replaceChildren();
    made("span", "", head).textContent = "";
    for (const axis of axes) {
      const one = made("span", "", head);
      made("b", "", one).textContent = axis.title;
      made("small", "", one).textContent = axis.top;
    }
  }

  function show() {
    const setups = model.get("set_ups"), axes = model.get("axes");
    heads(axes);
    while (rows.length > setups.length) rows.pop().lane.remove();
    setups.forEach((setup, place) => fill(row(place), setup, axes));
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); table.remove(); };
}

export default { render };
