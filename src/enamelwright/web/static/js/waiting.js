// Entries wait here until the bench machine has taken them: kept by this browser, sent in order, each with an id of its
// own, so that sending one twice is one entry. Works without a secure address: no service worker, no randomUUID.

const KEPT = "enamelwright waiting", ANSWERS = "enamelwright answers";
const FIRST_WAIT = 2000, LONGEST_WAIT = 15000, REMEMBERED = 60;

export function freshId() {
  const bytes = new Uint8Array(16);
  crypto.getRandomValues(bytes);
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

let memory = {}; // when this browser keeps nothing
export let keeps = true;
export function recall(key, otherwise) {
  if (key in memory) return memory[key];
  try { return JSON.parse(localStorage.getItem(key)) ?? otherwise; } catch { return otherwise; }
}
export function remember(key, value) {
  try { localStorage.setItem(key, JSON.stringify(value)); delete memory[key]; } catch { memory[key] = value; keeps = false; }
}
export function forget(key) {
  delete memory[key];
  try { localStorage.removeItem(key); } catch { /* nothing was kept */ }
}

export const waiting = () => recall(KEPT, []);
export const answerTo = (entry) => recall(ANSWERS, []).find((one) => one.entry === entry);

// Tells an entry: it is kept first, then sent. Returns its id.
export function tell(kind, body, at = Date.now()) {
  const entry = freshId();
  remember(KEPT, [...waiting(), { entry, device: "", device_at: new Date(at).toISOString(), kind, body }]);
  draw();
  send();
  return entry;
}

let sending = false, wait = FIRST_WAIT, timer = 0, trouble = "";

export async function send() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (let next; (next = waiting().find((one) => !one.refused)); ) {
      const answer = await fetch("/api/v1/entries", {
        method: "POST", headers: { "Content-Type": "application/json" }, credentials: "same-origin",
        body: JSON.stringify({ ...next, sent_at: new Date().toISOString() }),
      });
      if (answer.redirected || answer.status === 403) {
        trouble = "This device is not paired for writing. Pair it; nothing is lost.";
        throw new Error(trouble);
      }
      if (answer.status >= 500 || answer.status === 408 || answer.status === 429) throw new Error("busy");
      const told = await answer.json();
      trouble = "";
      wait = FIRST_WAIT;
      if (answer.ok) {
        remember(ANSWERS, [...recall(ANSWERS, []), told].slice(-REMEMBERED));
        remember(KEPT, waiting().filter((one) => one.entry !== next.entry));
        document.dispatchEvent(new CustomEvent("entry-taken", { detail: told }));
      } else {
        const words = [told.error, told.remedy].filter((part) => typeof part === "string" && part).join(" ") || "It was not understood.";
        remember(KEPT, waiting().map((one) => (one.entry === next.entry ? { ...one, refused: words } : one)));
        document.dispatchEvent(new CustomEvent("entry-refused", { detail: { entry: next.entry, words } }));
      }
      draw();
    }
  } catch {
    timer = setTimeout(send, wait);
    wait = Math.min(LONGEST_WAIT, wait * 1.6);
  } finally {
    sending = false;
    draw();
  }
}

function leaveOut(entry) {
  remember(KEPT, waiting().filter((one) => one.entry !== entry));
  draw();
}

const NAMES = { "put in": "put in", look: "a look", out: "taken out", after: "how it came out", coat: "a coat", "take back": "an undo" };

// Shows what waits; the words are written as text, never as markup.
export function draw() {
  let place = document.getElementById("waiting");
  if (!place) {
    place = document.createElement("div");
    place.id = "waiting";
    place.setAttribute("role", "status");
    document.getElementById("main").prepend(place);
  }
  const all = waiting(), open = all.filter((one) => !one.refused), refused = all.filter((one) => one.refused);
  place.replaceChildren();
  place.dataset.waiting = String(open.length);
  if (open.length) {
    const box = part(place, "div", "waits");
    const count = open.length === 1 ? "1 entry waits" : `${open.length} entries wait`;
    part(box, "p", "", `${count} on this device: ${open.map((one) => NAMES[one.kind] ?? one.kind).join(", ")}. ${trouble || "Sent as soon as the bench machine answers."}${keeps ? "" : " This browser keeps nothing: leave this page open until then."}`);
    const button = part(box, "button", "", "Send now");
    button.type = "button";
    button.addEventListener("click", send);
  }
  for (const one of refused) {
    const box = part(place, "div", "trouble");
    part(box, "p", "", `Not taken: ${NAMES[one.kind] ?? one.kind}. ${one.refused}`);
    const button = part(box, "button", "", "Leave it out");
    button.type = "button";
    button.addEventListener("click", () => leaveOut(one.entry));
  }
}

function part(into, name, style, words = "") {
  const made = document.createElement(name);
  if (style) made.className = style;
  made.textContent = words;
  into.append(made);
  return made;
}

window.addEventListener("online", send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { wait = FIRST_WAIT; send(); } });
draw();
if (waiting().some((one) => !one.refused)) send();
