// What every page needs: the page list folds on a phone, messages stay until dismissed, figures of charts are drawn.

const narrow = window.matchMedia("(max-width: 800px)");
const fold = document.querySelector(".nouns-fold");
const foldToFit = () => { if (fold) fold.open = !narrow.matches; };
narrow.addEventListener("change", foldToFit);
foldToFit();

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-dismiss]");
  if (button) button.closest(".said, .trouble").remove();
});

// A complaint names a field: it is marked where it stands, on this page or on the one gone back to.
const marked = (name) => {
  const field = [...document.querySelectorAll(`#main [name="${CSS.escape(name)}"]`)].find((one) => one.type !== "hidden");
  if (!field) return false;
  for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  field.setAttribute("aria-invalid", "true");
  field.focus();
  return true;
};
const complaint = document.querySelector(".trouble[data-field]");
if (complaint) marked(complaint.dataset.field);
document.addEventListener("click", (event) => {
  if (!event.target.closest("[data-back]") || !document.referrer || history.length < 2) return;
  event.preventDefault();
  if (complaint) sessionStorage.setItem("marked", complaint.dataset.field);
  history.back();
});
window.addEventListener("pageshow", () => {
  const name = sessionStorage.getItem("marked");
  if (name && marked(name)) sessionStorage.removeItem("marked");
});

// What was typed into a form that is refused is there again when one goes back to it, by our button or the browser's.
// Browsers put back only what may be completed; the page it was typed on keeps the rest with its place in the history.
const typed = () => [...document.querySelectorAll("#main form")].flatMap((form, of) =>
  [...form.elements].filter((one) => one.name && (one.tagName === "TEXTAREA" || one.tagName === "SELECT" ||
    ["text", "search", "number", "date"].includes(one.type))).map((one, n) => ({ one, key: `${of} ${n} ${one.name}` })));
document.addEventListener("submit", (event) => {
  if (event.defaultPrevented || event.target.getAttribute("method") !== "post") return;
  const told = Object.fromEntries(typed().map(({ one, key }) => [key, one.value]));
  history.replaceState({ ...history.state, told }, "");
});
if (document.querySelector("[data-back]")) sessionStorage.setItem("refused", "yes");
window.addEventListener("pageshow", () => {
  if (document.querySelector("[data-back]")) return;
  const refused = sessionStorage.getItem("refused");
  sessionStorage.removeItem("refused");
  const told = refused && history.state && history.state.told;
  if (told) for (const { one, key } of typed()) {
    if (key in told && one.value !== told[key]) {
      one.value = told[key];
      for (let fold = one.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    }
  }
});

const drawCharts = () => {
  const charts = [...document.querySelectorAll("figure[data-chart]:not([data-begun])")];
  charts.forEach((figure) => { figure.dataset.begun = "yes"; });
  if (charts.length) import("./chart.js").then((module) => charts.forEach(module.draw));
};
drawCharts();
document.addEventListener("htmx:afterSettle", drawCharts); // parts of a page that come later bring their own
