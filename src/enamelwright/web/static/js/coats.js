// The coats editor while somebody drags. The whole stack is sent each time, one request is under way at a time, and the
// last value is never lost: a first answer (nominal and a first band) at once, the whole one when the hand pauses, and a
// draft when the hand lets go.

const PAUSE = 220; // ms of quiet before the whole answer is asked for
const board = document.getElementById("board");
const address = board.dataset.address;
const trouble = document.getElementById("trouble");
const slim = window.matchMedia("(max-width: 800px)");

let busy = false; // one request under way
let saving = false; // and it keeps a change
let wanted = ""; // what is to be sent next: "glance", "save" or "settle"
let asked = 0; // moment of the newest input, which the next answer will show
let pausing = 0;
let whole = null; // the whole answer that is under way; it gives way to a moving hand

const form = () => document.getElementById("coat-form");
const RANK = { "": 0, settle: 1, glance: 2, save: 3 };

function want(what) {
  if (RANK[what] > RANK[wanted]) wanted = what;
  if (what === "glance" && whole) whole.abort();
  next();
}

function body(more) {
  const data = new URLSearchParams(new FormData(form()));
  const stack = document.getElementById("stack");
  data.set("stack", stack.textContent);
  data.set("seen", stack.dataset.seen);
  data.set("narrow", slim.matches ? "1" : "0");
  for (const [key, value] of Object.entries(more)) data.set(key, value);
  return data;
}

async function next() {
  if (busy || !wanted || !form()) return;
  const what = wanted;
  wanted = "";
  busy = true;
  clearTimeout(pausing);
  const covers = asked;
  saving = what === "save";
  whole = what === "settle" ? new AbortController() : null;
  try {
    const answer = await fetch(`${address}/coats${saving ? "" : "/preview"}`, {
      method: "POST",
      headers: { "HX-Request": "true" },
      signal: whole?.signal,
      body: body(saving ? { do: "change", live: "1" } : { settled: what === "settle" ? "1" : "0" }),
    });
    const text = await answer.text();
    if (answer.ok) {
      trouble.replaceChildren();
      exchange(text);
      painted(what, covers);
      if (what === "glance" && !wanted) pausing = setTimeout(() => want("settle"), PAUSE);
    } else {
      trouble.innerHTML = text.includes('class="trouble"') ? text : "";
    }
  } catch (error) {
    if (error.name === "AbortError") return;
    say("The bench machine does not answer. What you set stays here; it is sent with the next change.");
  } finally {
    busy = saving = false;
    whole = null;
    next();
  }
}

function say(words) {
  const box = document.createElement("div");
  box.className = "trouble";
  box.setAttribute("role", "alert");
  const line = document.createElement("p");
  line.textContent = words;
  box.append(line);
  trouble.replaceChildren(box);
}

const last = new Map(); // each part as it came last: what is the same is not drawn anew

// Exchanges every part that came; what was unfolded stays unfolded and what had the focus keeps it.
function exchange(text) {
  const come = document.createElement("template");
  come.innerHTML = text;
  const unfolded = new Set([...document.querySelectorAll("details[data-keep][open]")].map((one) => one.dataset.keep));
  const held = placeOf(document.activeElement);
  for (const part of [...come.content.children]) {
    const place = part.id && document.getElementById(part.id);
    if (!place || last.get(part.id) === part.outerHTML) continue;
    last.set(part.id, part.outerHTML);
    for (const one of part.querySelectorAll("details[data-keep]")) one.open = unfolded.has(one.dataset.keep);
    const [typed, field] = [place, part].map((one) => one.querySelector("input[name='words']"));
    if (typed && field) field.value = typed.value; // why it is kept may have been typed already
    place.replaceWith(part);
  }
  // What the form itself sends next is made from the draft that came just now, as what is sent while it changes is.
  const seen = form()?.elements.seen;
  if (seen) seen.value = document.getElementById("stack").dataset.seen;
  mark();
  if (held && document.activeElement === document.body) document.querySelector(held)?.focus({ preventScroll: true });
}

// How to find again what has the focus, in the part that takes the place of its own.
function placeOf(one) {
  if (one?.id) return `#${CSS.escape(one.id)}`;
  const around = one?.closest("[id]");
  if (!around || !one.name) return "";
  return `#${CSS.escape(around.id)} ${one.localName}[name='${one.name}']${one.localName === "button" ? `[value='${one.value}']` : ""}`;
}

// Says when an answer is really on the screen, and to which input it answers, for whoever measures.
function painted(what, covers) {
  if (!covers) return;
  requestAnimationFrame(() => {
    const channel = new MessageChannel();
    channel.port1.onmessage = () => performance.measure(`coats ${what}`, { start: covers, end: performance.now(), detail: { covers } });
    channel.port2.postMessage(0);
  });
}

// ---- pointing -----------------------------------------------------------------------------------

// The band of the chosen coat stands out in the drawing.
function mark() {
  const at = document.querySelector(".band a[aria-current]")?.dataset.band;
  for (const coat of document.querySelectorAll("#picture [data-coat]")) coat.toggleAttribute("data-chosen", coat.dataset.coat === at);
  const boxes = document.querySelectorAll("input[name='cells']");
  const marked = new Set([...boxes].filter((box) => box.checked).map((box) => box.value));
  for (const cell of document.querySelectorAll("#cells-view [data-cell]")) cell.toggleAttribute("data-chosen", marked.has(cell.dataset.cell));
}

