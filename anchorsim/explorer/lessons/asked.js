// What a lesson asks. The same elements stay while their words change, so that none loses the focus.

const DASHES = { solid: "", dash: "7 4", dot: "2 4", dashdot: "7 3 2 3" };
const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));

function stroke(parent, { colour, dash }) {
  const svg = parent.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "svg"));
  for (const [name, value] of Object.entries({ viewBox: "0 0 30 4", "aria-hidden": "true" })) svg.setAttribute(name, value);
  const line = svg.appendChild(document.createElementNS("http://www.w3.org/2000/svg", "path"));
  for (const [name, value] of Object.entries({ d: "M0 2H30", stroke: colour, "stroke-dasharray": DASHES[dash] })) line.setAttribute(name, value);
}

function render({ model, el }) {
  const box = made("div", "anchorsim-asked", el);
  el.dataset.lmSuppressShortcuts = "true";
  const chooser = made("label", "chooser", box), name = made("span", "", chooser, { textContent: "Lesson" });
  const select = made("select", "", chooser, { onchange: () => model.send({ do: "lesson", key: select.value }) });
  const number = made("p", "number", box), question = made("h2", "", box);
  const group = made("fieldset", "predict", box), legend = made("legend", "", group), picks = made("div", "picks", group);
  const boats = made("ul", "boats", box);
  const busy = made("p", "busy", box, { role: "status" });
  const reveal = made("button", "jupyter-button reveal", box, { type: "button", onclick: () => model.send({ do: "reveal" }) });

  function choose(place) {
    model.set("predicted", place);
    model.save_changes();
    model.send({ do: "predict", choice: place });
    show();
  }

  function show() {
    const said = model.get("said"), lessons = model.get("lessons"), predicted = model.get("predicted");
    chooser.hidden = lessons.length < 2;
    if (select.children.length !== lessons.length) {
      select.replaceChildren(...lessons.map(([value, textContent]) => Object.assign(document.createElement("option"), { value, textContent })));
    }
    select.value = said.key ?? "";
    number.textContent = said.number ?? "";
    question.textContent = said.question ?? "";
    legend.textContent = said.predict ?? "";
    const choices = said.choices ?? [];
    while (picks.children.length > choices.length) picks.lastChild.remove();
    choices.forEach((text, place) => {
      const button = picks.children[place] ?? made("button", "jupyter-button", picks, { type: "button" });
      Object.assign(button, { textContent: text, onclick: () => choose(place), ariaPressed: String(place === predicted) });
    });
    const drawn = JSON.stringify(said.boats ?? []);
    if (boats.dataset.of !== drawn) {
      boats.dataset.of = drawn;
      boats.replaceChildren();
      for (const boat of said.boats ?? []) {
        const row = made("li", "", boats);
        made("b", "", row, { textContent: boat.letter });
        stroke(row, boat);
        made("span", "", row, { textContent: boat.name });
      }
    }
    busy.textContent = model.get("busy");
    busy.hidden = !model.get("busy");
    reveal.textContent = said.reveal ?? "";
    reveal.hidden = model.get("revealed") || !said.reveal;
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); box.remove(); };
}

export default { render };
