// Photographs of a finding: chosen by file or taken with a tablet's camera, made small enough here in the page
// before they are sent, and shown.  Only the picture itself is sent: what a camera writes beside it (place,
// time, its owner) stays behind.

const LONG_EDGE = 2000, QUALITY = 0.85;

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

function render({ model, el }) {
  const box = el.appendChild(Object.assign(document.createElement("div"), { className: "anchorsim-photos" }));
  const label = box.appendChild(Object.assign(document.createElement("label"), { className: "add", tabIndex: 0 }));
  label.append("Add photographs");
  const input = label.appendChild(Object.assign(document.createElement("input"), { type: "file", accept: "image/*", multiple: true }));
  const said = box.appendChild(Object.assign(document.createElement("span"), { className: "said" }));
  said.setAttribute("role", "status");
  const list = box.appendChild(Object.assign(document.createElement("div"), { className: "list" }));
  let urls = [];
  box.dataset.lmSuppressShortcuts = "true";

  label.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    input.click();
  });
  input.addEventListener("change", async () => {
    for (const file of input.files) {
      said.textContent = `Adding ${file.name}…`;
      try {
        model.send({ name: file.name }, undefined, [await smaller(file)]);
        said.textContent = "";
      } catch (error) {
        said.textContent = `${file.name} cannot be opened as a picture. Choose a JPEG or PNG.`;
      }
    }
    input.value = "";
  });

  function show() {
    urls.forEach((url) => URL.revokeObjectURL(url));
    urls = [];
    list.replaceChildren(...model.get("photographs").map(({ name, content }) => {
      const figure = document.createElement("figure");
      if (content && content.byteLength) {
        urls.push(URL.createObjectURL(new Blob([content])));
        figure.append(Object.assign(document.createElement("img"), { src: urls.at(-1), alt: name }));
      } else {
        figure.append(Object.assign(document.createElement("p"), { textContent: "Photograph missing" }));
      }
      const words = Object.assign(document.createElement("figcaption"), { textContent: name });
      const drop = Object.assign(document.createElement("button"), { type: "button", textContent: "Remove", ariaLabel: `Remove ${name}` });
      drop.addEventListener("click", () => model.send({ drop: name }));
      figure.append(words, drop);
      return figure;
    }));
  }
  model.on("change:photographs", show);
  show();
  return () => { model.off("change:photographs", show); urls.forEach((url) => URL.revokeObjectURL(url)); box.remove(); };
}

export default { render };
