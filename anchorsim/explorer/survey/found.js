// The findings of a part: cards of what was recorded, and tiles of what else there may be. A tap on a tile begins a
// finding, a tap on a card opens it. Amounts are stepped or typed, never slid, so that no swipe changes one.
// Photographs are made small here, before they are sent, and only the picture itself goes: what a camera writes beside
// it (place, time, its owner) stays behind.

const LONG_EDGE = 2000, QUALITY = 0.85, PAUSE = 400;  // px, of JPEG, ms after which what was typed is sent
const WORDS = {
  more: "What else do you see?", first: "What do you see?", take: "Take a picture", choose: "Choose pictures", note: "Note", place: "Add another place", row: "Measure another place", where: "Where", second: "Across it", across: "across it", counts: "counts", own: "Own words", words: "What it is, in your own words", action: "What to do, in your own words",
  remove: "Delete", ask: "Delete this finding, with its note and pictures?", sure: "Yes, delete", keep: "Keep it", undo: "Undo", gone: "Deleted:", less: "Less", greater: "More",
  missing: { words: "Say what it is.", grade: "Choose a grade.", measured: "Enter the measurement." }, waits: "Not recorded yet.", new: "as new", grade: "Grade", lost: "Photograph missing", drop: "Remove",
  larger: (value, fresh) => `${value} is more than the ${fresh} of a new part. Is that right?`, right: "Yes, record it", again: "Measure again",
};

async function smaller(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONG_EDGE / Math.max(picture.width, picture.height));
  const canvas = Object.assign(document.createElement("canvas"), {
    width: Math.max(1, Math.round(picture.width * scale)), height: Math.max(1, Math.round(picture.height * scale)),
  });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  return blob.arrayBuffer();
}

const made = (tag, className, parent, more = {}) => parent.appendChild(Object.assign(document.createElement(tag), { className, ...more }));
const button = (parent, words, act, className = "") => made("button", className, parent, { type: "button", textContent: words, onclick: act });
const digits = (value) => String(Number(value.toPrecision(4)));

// Grades: one tap records.
function grades(parent, send) {
  const row = made("div", "grades", parent, { role: "group", ariaLabel: WORDS.grade });
  return (card) => {
    row.hidden = !card.grades.length;
    if (row.children.length !== card.grades.length) {
      row.replaceChildren();
      for (const [grade, label] of card.grades) button(row, label, () => {
        for (const one of row.children) one.ariaPressed = String(one.dataset.grade === grade);
        send({ do: "grade", grade });
      }).dataset.grade = grade;
    }
    for (const one of row.children) one.ariaPressed = String(one.dataset.grade === card.grade);
  };
}

// One number: stepped or typed. What was entered last here stands until the kernel says the same.
function number(parent, stepped, give) {
  const box = made("span", "stepper", parent), less = stepped && button(box, "−", () => step(-1));
  const input = made("input", "", box, { type: "number", inputMode: "decimal", step: "any" }), more = stepped && button(box, "+", () => step(1));
  let is = null, value = null, sent;

  function set(next) {
    sent = value = next === null ? null : Math.min(Math.max(Number(next.toPrecision(6)), is.low), is.high);
    input.value = value === null ? "" : digits(value);
    give(value);
  }
  const step = (by) => set((Math.round((value ?? is.start) / is.step) + by) * is.step);
  const typed = () => {
    const text = input.value.trim(), next = text === "" ? null : Number(text.replace(",", "."));
    if (input.validity.badInput || Number.isNaN(next)) input.value = value === null ? "" : digits(value);
    else if (next !== value) set(next);
  };
  input.addEventListener("change", typed);
  input.addEventListener("keydown", (event) => {
    const by = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (event.key === "Enter") typed();
    if (!by) return;
    event.preventDefault();
    step(by);
  });
  input.addEventListener("wheel", () => input.blur());

  return { input, forget() { [value, sent] = [null, undefined]; input.value = ""; }, show(amount, held, label) {
    if (is && is.unit !== amount.unit) sent = undefined;
    is = amount;
    if (sent === undefined || held === sent) {
      [value, sent] = [held, undefined];
      if (document.activeElement !== input) input.value = value === null ? "" : digits(value);
    }
    input.ariaLabel = `${label}${is.sign && ` in ${is.sign}`}`;
    input.placeholder = is.start ? digits(is.start) : "";
    if (!stepped) return;
    less.ariaLabel = `${WORDS.less}: ${label}`;
    more.ariaLabel = `${WORDS.greater}: ${label}`;
  } };
}

