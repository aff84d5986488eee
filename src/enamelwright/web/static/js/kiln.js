// The clock at the kiln. Everything is counted from this device's own clock, kept by this browser, and told to the bench
// machine through the queue, so that sleep, a reload or a lost server change nothing. One key goes on to the next step.

const module = (name) => import(document.querySelector(`[data-module="${name}"]`).href);
const [{ tell, keepPhoto, recall, remember, forget, answerTo }, { ring, wake, hush, stayLit, letDarken }] =
  await Promise.all([module("waiting"), module("bells")]);

const BACK_UP = "back up to heat", STARTS = { load: "from closing the door", recovered: "from when it is back up to heat" };
const BOUNCE = 600, TICK = 200, KEPT_LOADS = 20;
const by = (id) => document.getElementById(id);
const root = document.querySelector(".at-kiln");
const server = JSON.parse(by("load-data").textContent);
const order = server.order;
const mmss = (seconds) => { const s = Math.max(0, Math.floor(seconds)); return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")}`; };

// --- what is known of this load -------------------------------------------------------------------

let load = restore();

function restore() {
  const asked = new URLSearchParams(location.search).get("entry");
  const keys = recall("enamelwright loads", []);
  const key = asked && keys.includes(asked) ? asked : server.load && keys.find((one) => recall(`enamelwright load ${one}`, {})?.number === server.load);
  const kept = key ? recall(`enamelwright load ${key}`, null) : null;
  if (kept) {
    const answer = answerTo(kept.key);
    if (answer) kept.number = answer.load;
    if (server.closed && ["in", "warm"].includes(kept.step)) kept.step = "after"; // another device took it out
    return kept;
  }
  if (!server.load) return { step: "ready", data: server, marks: [], key: null, number: null };
  const started = Date.now() - server.elapsed * 1000;
  const since = server.start === "recovered" ? (server.backUp === null ? null : started + server.backUp * 1000) : started;
  return {
    step: server.closed ? root.dataset.step : since === null ? "warm" : "in", data: server, number: server.load, key: null, started, since,
    start: server.start, rung: [],
    marks: server.looks.map((one) => ({ seconds: one.seconds, stage: one.stage, backIn: one.backIn })),
  };
}

function keep() {
  if (!load.key) return;
  const keys = recall("enamelwright loads", []);
  if (!keys.includes(load.key)) {
    for (const old of keys.slice(0, Math.max(0, keys.length + 1 - KEPT_LOADS))) forget(`enamelwright load ${old}`);
    remember("enamelwright loads", [...keys, load.key].slice(-KEPT_LOADS));
  }
  remember(`enamelwright load ${load.key}`, load);
}

const named = () => load.number ?? { entry: load.key };
const counted = (at = Date.now()) => (load.since === null || load.since === undefined ? 0 : (at - load.since) / 1000);
const stageNow = () => load.look?.stage ?? load.marks.findLast?.((mark) => mark.stage)?.stage ?? [...load.marks].reverse().find((mark) => mark.stage)?.stage ?? "";
const reached = (stage) => stage && load.data.target && order.indexOf(stage) >= order.indexOf(load.data.target);

// --- steps ----------------------------------------------------------------------------------------

function putIn() {
  const form = new FormData(by("ready-form")), now = Date.now();
  const body = { pieces: form.getAll("piece"), each: {} };
  for (const name of ["kiln", "set_point", "shown_at_load", "start", "target", "face_up", "support", "support_owned"]) {
    const value = String(form.get(name) ?? "").trim();
    if (value) body[name] = value;
  }
  for (const [piece, position] of Object.entries(load.data.positions)) if (position) body.each[piece] = { position };
  const start = body.start === "recovered" ? "recovered" : "load";
  const key = tell("put in", body, now);
  const address = new URL(location.href);
  address.searchParams.set("entry", key);
  load = { ...load, key, start, started: now, since: start === "load" ? now : null, rung: [], marks: [], address: address.pathname + address.search,
    step: start === "load" ? "in" : "warm", undo: { entry: key, back: "ready" } };
  history.replaceState(null, "", load.address);
  say(`In at ${new Date(now).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit", hour12: false })}.`);
}

function backUp() {
  const now = Date.now();
  const entry = tell("look", { load: named(), seconds: (now - load.started) / 1000, words: BACK_UP }, now);
  Object.assign(load, { step: "in", since: now, undo: { entry, back: "warm" } });
  say("Back up to heat. The clock counts from here.");
}

function openDoor(stage = null) {
  load.look = { at: Date.now(), stage };
  say("");
}

function see(stage) {
  if (!load.look) openDoor(stage);
  else load.look.stage = stage;
}

function shutDoor(words) {
  const { at, stage } = load.look, now = Date.now(), seconds = counted(at);
  const body = { load: named(), seconds, back_in: true, door_open: (now - at) / 1000 };
  if (stage) body.stage_seen = stage;
  const entry = tell("look", body, at);
  load.marks.push({ seconds, stage, backIn: true, entry });
  Object.assign(load, { look: null, undo: { entry, back: "look" } });
  say(words ?? `Back in. ${stage ? `${stage[0].toUpperCase()}${stage.slice(1)} at ${mmss(seconds)}.` : ""}`);
}

function out() {
  const at = load.look?.at ?? Date.now(), stage = load.look?.stage ?? stageNow(), seconds = counted(at);
  if (load.look) load.marks.push({ seconds, stage: load.look.stage, backIn: false });
  const gloss = load.marks.find((mark) => mark.stage === "gloss" || mark.stage === "cleared");
  const body = { load: named(), seconds };
  if (stage) body.stage_seen = stage;
  if (gloss) body.to_gloss = gloss.seconds;
  const entry = tell("out", body, at);
  Object.assign(load, { look: null, step: "after", out: { seconds, stage, gloss: gloss?.seconds ?? null }, undo: { entry, back: "out", look: load.look } });
  fillAfter();
  say("Out. Set it down on the landing spot: it stays hot when it looks cold.");
}

function fillAfter() {
  const { seconds, stage, gloss } = load.out ?? {};
  if (seconds === undefined) return;
  by("told-seconds").value = Math.round(seconds);
  if (gloss) by("told-gloss").value = Math.round(gloss);
  by("out-time").textContent = ` after ${mmss(seconds)}`;
  for (const box of document.querySelectorAll("#after-form input[name='stage_seen']")) box.checked = box.value === (stage ?? "");
}

// What cannot both be is asked back here, where there is time: with the door open nobody answers questions.
const rank = (stage) => order.indexOf(stage === "cleared" ? "gloss" : stage);
function twoThings(seconds, gloss, stage) {
  if (gloss > seconds + 1) return `First gloss at ${Math.round(gloss)} s, but out after ${Math.round(seconds)} s`;
  if (gloss && stage && rank(stage) < rank("gloss")) return `First gloss at ${Math.round(gloss)} s, but it came out at ${stage}`;
  const seen = load.marks.filter((mark) => mark.stage && mark.seconds !== null);
  for (const [n, mark] of seen.entries()) {
    const after = seen[n + 1];
    if (after && rank(after.stage) < rank(mark.stage)) return `${mark.stage} at ${Math.round(mark.seconds)} s, and then ${after.stage} at ${Math.round(after.seconds)} s`;
    if (stage && rank(stage) < rank(mark.stage)) return `${mark.stage} at ${Math.round(mark.seconds)} s, but it came out at ${stage}`;
  }
  return "";
}

let asked = "";
function written() {
  const form = new FormData(by("after-form"));
  const text = (name) => String(form.get(name) ?? "").trim();
  const seconds = (name) => (/^[0-9.]+$/.test(text(name)) ? `${text(name)} s` : text(name));
  const whole = {};
  for (const name of ["stage_seen", "cooled", "words"]) if (text(name)) whole[name] = text(name);
  // What was counted is not told again in whole seconds unless somebody wrote another number.
  const told = { seconds: load.out?.seconds, to_gloss: load.out?.gloss };
  for (const name of ["seconds", "to_gloss"]) {
    if (text(name) && text(name) !== String(Math.round(told[name] ?? NaN))) whole[name] = seconds(name);
  }
  const number = (name, otherwise) => (text(name) ? Number(/^[0-9.]+$/.test(text(name)) ? text(name) : NaN) : otherwise ?? NaN);
  const doubt = twoThings(number("seconds", told.seconds), number("to_gloss", told.to_gloss), text("stage_seen") || load.out?.stage);
  if (doubt && doubt !== asked) {
    asked = doubt;
    say(`${doubt[0].toUpperCase()}${doubt.slice(1)}: both cannot be. Put right which is wrong, or press again to keep it all the same.`);
    window.scrollTo(0, 0);
    return;
  }
  const body = { load: named(), whole, each: {}, faults: {}, mishaps: {}, ...(doubt && { really: true }) };
  const every = form.getAll("fault-all");
  for (const piece of load.data.pieces) {
    if (text(`stage-${piece}`)) body.each[piece] = { stage_seen: text(`stage-${piece}`) };
    const faults = [...new Set([...every, ...form.getAll(`fault-${piece}`)].map((one) => String(one).trim()).filter(Boolean))];
    if (faults.length) body.faults[piece] = faults;
    if (text(`mishap-${piece}`)) body.mishaps[piece] = text(`mishap-${piece}`);
  }
  const entry = tell("after", body);
  Object.assign(load, { step: "done", undo: { entry, back: "after" } });
  const parts = [whole.stage_seen ?? "Stage not told"];
  if (load.out) parts.push(`after ${mmss(load.out.seconds)}`);
  by("done-words").textContent = `${parts.join(" ")}${load.out?.gloss ? `, first gloss at ${Math.round(load.out.gloss)} s` : ""}.`;
  for (const place of document.querySelectorAll(".standing")) {
    const own = [body.each[place.dataset.piece]?.stage_seen, ...(body.faults[place.dataset.piece] ?? []), body.mishaps[place.dataset.piece]].filter(Boolean);
    place.querySelector("[data-exception]").textContent = own.join(", ");
  }
  say(""); // the head of the page says it
}

function undo() {
  if (load.look) { load.look = null; say("That look is taken back."); return show(); }
  const last = load.undo;
  if (!last) return;
  tell("take back", { entry: last.entry });
  load.undo = null;
  if (last.back === "ready") {
    const key = load.key;
    remember("enamelwright loads", recall("enamelwright loads", []).filter((one) => one !== key));
    forget(`enamelwright load ${key}`);
    load = { step: "ready", data: load.data, marks: [], key: null, number: null };
    const chosen = new URLSearchParams(load.data.pieces.map((one) => ["piece", one]));
    if (load.data.kiln) chosen.set("kiln", load.data.kiln);
    history.replaceState(null, "", `/kiln/ready?${chosen}`);
  } else if (last.back === "warm") Object.assign(load, { step: "warm", since: null });
  else if (last.back === "look") load.marks.pop();
  else if (last.back === "out") Object.assign(load, { step: "in", out: null, look: last.look ?? null, marks: last.look ? load.marks.slice(0, -1) : load.marks });
  else if (last.back === "after") load.step = "after";
  say("Taken back.");
  show();
}

// --- what is shown --------------------------------------------------------------------------------

let words = "";
function say(text) { words = text; }

const sections = { ready: "ready", warm: "in", in: "in", after: "after", done: "done" };
let shown = "";
function show() {
  keep();
  hush();
  const step = sections[load.step] ?? "ready";
  root.dataset.step = step;
  root.dataset.door = load.look ? "open" : "shut";
  document.body.classList.toggle("at-the-clock", step === "in");
  for (const section of document.querySelectorAll("[data-on]")) section.hidden = section.dataset.on !== step;
  for (const place of document.querySelectorAll("[data-number]")) place.textContent = load.number ?? "number follows";
  for (const button of document.querySelectorAll("[data-act='undo']")) button.hidden = !(load.undo || load.look);
  for (const stage of document.querySelectorAll(".stage")) {
    const mine = [...load.marks].reverse().find((mark) => mark.stage === stage.value);
    stage.setAttribute("aria-pressed", String(load.look?.stage === stage.value));
    stage.disabled = load.step === "warm";
    stage.classList.toggle("was-seen", Boolean(mine));
  }
  const looks = by("looks");
  looks.replaceChildren(...load.marks.filter((mark) => mark.seconds !== null).map((mark) => {
    const line = document.createElement("li");
    line.textContent = `${mark.stage ?? "looked"} ${mmss(mark.seconds)}`;
    return line;
  }));
  const first = by("first-act"), second = by("second-act");
  first.hidden = false;
  if (load.step === "warm") { first.dataset.main = "back-up"; first.textContent = "Back up to heat"; second.hidden = true; }
  else {
    second.hidden = false;
    const done = load.look && reached(load.look.stage);
    first.dataset.main = load.look ? (done ? "out" : "shut") : "look";
    first.textContent = load.look ? (done ? "Out" : "Back in") : "Look";
    second.dataset.act = load.look && done ? "shut" : "out";
    second.textContent = load.look ? (done ? "Back in" : "Out") : "Out now";
  }
  by("from").textContent = load.step === "warm" ? "since the door closed" : STARTS[load.start ?? "load"] + (load.data.firstOut ? `; ${load.data.firstOut} comes out first` : "");
  const place = by("said"), beside = document.querySelector(".beside");
  if (step === "in") beside.append(place); else root.prepend(place);
  place.replaceChildren();
  if (words) {
    const box = document.createElement("div");
    box.className = "said"; box.setAttribute("role", "status");
    const line = document.createElement("p");
    line.textContent = words;
    const away = document.createElement("button");
    away.type = "button"; away.dataset.dismiss = ""; away.textContent = "Close";
    box.append(line, away);
    place.append(box);
  }
  const key = `${step} ${root.dataset.door} ${first.dataset.main}`;
  if (key !== shown) {
    shown = key;
    const main = document.querySelector(`[data-on="${step}"] [data-main]`);
    if (main && step !== "ready") main.focus({ preventScroll: step !== "after" });
    if (step === "after" || step === "done") window.scrollTo(0, 0);
    if (step === "in") stayLit().then((can) => { by("lit").hidden = can; }); else letDarken();
  }
  tick();
}

// The looks by the clock; a load kept before they were told one by one has the first and the spacing alone.
function looksAt() {
  const { first, every, outBy, looksAt: told } = load.data;
  if (told?.length) return told;
  if (first === null || first === undefined) return [];
  if (!every || outBy === null) return [first];
  return Array.from({ length: Math.max(1, Math.ceil((outBy - first) / every)) }, (_, n) => first + n * every);
}

function due(seconds) {
  const { outBy } = load.data, looks = looksAt();
  if (load.step !== "in" || !looks.length) return null;
  if (outBy !== null && seconds >= outBy) return { name: "out by", at: outBy, key: "out" };
  const n = looks.filter((one) => seconds >= one).length - 1;
  return n < 0 ? null : { name: n === 0 ? "first look" : "next look", at: looks[n], key: `look ${n}` };
}

function nextWords(seconds) {
  const { outBy, target } = load.data, looks = looksAt();
  const aim = target ? `to ${target}` : "Go by the stage";
  if (load.step === "warm") return "Waiting to be back up to heat";
  if (!looks.length) return aim;
  if (outBy !== null && seconds >= outBy) return "Out now";
  const n = looks.findIndex((one) => seconds < one);
  if (n >= 0) return `${n === 0 ? "First look" : "Look again"} in ${mmss(looks[n] - seconds + 0.999)}`;
  return outBy === null ? aim : `Out in ${mmss(outBy - seconds + 0.999)}`;
}

let lastNext = "";
function tick() {
  if (!["in", "warm"].includes(load.step)) return;
  const now = Date.now(), seconds = load.step === "warm" ? (now - load.started) / 1000 : counted(now);
  by("digits").textContent = mmss(load.look ? counted(load.look.at) : seconds);
  const next = nextWords(seconds);
  const shownNext = load.look ? (load.look.stage ? `Seen: ${load.look.stage}` : "What do you see?") : next;
  if (shownNext !== lastNext) {
    lastNext = shownNext;
    const spoken = by("next");
    // The count is seen, not read out every second.
    spoken.setAttribute("aria-live", /\d/.test(shownNext) ? "off" : "polite");
    spoken.textContent = shownNext;
  }
  const door = by("door-open");
  door.hidden = !load.look;
  if (load.look) door.textContent = `Door open ${mmss((now - load.look.at) / 1000)}`;
  for (const line of document.querySelectorAll("[data-line]")) {
    const { left, scale, end } = line.dataset, x = Number(left) + Math.min(seconds, Number(end)) * Number(scale);
    const at = load.step === "warm" ? Number(left) : x;
    line.querySelector("[data-now]").setAttribute("transform", `translate(${at} 0)`);
    line.querySelector("[data-now]").setAttribute("visibility", "visible");
    line.querySelector("[data-until]").setAttribute("width", Math.max(0, at - Number(left)));
  }
  const bell = due(seconds);
  if (bell && !load.look && !load.rung.includes(bell.key)) {
    load.rung.push(bell.key);
    keep();
    ring(bell.name);
  }
}

// --- hands, feet and the bench machine ------------------------------------------------------------

const acts = { "put-in": putIn, "back-up": backUp, look: () => openDoor(), shut: () => shutDoor(), out, after: written, undo };
let lastAct = -Infinity; // the first tap always counts, however soon it comes
function act(name) {
  const now = performance.now();
  if (now - lastAct < BOUNCE) return; // a second tap of a wet glove is the same tap
  lastAct = now;
  wake();
  if (name === "undo") return undo();
  if (name === "next") return void (location.href = "/kiln");
  acts[name]();
  show();
}

for (const form of document.querySelectorAll("#ready-form, #look-form, #out-form, #after-form")) form.addEventListener("submit", (event) => event.preventDefault());
document.addEventListener("click", (event) => {
  const main = event.target.closest("button[data-main], a[data-main]"), other = event.target.closest("[data-act]"), stage = event.target.closest(".stage");
  if (main && main.tagName === "BUTTON") { event.preventDefault(); act(main.dataset.main); }
  else if (other) { event.preventDefault(); act(other.dataset.act); }
  else if (stage && !stage.disabled) {
    event.preventDefault();
    wake();
    see(stage.value);
    show();
  }
  const piece = event.target.closest("a.standing");
  if (piece) { const fold = by(`piece-${piece.dataset.piece}`); fold.open = true; }
});

// One key, or a foot switch that sends one: it does what the main button says, unless something is being typed or chosen.
document.addEventListener("keydown", (event) => {
  if (event.key !== " " && event.key !== "Enter") return;
  if (event.repeat) return void event.preventDefault();
  if (event.target.closest("input, select, textarea, button, summary, a, label")) return;
  const main = document.querySelector(`[data-on="${root.dataset.step}"] [data-main]`);
  if (main) { event.preventDefault(); act(main.dataset.main); }
});

document.addEventListener("entry-taken", (event) => {
  if (event.detail.entry !== load.key || load.number) return;
  load.number = event.detail.load;
  history.replaceState(null, "", `/kiln/${load.number}`);
  by("photo-form").action = `/photos/of-load/${load.number}`;
  keep();
  for (const place of document.querySelectorAll("[data-number]")) place.textContent = load.number;
});
document.addEventListener("visibilitychange", () => { if (!document.hidden) { tick(); if (load.step === "in") stayLit(); } });

by("photo-form").addEventListener("submit", async (event) => {
  event.preventDefault();
  const said = by("photo-words"), box = event.target.elements.photo, [file] = box.files;
  if (!file) return void (said.textContent = "Choose a photo first.");
  said.textContent = "It is kept on this device until the bench machine has it.";
  photoWaits = await keepPhoto(load.number, load.key, file);
  box.value = "";
});
let photoWaits = "";
document.addEventListener("photo-sent", (event) => {
  if (event.detail.entry !== photoWaits) return;
  by("photo-words").textContent = event.detail.refused ? `This photo was not taken. ${event.detail.refused}` : "The photo is kept.";
});

if (load.step === "after") fillAfter();
if (load.number && load.key) history.replaceState(null, "", `/kiln/${load.number}`);
if (load.step !== "ready" || load.key) show();
setInterval(tick, TICK);
// Every button answers from here on; before, the page works as a plain form.
document.getElementById("main").dataset.scripted = "yes";
