// The walk: the parts beside the page, and Back, Done and Next under the thumb. A new page starts at its top.

const WORDS = { parts: "Parts", back: "Back", next: "Next", done: "is done", all: "Overview", steps: "Steps", check: "Check your entries:" };
const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));

// Whatever scrolls round the survey, it ends with the survey's own top at the top.
function toTop(screen) {
  for (let box = screen?.parentElement; box; box = box.parentElement) {
    if (box.scrollHeight <= box.clientHeight || !/auto|scroll/.test(getComputedStyle(box).overflowY)) continue;
    box.scrollTop += screen.getBoundingClientRect().top - box.getBoundingClientRect().top;
  }
}

function render({ model, el }) {
  el.dataset.lmSuppressShortcuts = "true";
  const rail = made("nav", "anchorsim-rail", el, { ariaLabel: WORDS.parts }), foot = made("div", "anchorsim-foot", el);
  const problem = made("p", "anchorsim-problem", foot, { role: "alert" }), saved = made("p", "saved", foot, { role: "status" });
  const row = made("div", "row", foot, { role: "group", ariaLabel: WORDS.steps });
  const button = (className, act) => made("button", className, row, { type: "button", onclick: act });
  const keys = () => model.get("steps").map(([key]) => key);
  const near = (by) => keys()[keys().indexOf(model.get("step")) + by];
  const back = button("back", () => go(near(-1))), done = button("done", () => model.send({ do: "done", part: model.get("step"), done: model.get("done") === "no" }));
  const next = button("next", () => go(near(1)));

  function go(step) {
    if (step === undefined) return;
    model.set("step", step);
    model.save_changes();
    show();
  }

  function show() {
    const steps = model.get("steps"), step = model.get("step"), at = keys().indexOf(step);
    while (rail.children.length > steps.length) rail.lastChild.remove();
    steps.forEach(([key, label, mark, means, tone], place) => {
      const one = rail.children[place] ?? made("button", "", rail, { type: "button" });
      if (!one.children.length) [made("span", "name", one), made("span", "mark", one)];
      one.onclick = () => go(key);
      one.children[0].textContent = label;
      one.children[1].textContent = mark;
      one.ariaLabel = [label, means].filter(Boolean).join(": ");
      one.dataset.tone = tone;
      if (key === step) one.setAttribute("aria-current", "page"); else one.removeAttribute("aria-current");
    });
    const name = (place) => steps[place]?.[1].replace(/^\d+ /, "") ?? "";
    back.textContent = WORDS.back;
    back.disabled = at <= 0;
    next.textContent = at + 1 < steps.length ? `${WORDS.next}: ${name(at + 1)}` : WORDS.next;
    next.disabled = at + 1 >= steps.length;
    const is = model.get("done");
    done.hidden = !is;
    done.disabled = is === "by fault" || model.get("shown") !== step;
    done.ariaPressed = String(is !== "no");
    done.textContent = `${is === "no" ? "" : "✓ "}${name(at)} ${WORDS.done}`;
    saved.textContent = model.get("saved");
    problem.hidden = !model.get("problem");
    problem.textContent = model.get("problem") ? `${WORDS.check} ${model.get("problem")}` : "";
  }

  const moved = () => requestAnimationFrame(() => {
    toTop(el.closest(".anchorsim-survey"));
    const here = rail.querySelector("[aria-current]");
    if (here) rail.scrollLeft = here.offsetLeft - (rail.clientWidth - here.offsetWidth) / 2;
  });
  model.on("change", show);
  model.on("change:shown", moved);
  show();
  return () => { model.off("change", show); model.off("change:shown", moved); rail.remove(); foot.remove(); };
}

export default { render };