// A band may be thinner than a finger: the one nearest to where the drawing was touched is meant.
function nearest(picture, event) {
  const direct = event.target.closest("[data-coat]");
  if (direct) return direct.dataset.coat;
  let best = null;
  for (const coat of picture.querySelectorAll("[data-coat]")) {
    const box = coat.getBoundingClientRect();
    const across = Math.max(box.left - event.clientX, 0, event.clientX - box.right);
    const up = Math.max(box.top - event.clientY, 0, event.clientY - box.bottom);
    const far = Math.hypot(across, up);
    if (far < 40 && (best === null || far < best.far)) best = { far, coat: coat.dataset.coat };
  }
  return best && best.coat;
}

document.addEventListener("click", (event) => {
  const picture = event.target.closest("#picture svg");
  if (picture) {
    const coat = nearest(picture, event);
    if (coat !== null) document.getElementById(`band-${coat}`)?.click();
    return;
  }
  const cell = event.target.closest("#cells-view [data-cell]");
  if (cell) {
    const box = [...document.querySelectorAll("input[name='cells']")].find((one) => one.value === cell.dataset.cell);
    if (box) box.click();
    return;
  }
  const step = event.target.closest("[data-step]");
  if (step) {
    event.preventDefault();
    const range = document.getElementById("amount-range");
    const [from, to, by] = [Number(range.min), Number(range.max), Number(range.step)];
    const taps = range.closest(".amount").dataset.slider === "siftings" ? 1 : 2;
    const value = Number(document.getElementById("amount").value.replace(",", ".")) + Number(step.dataset.step) * by * taps;
    set(Math.min(Math.max(value, from), Math.max(to, value)));
    want("save");
  }
});

// Up and down go from band to band, as they lie on the piece.
document.addEventListener("keydown", (event) => {
  const here = event.target.closest(".band a");
  if (!here || !["ArrowUp", "ArrowDown"].includes(event.key)) return;
  const all = [...document.querySelectorAll(".band a")];
  const other = all[all.indexOf(here) + (event.key === "ArrowDown" ? 1 : -1)];
  if (other) {
    event.preventDefault();
    other.focus();
  }
});

// ---- amounts ------------------------------------------------------------------------------------

const decimals = (step) => (String(step).split(".")[1] || "").length;

function set(value) {
  const range = document.getElementById("amount-range");
  const text = String(Number(value.toFixed(decimals(range.step))));
  document.getElementById("amount").value = text;
  if (value > Number(range.max)) range.max = String(value);
  range.value = String(value);
  measured();
}

// Moving the slider tells the amount in the slider's own way.
function measured() {
  const by = document.getElementById("amount-by");
  by.value = document.querySelector(".amount").dataset.slider;
  asked = Math.max(asked, performance.now());
  want("glance");
}

document.addEventListener("input", (event) => {
  if (event.target.id === "amount-range") {
    document.getElementById("amount").value = String(Number(Number(event.target.value).toFixed(decimals(event.target.step))));
    measured();
  }
});

document.addEventListener("change", async (event) => {
  const mine = event.target.closest("#coat-form");
  if (event.target.id === "after") return event.target.form.requestSubmit();
  if (!mine) return;
  if (event.target.id === "amount-by") {
    // Another way to tell the amount: the form is drawn anew for it.
    return mine.requestSubmit(mine.querySelector(".set"));
  }
  if (event.target.id === "amount") {
    const value = Number(event.target.value.replace(",", "."));
    const by = document.getElementById("amount-by");
    if (event.target.value.trim() && Number.isFinite(value)) return set(value), want("save");
    by.value = document.querySelector(".amount").dataset.slider;
  }
  mark();
  want("save");
});

// A form is sent, or the page left, while a change is still on its way: it is waited for. Sent the other way round an undo
// would come upon a coat that is gone, and what is kept as a version would lack it.
const unsaved = () => saving || wanted === "save";
async function saved() {
  while (unsaved()) await new Promise((done) => setTimeout(done, 20));
  clearTimeout(pausing);
}

document.addEventListener("submit", async (event) => {
  const { target, submitter } = event;
  // The Enter key in a line: what was typed is on its way, and the page stays.
  if (submitter?.matches("#coat-form .enter")) return event.preventDefault();
  if (event.defaultPrevented || !unsaved()) return;
  event.preventDefault();
  const place = target.closest("#bar, #keep, #judged")?.id; // these are drawn anew by the answer
  await saved();
  if (target.isConnected) target.requestSubmit(submitter);
  else if (place && submitter?.value) document.querySelector(`#${place} button[value='${submitter.value}']:not(:disabled)`)?.click();
});

document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[href]");
  if (!link || !unsaved() || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  await saved();
  location.href = link.href;
});

// Undo by the keyboard, as people expect it outside a typed line.
document.addEventListener("keydown", (event) => {
  if (event.key === "z" && (event.ctrlKey || event.metaKey) && !event.target.matches("input:not([type='range']):not([type='checkbox']), textarea")) {
    event.preventDefault();
    document.querySelector("#bar button[value='undo']:not(:disabled)")?.click();
  }
});

document.documentElement.classList.add("scripted");
mark();
