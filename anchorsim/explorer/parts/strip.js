// What it comes to, in one height. The elements are made once and only their words change, so that nothing jumps,
// what is unfolded stays so, and a screen reader hears the outcome when it changes.

const WORDS = { why: "Why?", close: "Close", warning: ["warning", "warnings"], note: ["note", "notes"], check: "Check your entries",
  stays: "The pictures still show the last valid set-up." };
const counted = (many, [one, more]) => many ? `${many} ${many === 1 ? one : more}` : "";

function render({ model, el }) {
  const made = (tag, className, parent) => parent.appendChild(Object.assign(document.createElement(tag), { className }));
  const strip = made("section", "anchorsim-strip-row", el);
  strip.ariaLabel = "What it comes to";
  el.dataset.lmSuppressShortcuts = "true";
  const outcome = made("div", "card outcome", strip);
  const said = made("div", "said", outcome);
  said.role = "status";
  const word = made("p", "word", said), sentence = made("p", "sentence", said);
  const foot = made("p", "foot", outcome), of = made("button", "of", foot), more = made("button", "more", foot);
  of.type = more.type = "button";
  let unfolded = null;  // what is: "more", "of", or the place of a figure
  const drawer = made("div", "drawer", strip);
  drawer.id = `anchorsim-drawer-${crypto.randomUUID()}`;
  for (const button of [of, more]) button.setAttribute("aria-controls", drawer.id);
  const cards = [];

  function card(place) {
    if (cards[place]) return cards[place];
    const button = made("button", "card figure", strip);
    Object.assign(button, { type: "button", onclick: () => unfold(unfolded === place ? null : place) });
    button.setAttribute("aria-controls", drawer.id);
    const found = { button, title: made("span", "title", button), value: made("span", "value", button) };
    found.likely = made("b", "", found.value);
    found.note = made("small", "", found.value);
    found.bar = made("span", "bar", button);
    found.fill = made("i", "", found.bar);
    strip.append(drawer);
    return (cards[place] = found);
  }

  function unfold(what) {
    unfolded = what;
    fill();
    show();
  }

  function line(text, kind, signal) {
    const paragraph = made("p", kind, drawer);
    if (signal) made("b", "", paragraph).textContent = `${signal} `;
    paragraph.append(text);
  }

  function fill() {
    drawer.replaceChildren();
    drawer.hidden = unfolded === null;
    if (unfolded === null) return;
    if (unfolded === "more") {
      if (model.get("problem")) line(`${model.get("problem")} ${WORDS.stays}`, "warning", WORDS.check);
      for (const [signal, text] of model.get("warnings")) line(text, "warning", signal);
      for (const text of model.get("notes")) line(text, "note");
    } else for (const text of (unfolded === "of" ? model.get("outcome") : model.get("figures")[unfolded])?.why ?? []) line(text, "why");
    const close = made("button", "close", drawer);
    Object.assign(close, { type: "button", textContent: WORDS.close, onclick: () => { const was = unfolded; unfold(null); ({ of, more }[was] ?? cards[was].button).focus(); } });
  }

  function show() {
    const { word: is = "", sentence: says = "", of: from = "", tone = "none", why: because = [] } = model.get("outcome"), problem = model.get("problem");
    if (word.textContent !== is) word.textContent = is;
    if (sentence.textContent !== says) sentence.textContent = sentence.title = says;
    of.textContent = from;
    of.title = because.length ? WORDS.why : "";
    of.disabled = !because.length;
    of.setAttribute("aria-expanded", String(unfolded === "of"));
    outcome.dataset.tone = problem ? "bad" : tone;
    const warnings = model.get("warnings").length, notes = model.get("notes").length;
    more.textContent = problem ? WORDS.check : [counted(warnings, WORDS.warning), counted(notes, WORDS.note)].filter(Boolean).join(", ");
    more.hidden = !more.textContent;
    more.classList.toggle("urgent", Boolean(problem || warnings));
    more.setAttribute("aria-expanded", String(unfolded === "more"));
    strip.dataset.busy = model.get("busy");
    model.get("figures").forEach(({ title, value, note, tone: hue, use, why }, place) => {
      const found = card(place);
      found.title.textContent = title;
      found.likely.textContent = value;
      found.note.textContent = note;
      found.button.dataset.tone = hue;
      found.button.title = why?.length ? WORDS.why : "";
      found.button.disabled = !why?.length;
      found.button.setAttribute("aria-expanded", String(unfolded === place));
      found.bar.hidden = use === null || use === undefined;
      found.fill.style.width = `${Math.min(Math.max(use ?? 0, 0), 1) * 100}%`;
    });
  }
  const changed = () => { fill(); show(); };
  for (const [what, button] of Object.entries({ of, more })) button.addEventListener("click", () => unfold(unfolded === what ? null : what));
  strip.addEventListener("keydown", (event) => { if (event.key === "Escape" && unfolded !== null) unfold(null); });
  model.on("change", changed);
  changed();
  return () => { model.off("change", changed); strip.remove(); };
}

export default { render };
