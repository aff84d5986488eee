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

const drawCharts = () => {
  const charts = [...document.querySelectorAll("figure[data-chart]:not([data-begun])")];
  charts.forEach((figure) => { figure.dataset.begun = "yes"; });
  if (charts.length) import("./chart.js").then((module) => charts.forEach(module.draw));
};
drawCharts();
document.addEventListener("htmx:afterSettle", drawCharts); // parts of a page that come later bring their own
