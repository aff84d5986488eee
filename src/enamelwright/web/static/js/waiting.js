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

// --- photos: too large for where the entries are kept, so they lie in this browser's own database -----------------

const DEPOT = "enamelwright", PHOTOS = "photos";
let depot, photos = [];

function open() {
  depot ??= new Promise((resolve) => {
    try {
      const asked = indexedDB.open(DEPOT, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore(PHOTOS, { keyPath: "entry" });
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = asked.onblocked = () => resolve(null);
    } catch { resolve(null); }
  });
  return depot;
}

// Does one thing in the database; gives undefined when this browser keeps nothing.
async function inDepot(mode, work) {
  const place = await open();
  if (!place) return undefined;
  return new Promise((resolve) => {
    try {
      const run = place.transaction(PHOTOS, mode), asked = work(run.objectStore(PHOTOS));
      run.oncomplete = () => resolve(asked.result ?? null);
      run.onabort = run.onerror = () => resolve(undefined);
    } catch { resolve(undefined); }
  });
}

// Keeps a photo of a load here until the bench machine has taken it. The load is its number, or the entry that put it in.
export async function keepPhoto(load, key, file) {
  const photo = { entry: freshId(), load, key, name: file.name, type: file.type, data: await file.arrayBuffer() };
  photos.push(photo);
  photo.kept = (await inDepot("readwrite", (place) => place.put(photo))) !== undefined;
  draw();
  send();
  return photo.entry;
}

const dropPhoto = (entry) => {
  photos = photos.filter((one) => one.entry !== entry);
  return inDepot("readwrite", (place) => place.delete(entry));
};
const loadOf = (photo) => photo.load ?? answerTo(photo.key)?.load;

async function sendPhotos() {
  for (let next; (next = photos.find((one) => !one.refused)); ) {
    const load = loadOf(next);
    if (!load) {
      next.refused = "Its load is not known to the bench machine. Open the load and choose the photo again.";
      continue;
    }
    const form = new FormData();
    form.append("entry", next.entry);
    form.append("photo", new Blob([next.data], { type: next.type }), next.name || "photo");
    const answer = await fetch(`/photos/of-load/${encodeURIComponent(load)}`, { method: "POST", credentials: "same-origin", body: form });
    check(answer, new URL(answer.url).pathname === "/pair");
    if (answer.ok) await dropPhoto(next.entry);
    else next.refused = answer.status === 507 ? "There is no room left on the bench machine." : "Choose a JPEG, PNG or HEIC picture.";
    document.dispatchEvent(new CustomEvent("photo-sent", { detail: { entry: next.entry, refused: next.refused ?? "" } }));
    draw();
  }
}

// --- entries --------------------------------------------------------------------------------------------------

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
      check(answer, answer.redirected);
      const told = await answer.json();
      trouble = "";
      wait = FIRST_WAIT;
      if (answer.ok) {
        remember(ANSWERS, [...recall(ANSWERS, []), told].slice(-REMEMBERED));
        remember(KEPT, waiting().filter((one) => one.entry !== next.entry));
        document.dispatchEvent(new CustomEvent("entry-taken", { detail: told }));
      } else {
        const words = [told.error, told.remedy].filter((part) => typeof part === "string" && part).join(" ") || "It was not understood.";
        remember(KEPT, waiting().map((one) => (one.entry === next.entry ? { ...one, refused: words, really: told.really === true } : one)));
        document.dispatchEvent(new CustomEvent("entry-refused", { detail: { entry: next.entry, words } }));
      }
      draw();
    }
    await sendPhotos();
  } catch {
    timer = setTimeout(send, wait);
    wait = Math.min(LONGEST_WAIT, wait * 1.6);
  } finally {
    sending = false;
    draw();
  }
}

// Throws when an answer says: later.
function check(answer, turnedAway) {
  if (turnedAway || answer.status === 403) {
    trouble = "This device is not paired for writing. Pair it; nothing is lost.";
    throw new Error(trouble);
  }
  if ((answer.status >= 500 && answer.status !== 507) || answer.status === 408 || answer.status === 429) throw new Error("busy");
}

// Says that what was asked back is meant, and sends it again.
function keepAllTheSame(entry) {
  remember(KEPT, waiting().map(({ refused, really, ...one }) => (one.entry === entry ? { ...one, body: { ...one.body, really: true } } : { ...one, ...(refused && { refused, really }) })));
  draw();
  send();
}

function leaveOut(entry) {
  remember(KEPT, waiting().filter((one) => one.entry !== entry));
  draw();
}

const NAMES = { "put in": "put in", look: "a look", out: "taken out", after: "how it came out", coat: "a coat", sold: "a sale", "take back": "an undo" };

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
  const pictures = photos.filter((one) => !one.refused);
  place.dataset.waiting = String(open.length + pictures.length);
  if (open.length || pictures.length) {
    const box = part(place, "div", "waits");
    const counts = [[open.length, "entry", "entries"], [pictures.length, "photo", "photos"]].filter(([count]) => count);
    const count = `${counts.map(([n, one, many]) => `${n} ${n === 1 ? one : many}`).join(" and ")} ${open.length + pictures.length === 1 ? "waits" : "wait"}`;
    const names = [...open.map((one) => NAMES[one.kind] ?? one.kind), ...pictures.map((one) => `photo of ${loadOf(one) ?? "this load"}`)];
    const lost = keeps && pictures.every((one) => one.kept !== false) ? "" : " This browser keeps nothing: leave this page open until then.";
    const line = part(box, "p", "", `${count} on this device: ${names.join(", ")}. ${trouble}`);
    if (!trouble) part(line, "span", "waits-more", "Sent as soon as the bench machine answers.");
    if (lost) line.append(lost);
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
    if (!one.really) continue;
    const keep = part(box, "button", "", "Keep it all the same");
    keep.type = "button";
    keep.addEventListener("click", () => keepAllTheSame(one.entry));
  }
  for (const one of photos.filter((photo) => photo.refused)) {
    const box = part(place, "div", "trouble");
    part(box, "p", "", `Not taken: the photo ${one.name}. ${one.refused}`);
    const button = part(box, "button", "", "Leave it out");
    button.type = "button";
    button.addEventListener("click", () => dropPhoto(one.entry).then(draw));
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
inDepot("readonly", (place) => place.getAll()).then((kept) => {
  photos = [...(kept ?? []).filter((one) => !photos.some((mine) => mine.entry === one.entry)), ...photos];
  if (photos.length) draw();
  if (photos.length || waiting().some((one) => !one.refused)) send();
});
