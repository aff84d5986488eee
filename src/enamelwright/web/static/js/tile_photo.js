// A photo of tiles: points are placed by pointing or moved with the keys, and a loupe shows where the chosen one lies.

const form = document.getElementById("placing");
const sheet = document.getElementById("tile-photo");
const marks = document.getElementById("marks");
const loupe = document.getElementById("loupe");
const SVG = "http://www.w3.org/2000/svg";
const wide = Number(form.dataset.wide);
const tall = Number(form.dataset.tall);
const thin = Math.max(wide, tall) / 400;
const SHOWN = 60 * thin; // side of what the loupe shows

const points = [...form.querySelectorAll("[data-point]")].map((row) => {
  const [x, y] = row.querySelectorAll("input[type=number]");
  return { row, x, y, corner: row.dataset.point.startsWith("c"), button: row.querySelector("button"), name: row.querySelector("input[list]") };
});
const radius = form.querySelector("[name=radius]");
// the first that waits for its place; a spare spot without a tile does not
let chosen = points.find((one) => one.x.value === "" && (one.corner || one.name.value)) || points[0];

const make = (kind, attributes, text = "") => {
  const one = document.createElementNS(SVG, kind);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  one.textContent = text;
  return one;
};
const isPlaced = (one) => one.x.value !== "" && one.y.value !== "";
const at = (one) => [Number(one.x.value), Number(one.y.value)];

const show = () => {
  const drawn = [];
  const both = (kind, attributes, active = false) => {
    drawn.push(make(kind, { ...attributes, class: "mark-halo", "stroke-width": 3 * thin }));
    drawn.push(make(kind, { ...attributes, class: active ? "mark-line mark-chosen" : "mark-line", "stroke-width": (active ? 1.8 : 1) * thin }));
  };
  const corners = points.filter((one) => one.corner && isPlaced(one));
  if (corners.length === 4) both("polygon", { points: corners.map((one) => at(one).join(",")).join(" ") });
  for (const one of points.filter(isPlaced)) {
    const [x, y] = at(one);
    const size = one.corner ? 5 * thin : Number(radius.value) || 2;
    both("circle", { cx: x, cy: y, r: size }, one === chosen);
    const words = one.corner ? one.row.dataset.point.slice(1) : one.name.value.split("/").pop();
    drawn.push(make("text", { class: "mark-text", x: one.corner ? x + 7 * thin : x - size, y: one.corner ? y - 4 * thin : y - size - 3 * thin, "font-size": (one.corner ? 12 : 10) * thin, "stroke-width": 3 * thin }, words));
  }
  marks.replaceChildren(...drawn);
  for (const one of points) one.button.setAttribute("aria-pressed", String(one === chosen));
  loupe.toggleAttribute("hidden", !isPlaced(chosen));
  if (isPlaced(chosen)) {
    const [x, y] = at(chosen);
    const half = SHOWN / 2;
    loupe.setAttribute("viewBox", `${x - half} ${y - half} ${SHOWN} ${SHOWN}`);
    const arm = half / 3;
    const cross = `M${x - arm} ${y}H${x + arm}M${x} ${y - arm}V${y + arm}`;
    loupe.querySelectorAll("path").forEach((path, n) => { path.setAttribute("d", cross); path.setAttribute("stroke-width", (n ? 0.4 : 1.2) * thin); });
  }
};

const choose = (one) => { chosen = one; show(); };
const set = (one, x, y) => {
  const tidy = (value, most) => String(Math.round(Math.min(Math.max(value, 0), most - 1) * 10) / 10);
  one.x.value = tidy(x, wide);
  one.y.value = tidy(y, tall);
};
const move = (one, right, down) => {
  const [x, y] = isPlaced(one) ? at(one) : [wide / 2, tall / 2];
  set(one, x + right, y + down);
  show();
};

const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

sheet.addEventListener("click", (event) => {
  const here = new DOMPoint(event.clientX, event.clientY).matrixTransform(sheet.getScreenCTM().inverse());
  set(chosen, here.x, here.y);
  // the next one that has no place yet; a spot without a tile is not waited for
  const later = points.slice(points.indexOf(chosen) + 1).find((one) => !isPlaced(one) && (one.corner || one.name.value));
  if (later && !event.shiftKey) chosen = later;
  show();
  // the loupe shows what was just placed until the next is
  sheet.focus({ preventScroll: true });
});
sheet.addEventListener("keydown", (event) => {
  const step = keys[event.key];
  if (step) {
    event.preventDefault();
    const far = event.shiftKey ? 10 : 1;
    move(chosen, step[0] * far, step[1] * far);
  } else if (event.key === "Enter" || event.key === "n") {
    event.preventDefault();
    choose(points[(points.indexOf(chosen) + 1) % points.length]);
  }
});
for (const one of points) {
  one.button.hidden = false;
  one.button.setAttribute("aria-label", `Place ${one.row.getAttribute("aria-label").toLowerCase()}`);
  one.button.addEventListener("click", () => { choose(one); sheet.focus({ preventScroll: false }); });
  for (const box of [one.x, one.y]) {
    box.addEventListener("focus", () => choose(one));
    box.addEventListener("input", show);
    box.addEventListener("keydown", (event) => {
      if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
      event.preventDefault(); // by one point, whatever the browser takes for a step
      const by = (event.key === "ArrowUp" ? 1 : -1) * (event.shiftKey ? 10 : 1);
      move(one, box === one.x ? by : 0, box === one.y ? by : 0);
    });
  }
  one.name?.addEventListener("input", show);
}
radius.addEventListener("input", show);
document.querySelector("[data-scripted-only]").hidden = false;
sheet.dataset.scripted = "yes";
show();