// What was measured, a line a place; of several the worst counts.
function readings(parent, send) {
  const name = made("p", "label", parent), list = made("div", "readings", parent), asks = made("div", "asks", parent, { role: "alert" });
  const more = button(parent, WORDS.row, () => send({ do: "row" }), "more-places"), lines = [];
  let is = null;

  function line(row) {
    const element = made("div", "num", list), measured = (column) => (value) => send({ do: "measured", row, column, value, unit: is.unit });
    const place = made("input", "place", element, { type: "text", placeholder: WORDS.where, ariaLabel: `${WORDS.where} ${row + 1}`, maxLength: 200 });
    const first = number(element, true, measured(0)), unit = made("span", "unit", element), second = number(element, false, measured(1)), fresh = made("span", "soft", element);
    const drop = button(element, "×", () => send({ do: "unrow", row }));
    drop.ariaLabel = `${WORDS.drop} ${row + 1}`;
    second.input.classList.add("second");
    place.addEventListener("change", () => send({ do: "place", row, place: place.value }));
    return { element, first, second, show() {
      const { place: where, values } = is.rows[row], many = is.rows.length > 1;
      if (document.activeElement !== place) place.value = where;
      place.hidden = drop.hidden = !many;
      second.input.parentElement.hidden = !is.across;
      first.show(is, values[0], many ? `${is.label} ${row + 1}` : is.label);
      second.show({ ...is, start: 0 }, values[1] ?? null, `${WORDS.second} ${row + 1}`);
      second.input.placeholder = WORDS.across;
      unit.textContent = is.sign;
      fresh.textContent = is.counts === row ? WORDS.counts : row === 0 && is.new ? `${is.new} ${WORDS.new}` : "";
      element.classList.toggle("counts", is.counts === row);
    } };
  }

  return (card) => {
    is = card.amount;
    for (const one of [name, list, more]) one.hidden = !is;
    asks.replaceChildren();
    if (!is) return;
    name.textContent = is.label;
    while (lines.length > is.rows.length) lines.pop().element.remove();
    while (lines.length < is.rows.length) lines.push(line(lines.length));
    for (const one of lines) one.show();
    if (!is.doubted) return;
    const [row, column, value] = is.doubted;
    made("p", "", asks, { textContent: WORDS.larger(`${digits(value)} ${is.sign}`, is.new) });
    button(asks, WORDS.right, () => send({ do: "measured", row, column, value, unit: is.unit, sure: true }), "anchorsim-primary");
    button(asks, WORDS.again, () => {
      const one = column ? lines[row].second : lines[row].first;
      one.forget();
      send({ do: "doubt" });
      one.input.focus();
    });
  };
}

function pictures(parent, send, model) {
  const said = made("p", "said", parent, { role: "status" }), list = made("div", "list", parent);
  let urls = [], shown = "";
  const release = () => { urls.forEach((url) => URL.revokeObjectURL(url)); urls = []; };
  async function add(files) {
    for (const file of files) {
      said.textContent = `Adding ${file.name}…`;
      try {
        send({ do: "picture", name: file.name }, [await smaller(file)]);
        said.textContent = "";
      } catch (error) {
        said.textContent = `${file.name} cannot be opened as a picture. Choose a JPEG or PNG.`;
      }
    }
  }
  function offer(row, words, more) {
    const input = made("input", "", row, { type: "file", accept: "image/*", hidden: true, ...more });
    input.addEventListener("change", async () => { await add([...input.files]); input.value = ""; });
    button(row, words, () => input.click());
  }
  return { offer, release, show(card) {
    const known = model.get("pictures"), now = JSON.stringify(card.photographs.map((name) => [name, known[name]?.byteLength ?? 0]));
    if (now === shown) return;
    shown = now;
    release();
    list.replaceChildren(...card.photographs.map((name) => {
      const figure = document.createElement("figure");
      if (known[name]?.byteLength) {
        urls.push(URL.createObjectURL(new Blob([known[name]])));
        made("img", "", figure, { src: urls.at(-1), alt: name });
      } else made("p", "", figure, { textContent: WORDS.lost });
      button(figure, WORDS.drop, () => send({ do: "drop", name })).ariaLabel = `${WORDS.drop} ${name}`;
      return figure;
    }));
  } };
}

// Words of the surveyor's own, typed or dictated: sent after a pause, and when the field is left.
function text(parent, what, words, send, tag = "textarea") {
  const label = made("label", "note", parent);
  made("span", "", label, { textContent: words });
  const area = made(tag, "", label, tag === "input" ? { type: "text", maxLength: 200 } : { rows: 2, maxLength: 10000 });
  let timer = 0, last = "";
  const give = () => { clearTimeout(timer); if (area.value !== last) send({ do: what, [what]: (last = area.value) }); };
  area.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(give, PAUSE); });
  for (const end of ["change", "blur"]) area.addEventListener(end, give);
  return { label, show(card) {
    if (document.activeElement === area) return;
    if (card[what] !== area.value) area.value = card[what];
    last = card[what];
  } };
}

