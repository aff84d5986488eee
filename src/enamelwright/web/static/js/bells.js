// Three bells that nobody mixes up with the screen out of sight, and the whole screen as a fourth: words, and a slow
// brightening below three a second. [frequency Hz, starts after s, lasts s, kind of wave]

const BELLS = {
  "first look": { tones: [[523, 0, 0.35, "sine"], [784, 0.4, 0.6, "sine"]], words: "First look now" },
  "next look": { tones: [[880, 0, 0.16, "triangle"]], words: "Look again" },
  "out by": { tones: [[294, 0, 0.3, "square"], [233, 0.35, 0.3, "square"], [294, 0.7, 0.3, "square"], [233, 1.05, 0.5, "square"]], words: "Out now" },
};
const LOUD = 0.35, SHOWN = 3200;

let sound;
// A browser lets sound out only after a tap or a key, so this is called from one.
export function wake() {
  const Kind = window.AudioContext ?? window.webkitAudioContext;
  if (!Kind) return;
  sound ??= new Kind();
  if (sound.state === "suspended") sound.resume().catch(() => {});
}

export function ring(name) {
  const bell = BELLS[name];
  flash(name, bell.words);
  document.dispatchEvent(new CustomEvent("bell", { detail: { name, tones: bell.tones } }));
  if (!sound || sound.state !== "running") return;
  for (const [pitch, start, long, wave] of bell.tones) {
    const voice = sound.createOscillator(), loud = sound.createGain(), at = sound.currentTime + start;
    voice.type = wave;
    voice.frequency.value = pitch;
    loud.gain.setValueAtTime(0.0001, at);
    loud.gain.exponentialRampToValueAtTime(wave === "square" ? LOUD / 2 : LOUD, at + 0.02);
    loud.gain.exponentialRampToValueAtTime(0.0001, at + long);
    voice.connect(loud).connect(sound.destination);
    voice.start(at);
    voice.stop(at + long + 0.05);
  }
}

let hiding = 0;
function flash(name, words) {
  const sheet = document.getElementById("flash");
  if (!sheet) return;
  sheet.dataset.bell = name;
  sheet.firstElementChild.textContent = words;
  sheet.hidden = false;
  clearTimeout(hiding);
  hiding = setTimeout(() => { sheet.hidden = true; }, SHOWN);
}
export function hush() {
  clearTimeout(hiding);
  const sheet = document.getElementById("flash");
  if (sheet) sheet.hidden = true;
}

// Keeps the screen lit where the browser can; says whether it can.
let lit = null;
export async function stayLit() {
  if (!navigator.wakeLock) return false;
  try { lit = await navigator.wakeLock.request("screen"); return true; } catch { return false; }
}
export function letDarken() { lit?.release().catch(() => {}); lit = null; }
