// What came out of a lesson, and what to do with it. Nothing of it is in the page until it is asked for.

const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));
const cell = (tag, row, textContent) => made(tag, "", row, { textContent });

function render({ model, el }) {
  const box = made("div", "anchorsim-shown", el);
  el.dataset.lmSuppressShortcuts = "true";
  const busy = made("p", "busy", box);
  const happened = made("section", "happened", box), title = made("h3", "", happened), outcome = made("p", "outcome", happened, { role: "status" });
  const lines = made("div", "", happened), scroll = made("div", "scroll", happened), table = made("table", "", scroll), foot = made("p", "foot", happened);
  const trying = made("section", "", box), tryTitle = made("h3", "", trying), tries = made("div", "tries", trying);
  const heed = made("section", "", box);
  const answers = made("details", "", box), summary = made("summary", "", answers), answered = made("div", "", answers);
  const last = made("p", "last", box), handout = made("button", "jupyter-button", last, { type: "button", onclick: () => model.send({ do: "handout" }) });
  const phones = made("button", "jupyter-button", last, { type: "button", onclick: () => model.send({ do: "phones" }) });
  const saved = made("span", "", last, { role: "status" });

  function figures({ heads = [], rows = [] }) {
    const drawn = JSON.stringify([heads, rows]);
    if (table.dataset.of === drawn) return;
    table.dataset.of = drawn;
    table.replaceChildren();
    const top = made("tr", "", made("thead", "", table)), body = made("tbody", "", table);
    for (const text of heads) cell("th", top, text).scope = "col";
    for (const row of rows) {
      const line = made("tr", "", body);
      row.forEach((text, place) => { const one = cell(place ? "td" : "th", line, text); if (!place) one.scope = "row"; });
    }
    scroll.tabIndex = 0;
    Object.assign(scroll, { role: "region", ariaLabel: "Figures" });
  }

  function attempt(said, tried) {
    said.tries?.forEach(([key, label, hint], place) => {
      const row = tries.children[place] ?? made("div", "", tries);
      const button = row.querySelector("button") ?? made("button", "jupyter-button", row, { type: "button" });
      const here = key === tried;
      Object.assign(button, { textContent: here ? said.back : label, ariaPressed: String(here), onclick: () => model.send({ do: "try", key: here ? "" : key }) });
      const note = row.querySelector("p") ?? made("p", "", row);
      note.textContent = here ? `${label}. ${hint}` : "";
      note.hidden = !here;
    });
  }

  function show() {
    const said = model.get("said"), revealed = model.get("revealed");
    box.hidden = !said.outcome;
    busy.textContent = model.get("busy");
    busy.hidden = !model.get("busy");
    happened.hidden = trying.hidden = !revealed || !said.outcome;
    title.textContent = said.happened ?? "";
    outcome.textContent = said.outcome ?? "";
    outcome.dataset.tone = said.tone ?? "none";
    lines.replaceChildren(...(said.explained ?? []).map((textContent) => Object.assign(document.createElement("p"), { textContent })));
    figures(said.table ?? {});
    foot.textContent = said.table?.foot ?? "";
    tryTitle.textContent = said.try ?? "";
    attempt(said, model.get("tried"));
    heed.replaceChildren();
    for (const [signal, text] of said.cautions ?? []) {
      const line = made("p", "caution", heed);
      made("b", "", line, { textContent: signal });
      line.append(` ${text}`);
    }
    answers.hidden = !said.answers;
    summary.textContent = said.answers?.heading ?? "";
    answered.replaceChildren(...(said.answers?.lines ?? []).map((textContent) => Object.assign(document.createElement("p"), { textContent })));
    handout.textContent = said.handout ?? "";
    handout.hidden = !said.handout;
    phones.textContent = said.phones ?? "";
    phones.hidden = !said.phones;
    saved.textContent = said.saved ?? "";
  }
  model.on("change", show);
  show();
  return () => { model.off("change", show); box.remove(); };
}

export default { render };