function cardOf(model, key, begin) {
  const send = (content, buffers) => model.send({ key, ...content }, undefined, buffers);
  const element = Object.assign(document.createElement("section"), { className: "anchorsim-card" });
  const title = made("h3", "", element), head = button(title, "", () => open(inside.hidden), "head");
  const name = made("span", "name", head), short = made("span", "short", head), when = made("span", "when", head);
  const inside = made("div", "inside", element, { id: `anchorsim-${crypto.randomUUID()}` });
  head.setAttribute("aria-controls", inside.id);
  const about = made("div", "about", inside), own = made("div", "own", inside), asked = made("div", "asked", inside), waits = made("p", "waits", inside, { role: "status" }), said = made("div", "effect", inside);
  const parts = [grades(asked, send), readings(asked, send)], seen = made("div", "pictures", inside), photos = pictures(seen, send, model);
  const texts = [text(own, "words", WORDS.words, send, "input"), text(own, "action", WORDS.action, send, "input"), text(inside, "note", WORDS.note, send)];
  const row = made("div", "row", inside), end = made("div", "asks", inside);
  photos.offer(row, WORDS.take, { capture: "environment" });
  photos.offer(row, WORDS.choose, { multiple: true });
  const mine = button(row, WORDS.own, () => { own.hidden = false; mine.hidden = true; own.querySelector("input").focus(); });
  const again = button(row, WORDS.place, () => begin(element.dataset.kind));
  const remove = button(row, WORDS.remove, () => {
    end.replaceChildren();
    made("p", "", end, { textContent: WORDS.ask });
    button(end, WORDS.sure, () => send({ do: "delete" }), "anchorsim-bad");
    button(end, WORDS.keep, () => { end.replaceChildren(); remove.focus(); }).focus();
  }, "remove");

  function open(wanted) {
    inside.hidden = !wanted;
    head.setAttribute("aria-expanded", String(wanted));
  }
  return { element, open, release: photos.release, show(card) {
    element.dataset.kind = card.kind;
    element.classList.toggle("anchorsim-found", card.recorded);
    element.classList.toggle("anchorsim-urgent", card.urgent);
    name.textContent = card.title;
    short.textContent = card.short;
    when.textContent = card.recorded ? card.when : WORDS.waits;
    if (about.innerHTML !== card.about) about.innerHTML = card.about;
    said.innerHTML = card.said;
    waits.textContent = [card.recorded ? "" : WORDS.waits, ...card.missing.map((one) => WORDS.missing[one]), card.wrong].filter(Boolean).join(" ");
    waits.hidden = card.recorded && !card.wrong;
    again.hidden = !card.recorded || Boolean(card.amount);
    if (card.own || !own.dataset.shown) own.hidden = !card.own;
    own.dataset.shown = "true";
    mine.hidden = !own.hidden;
    for (const part of parts) part(card);
    photos.show(card);
    for (const one of texts) one.show(card);
  } };
}

function render({ model, el }) {
  el.dataset.lmSuppressShortcuts = "true";
  const gone = made("div", "anchorsim-gone", el, { role: "status" }), column = made("div", "anchorsim-cards", el);
  const ask = made("h3", "anchorsim-what", el), grid = made("div", "anchorsim-tiles", el);
  let shown = new Map(), part = "", begun = false;
  const begin = (kind) => { begun = true; model.send({ do: "add", kind, part }); };

  function show() {
    const changed = model.get("part") !== part, known = changed ? new Map() : shown, entries = model.get("cards");
    part = model.get("part");
    for (const [key, card] of shown) if (changed || !entries.some((one) => one.key === key)) { card.release(); card.element.remove(); }
    shown = new Map();
    for (const entry of entries) {
      let card = known.get(entry.key);
      if (!card) {
        const added = card = cardOf(model, entry.key, begin);
        card.open(begun || !entry.recorded);
        if (begun) requestAnimationFrame(() => added.element.scrollIntoView({ block: "nearest" }));
        begun = false;
      }
      column.append(card.element);
      card.show(entry);
      shown.set(entry.key, card);
    }
    ask.textContent = entries.length ? WORDS.more : WORDS.first;
    const tiles = model.get("tiles"), kinds = JSON.stringify(tiles);
    if (grid.dataset.kinds !== kinds) {
      grid.dataset.kinds = kinds;
      grid.replaceChildren(...tiles.map(({ kind, title, what }) => {
        const tile = Object.assign(document.createElement("button"), { type: "button", className: "tile" });
        made("span", "name", tile, { textContent: title });
        made("small", "", tile, { textContent: what });
        tile.addEventListener("click", () => begin(kind));
        return tile;
      }));
    }
    gone.replaceChildren();
    if (!model.get("gone")) return;
    made("span", "", gone, { textContent: `${WORDS.gone} ${model.get("gone")}` });
    button(gone, WORDS.undo, () => model.send({ do: "undo" }));
  }
  // All that comes in one message is shown at once.
  let due = false;
  const soon = () => { if (!due) { due = true; queueMicrotask(() => { due = false; show(); }); } };
  model.on("change", soon);
  show();
  return () => { model.off("change", soon); for (const card of shown.values()) card.release(); el.replaceChildren(); };
}

export default { render };
