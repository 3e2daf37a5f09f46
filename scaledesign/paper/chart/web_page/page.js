// Sound and keys of the chart. Without this script the chart is whole, only silent.
(() => {
"use strict";
if (!window.AudioContext) return;

const ATTACK = 0.06;      // s until a note is there
const RELEASE = 0.05;     // s in which it falls to a third
const STEP = 0.55;        // s a note of the scale
const LAST = 1.4;         // s the last one
const TURN = 0.13;        // s a note of a trill
const TURNS = 24;
const PARTIALS = 7;

// ---- One note ------------------------------------------------------------------------------------------

// Levels of the partials fall evenly in decibels, faster the higher the note; together they are 1.
function wave(context, hertz) {
  const fall = Math.min(Math.max(6 + 7 * Math.log2(hertz / 300), 6), 20);
  const sine = new Float32Array(PARTIALS + 1);
  let sum = 0;
  for (let n = 1; n <= PARTIALS && n * hertz < 0.45 * context.sampleRate; n++) {
    sine[n] = 10 ** (-fall * (n - 1) / 20);
    sum += sine[n];
  }
  for (let n = 1; n <= PARTIALS; n++) sine[n] /= sum || 1;
  return context.createPeriodicWave(new Float32Array(PARTIALS + 1), sine, {disableNormalization: true});
}

// Two seconds of noise, the same every time.
function noise(context) {
  const made = context.createBuffer(1, 2 * context.sampleRate, context.sampleRate);
  const samples = made.getChannelData(0);
  let seed = 1;
  for (let i = 0; i < samples.length; i++) {
    seed = (Math.imul(seed, 1664525) + 1013904223) | 0;
    samples[i] = seed / 2147483648;
  }
  return made;
}

const breaths = new WeakMap();

// A soft tone: breath first, then the tone, its upper partials a little later. Returns how to end it.
function voice(context, out, hertz, at = context.currentTime, level = 1, breathy = 1) {
  if (!breaths.has(context)) breaths.set(context, noise(context));
  const tone = context.createOscillator();
  tone.setPeriodicWave(wave(context, hertz));
  tone.frequency.value = hertz;
  const soft = context.createBiquadFilter();
  soft.type = "lowpass";
  soft.Q.value = 0;
  soft.frequency.setValueAtTime(1.5 * hertz, at);
  soft.frequency.exponentialRampToValueAtTime(Math.min(9 * hertz, 0.45 * context.sampleRate), at + 3 * ATTACK);
  const body = context.createGain();
  body.gain.setValueAtTime(0, at);
  body.gain.linearRampToValueAtTime(0.8, at + ATTACK);
  const air = context.createBufferSource();
  air.buffer = breaths.get(context);
  air.loop = true;
  const band = context.createBiquadFilter();
  band.type = "bandpass";
  band.frequency.value = Math.min(2.2 * hertz, 6000);
  band.Q.value = 0.9;
  const puff = context.createGain();
  puff.gain.setValueAtTime(0, at);
  puff.gain.linearRampToValueAtTime(0.09 * breathy, at + 0.02);
  puff.gain.setTargetAtTime(0.016 * breathy, at + 0.02, 0.06);
  const gate = context.createGain();
  gate.gain.value = level;
  tone.connect(soft).connect(body).connect(gate);
  air.connect(band).connect(puff).connect(gate);
  gate.connect(out);
  tone.start(at);
  air.start(at);
  tone.onended = () => gate.disconnect();
  return when => {
    const end = Math.max(when, context.currentTime);
    gate.gain.cancelScheduledValues(end);
    gate.gain.setTargetAtTime(0, end, RELEASE);
    tone.stop(end + 8 * RELEASE);
    air.stop(end + 8 * RELEASE);
  };
}

// ---- What sounds now -----------------------------------------------------------------------------------

const id = name => document.getElementById(name);
const notes = [...document.querySelectorAll("button.note")];
const cards = [...document.querySelectorAll("button.card")];
const scaleButton = id("scale"), droneButton = id("drone"), volume = id("volume");
const still = matchMedia("(prefers-reduced-motion: reduce)");
let context = null, master = null;
let tune = null;      // {ends, timer} of a note, a trill or the scale
let drone = null;     // how to end it
let held = null;      // the card whose note or trill it is
const asked = {tune: 0, drone: 0};

const loudness = () => 0.8 * (volume.value / 100) ** 2;
const press = (button, on) => button?.setAttribute("aria-pressed", on);

// A running context, once somebody has touched something. It is made, and woken, within the touch.
async function woken() {
  if (!context) {
    if (navigator.audioSession) navigator.audioSession.type = "playback";
    context = new AudioContext();
    master = context.createGain();
    master.gain.value = loudness();
    master.connect(context.destination);
  }
  if (context.state !== "running") await context.resume();
  return context;
}

function mark(button) {
  for (const card of cards) press(card, card === button);
}

function stopTune() {
  asked.tune++;
  if (tune) {
    cancelAnimationFrame(tune.timer);
    for (const end of tune.ends) end(context.currentTime);
    tune = null;
  }
  held = null;
  mark(null);
  press(scaleButton, false);
}

function stopDrone() {
  asked.drone++;
  drone?.(context.currentTime);
  drone = null;
  press(droneButton, false);
}

// A note, until it is stopped.
async function hold(button) {
  if (button === held) return stopTune();
  stopTune();
  const turn = asked.tune;
  held = button;
  mark(button);
  await woken();
  if (turn !== asked.tune) return;
  const hertz = Number(button.dataset.hz), high = Number(button.dataset.high);
  tune = {ends: high ? trill(hertz, high) : [voice(context, master, hertz)]};
  if (high) setTimeout(() => { if (turn === asked.tune) stopTune(); }, 1000 * (TURNS + 2) * TURN);
}

// Two notes by turns, for a few seconds.
function trill(low, high) {
  const ends = [];
  const begin = context.currentTime + 0.02;
  for (let i = 0; i < TURNS; i++) {
    const at = begin + i * TURN;
    const end = voice(context, master, i % 2 ? high : low, at, 1, i ? 0.2 : 1);
    end(at + TURN - 0.01);
    ends.push(end);
  }
  return ends;
}

// Up the scale and down again. Notes are set beforehand, so that nothing makes them stumble.
async function playScale() {
  if (scaleButton.getAttribute("aria-pressed") === "true") return stopTune();
  stopTune();
  const turn = asked.tune;
  press(scaleButton, true);
  await woken();
  if (turn !== asked.tune) return;
  const up = notes.filter(button => button.dataset.role === "scale");
  const order = [...up, ...up.slice(0, -1).reverse()];
  const begin = context.currentTime + 0.05;
  const starts = order.map((_, i) => begin + i * STEP);
  const over = starts[order.length - 1] + LAST;
  const ends = order.map((button, i) => {
    const end = voice(context, master, Number(button.dataset.hz), starts[i]);
    end((starts[i + 1] ?? over) - 0.03);
    return end;
  });
  let shown = -1;
  const follow = () => {
    const now = context.currentTime;
    if (now >= over) return stopTune();
    const before = shown;
    while (starts[shown + 1] <= now) shown++;
    if (shown > before) {
      mark(order[shown]);
      order[shown].scrollIntoView({block: "nearest", behavior: still.matches ? "auto" : "smooth"});
    }
    tune.timer = requestAnimationFrame(follow);
  };
  tune = {ends, timer: requestAnimationFrame(follow)};
}

async function holdDrone() {
  if (droneButton.getAttribute("aria-pressed") === "true") return stopDrone();
  stopDrone();
  const turn = asked.drone;
  press(droneButton, true);
  await woken();
  if (turn !== asked.drone) return;
  drone = voice(context, master, Number(droneButton.dataset.hz), context.currentTime, 0.5, 0.5);
}

for (const button of cards) button.addEventListener("click", () => hold(button));
scaleButton?.addEventListener("click", playScale);
droneButton.addEventListener("click", holdDrone);
volume.addEventListener("input", () => master?.gain.setTargetAtTime(loudness(), context.currentTime, 0.02));
addEventListener("pagehide", () => { stopTune(); stopDrone(); });

// ---- Keys ----------------------------------------------------------------------------------------------

// The card that lies nearest in the row above (-1) or below (1).
function inRow(from, way) {
  const box = from.getBoundingClientRect();
  const middle = b => (b.left + b.right) / 2;
  let best = null, least = Infinity;
  let row = null;
  for (const card of way > 0 ? cards : [...cards].reverse()) {
    const other = card.getBoundingClientRect();
    if (way > 0 ? other.top <= box.top + 1 : other.top >= box.top - 1) continue;
    row ??= other.top;
    if (Math.abs(other.top - row) > 1) break;
    const off = Math.abs(middle(other) - middle(box));
    if (off < least) [best, least] = [card, off];
  }
  return best;
}

const NAME = /^[a-z1-7]$/i;   // what a note's name may begin with, in any language

function nextNamed(key, from) {
  const place = notes.indexOf(from);
  const turned = [...notes.slice(place + 1), ...notes.slice(0, place + 1)];
  return turned.find(button => button.dataset.key === key);
}

addEventListener("keydown", event => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Escape") {
    stopTune();
    stopDrone();
    return;
  }
  if (event.target === volume || !cards.length) return;
  const here = cards.indexOf(document.activeElement);
  const card = cards[here];
  if (!card && document.activeElement !== document.body && !NAME.test(event.key)) return;
  let to = null;
  switch (event.key) {
    case "ArrowRight": to = cards[here + 1]; break;
    case "ArrowLeft": to = cards[Math.max(here - 1, 0)]; break;
    case "ArrowDown": to = card ? inRow(card, 1) : null; break;
    case "ArrowUp": to = card ? inRow(card, -1) : null; break;
    case "Home": to = card ? cards[0] : null; break;
    case "End": to = card ? cards[cards.length - 1] : null; break;
    default:
      if (NAME.test(event.key)) to = nextNamed(event.key.toLowerCase(), document.activeElement);
  }
  if (!to) return;
  event.preventDefault();
  to.focus();
});

id("player").hidden = false;
id("hint").hidden = !notes.length;
window.chart = {voice, hold, stop: () => { stopTune(); stopDrone(); }};
})();
