// Choosing a load: how many are chosen, the clocks of what is in, and a way back to a load this device has not yet told.

const module = (name) => import(document.querySelector(`[data-module="${name}"]`).href);
const { recall, answerTo } = await module("waiting");

const line = document.getElementById("chosen");
const count = () => {
  const chosen = [...document.querySelectorAll("input[name='piece']:checked")].map((box) => box.value);
  line.textContent = chosen.length ? `${chosen.length === 1 ? "1 piece" : `${chosen.length} pieces`}: ${chosen.join(", ")}` : "";
};
if (line) {
  document.addEventListener("change", count);
  window.addEventListener("pageshow", count);
  count();
}

const clocks = document.querySelectorAll("[data-since]");
const began = performance.now();
const shown = [...clocks].map((clock) => {
  const [minutes, seconds] = clock.textContent.split(":").map(Number);
  return minutes * 60 + seconds;
});
if (clocks.length) setInterval(() => clocks.forEach((clock, n) => {
  const gone = Math.floor(shown[n] + (performance.now() - began) / 1000);
  clock.textContent = `${Math.floor(gone / 60)}:${String(gone % 60).padStart(2, "0")}`;
}), 500);

// A load whose putting in has not arrived at the bench machine is known to this device alone.
const held = document.getElementById("held");
for (const key of recall("enamelwright loads", [])) {
  const load = recall(`enamelwright load ${key}`, null);
  if (!load || load.step === "done" || load.number || answerTo(key)) continue;
  const row = document.createElement("p");
  row.className = "panel";
  const link = document.createElement("a");
  link.className = "button main-action";
  link.href = load.address;
  link.textContent = `Back to the load of ${load.data.pieces.join(", ")}`;
  row.append(link);
  held.append(row);
}
