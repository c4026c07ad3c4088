// The guesses as they come in, asked of this computer twice a second.
const rows = [...document.querySelectorAll("[data-choice]")];
async function look() {
  const counts = await fetch("counts").then((answer) => answer.json()).catch(() => null);
  document.body.dataset.gone = counts === null;
  const all = counts?.reduce((sum, count) => sum + count, 0) ?? 0;
  for (const [k, row] of rows.entries()) {
    if (!counts) break;
    row.querySelector("output").textContent = counts[k];
    row.querySelector("i").style.width = `${100 * counts[k] / Math.max(...counts, 1)}%`;
  }
  document.getElementById("all").textContent = counts ? `${all} ${all === 1 ? "guess" : "guesses"}` : "The page is no longer handed out.";
  setTimeout(look, 500);
}
look();
