// Drag a bar to pin it: an extra. It only fills in the form of the load; the button of the form keeps it.
const STEP = 5, MINUTES = 60;
const two = (number) => String(number).padStart(2, "0");
const clock = (minutes) => `${two(Math.floor(minutes / MINUTES) % 24)}:${two(Math.round(minutes) % MINUTES)}`;

for (const figure of document.querySelectorAll("figure.bars")) {
  const [opens, closes, left, right] = ["opens", "closes", "left", "right"].map((name) => Number(figure.dataset[name]));
  let held = null;
  figure.addEventListener("pointerdown", (event) => {
    const bar = event.target.closest("[data-pin]");
    if (!bar) return;
    const picture = bar.ownerSVGElement;
    held = { bar, picture, from: event.clientX, x: Number(bar.getAttribute("x")), at: Number(bar.getAttribute("x")) };
    bar.classList.add("held");
    bar.setPointerCapture(event.pointerId);
  });
  figure.addEventListener("pointermove", (event) => {
    if (!held) return;
    const unit = held.picture.viewBox.baseVal.width / held.picture.getBoundingClientRect().width;
    held.at = Math.max(left, held.x + (event.clientX - held.from) * unit);
    held.bar.setAttribute("x", held.at);
  });
  const letGo = (event) => {
    if (!held) return;
    const { bar, picture, x, at } = held;
    held = null;
    bar.classList.remove("held");
    bar.setAttribute("x", x);
    if (event.type !== "pointerup" || Math.abs(at - x) < 1) return;
    const scale = (picture.viewBox.baseVal.width - left - right) / Math.max(closes - opens, 1);
    const minutes = Math.round((opens + (at - left) / scale) / STEP) * STEP;
    const form = [...document.querySelectorAll("form.pin")].find((one) => one.dataset.block === bar.dataset.pin);
    if (!form) return;
    form.elements.time.value = clock(minutes);
    form.closest("details").open = true;
    form.scrollIntoView({ block: "center" });
    form.querySelector("button").focus();
  };
  figure.addEventListener("pointerup", letGo);
  figure.addEventListener("pointercancel", letGo);
}
