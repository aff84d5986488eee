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

const drawCharts = () => {
  const charts = [...document.querySelectorAll("figure[data-chart]:not([data-begun])")];
  charts.forEach((figure) => { figure.dataset.begun = "yes"; });
  if (charts.length) import("./chart.js").then((module) => charts.forEach(module.draw));
};
drawCharts();
document.addEventListener("htmx:afterSettle", drawCharts); // parts of a page that come later bring their own
