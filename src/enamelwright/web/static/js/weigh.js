// At the balance: step or type, see at once what it does, tap once when it is laid. The entry waits on this device when
// the bench machine is away.

const module = (name) => import(document.querySelector(`[data-module="${name}"]`).href);
const { tell } = await module("waiting");

const form = document.getElementById("weigh-form");
const STAY = 1500;

if (form) {
  const box = document.getElementById("grams"), outcome = document.getElementById("outcome");
  const digits = Number(form.dataset.digits), step = Number(form.dataset.step);
  for (const button of form.querySelectorAll("[data-step-by]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const now = Number(box.value.replace(",", ".").replace(/[^0-9.]/g, "")) || 0;
      box.value = Math.max(step, now + Number(button.dataset.stepBy) * step).toFixed(digits);
      ask();
    });
  }
  box.addEventListener("input", ask);

  // One question in flight; the last value is always asked.
  let asking = false, wanted = null;
  async function ask() {
    wanted = box.value;
    if (asking) return;
    asking = true;
    outcome.classList.add("asking");
    while (wanted !== null) {
      const grams = wanted;
      wanted = null;
      try {
        const answer = await fetch(`${form.dataset.wouldBe}&grams=${encodeURIComponent(grams)}`);
        draw(await answer.json());
      } catch { draw({ words: "The bench machine does not answer; the grams can be written down all the same.", level: "", worse: [] }); }
    }
    asking = false;
    outcome.classList.remove("asking");
    outcome.dataset.for = box.value;
  }
  function draw({ words, level, worse }) {
    outcome.replaceChildren();
    const shape = level && document.getElementById("levels").content.querySelector(`[data-level="${level}"]`);
    if (shape) outcome.append(shape.cloneNode(true), " ");
    const line = document.createElement("span");
    line.dataset.words = "";
    line.textContent = words;
    outcome.append(line);
    for (const one of worse) {
      const more = document.createElement("p");
      more.className = "worse";
      more.textContent = one;
      outcome.append(more);
    }
  }

  let told = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (told) return; // a second tap of a wet glove is the same tap
    told = true;
    const data = new FormData(form), text = String(data.get("grams")).trim();
    const body = JSON.parse(form.querySelector("script[type='application/json']").textContent);
    body.pieces = data.getAll("piece");
    body.weighed_out = /^[0-9.,]+$/.test(text) ? `${text.replace(",", ".")} g` : text;
    const entry = tell("coat", body), next = form.dataset.next, place = document.getElementById("kept-here");
    // An answer that comes late leads on as one that comes at once; until then it is said that nothing is lost.
    const late = setTimeout(() => {
      const line = document.createElement("p");
      line.className = "said";
      const link = document.createElement("a");
      link.className = "button";
      link.href = next;
      link.textContent = "Next";
      line.append("Kept on this device until the bench machine answers. ", link);
      place.replaceChildren(line);
    }, STAY);
    document.addEventListener("entry-taken", (event) => {
      if (event.detail.entry !== entry) return;
      clearTimeout(late);
      location.href = `${next}${next.includes("?") ? "&" : "?"}said=laid&undo=${entry}`;
    });
    document.addEventListener("entry-refused", (event) => {
      if (event.detail.entry !== entry) return;
      clearTimeout(late);
      told = false;
      place.replaceChildren();
    });
  });
}
// Every button answers from here on; before, the page works as a plain form.
document.getElementById("main").dataset.scripted = "yes";
