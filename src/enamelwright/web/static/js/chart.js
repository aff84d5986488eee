// Draws one Vega-Lite chart: the specification lies in a JSON script inside the figure. No eval: the page's policy forbids it.

let ready;
const engine = () => {
  ready ??= new Promise((resolve, reject) => {
    const script = document.createElement("script");
    script.type = "module";
    script.src = document.querySelector("meta[name='chart-engine']").content;
    script.onload = resolve;
    script.onerror = reject;
    document.head.append(script);
  });
  return ready;
};

export async function draw(figure) {
  await engine();
  const specification = JSON.parse(figure.querySelector("script[type='application/json']").textContent);
  const place = document.createElement("div");
  place.className = "drawn";
  place.setAttribute("aria-hidden", "true"); // the caption says what it shows, the table beside it gives every value
  figure.prepend(place);
  const ink = getComputedStyle(document.documentElement);
  const colour = (name) => ink.getPropertyValue(`--${name}`).trim();
  const config = {
    background: "transparent", font: "House", view: { stroke: null }, mark: { color: colour("action") }, rule: { color: colour("text") },
    axis: { labelColor: colour("text"), titleColor: colour("text"), gridColor: colour("rule"), gridOpacity: 0.35, labelFontSize: 16, titleFontSize: 16, titlePadding: 12, domainColor: colour("rule"), tickColor: colour("rule") },
    legend: { labelColor: colour("text"), titleColor: colour("text"), labelFontSize: 16, titleFontSize: 16, symbolFillColor: colour("action"), symbolStrokeColor: colour("text"), ...(place.clientWidth < 480 && { layout: { bottom: { direction: "vertical" } } }) },
    text: { color: colour("text"), fontSize: 16 }, title: { color: colour("text") },
  };
  const view = await window.vegaEmbed(place, specification, { actions: false, ast: true, renderer: "svg", defaultStyle: false, tooltip: false, config });
  figure.view = view.view;
  return view.view;
}
