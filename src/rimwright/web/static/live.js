// The bend, live: one run on one page, read from two metres, worked with a glove, a foot or a key.
// It shows what the server says and sends what is touched; it computes nothing of the bend. Nothing
// here reloads the page: a reload would take away its permission to sound.

const LATE_S = 1.5; // without a message: dimmed
const SILENT_S = 2.0; // the figures go, "NO DATA" stands there
const REOPEN_S = 3.0; // the link is taken for dead
const BACK_OFF_S = [0.25, 0.5, 1, 2, 3];
const CUE_S = 20; // how long a call stays large
const ANSWER_S = 15; // and a refusal
const RAW_S = 360; // samples are kept one by one this long, then thinned
const THIN_S = 2;
const THIN_MOST = 3000; // rows of a probe; then each is made twice as long
const BROKEN_S = 2.5; // a line is not drawn across a longer silence
const RETRY_S = 10; // a touch is sent again, with the same key, this long
const SETTLE_S = 0.5; // after a change of step the large button waits: a bouncing glove

const $ = (id) => document.getElementById(id);
const root = document.documentElement;
const body = document.body;
const now = () => performance.now() / 1000;

const state = {
  run: null, // number of the run
  boot: "",
  view: null,
  viewAt: 0, // at_s when the view was told
  anchor: null, // {at, wall, here}: the server's clocks and ours, at the last message
  predicted: null,
  heatOn: null,
  heard: null, // ours, when the last message came
  mayAct: null, // null until the server has said
  refused: "", // why the link was closed on purpose
  others: [], // [number, words] of runs that this page could follow
};

// ---------------------------------------------------------------- small helpers

/** An element with text and attributes; text is never read as markup. */
function make(tag, words = "", attributes = {}, ...children) {
  const node = document.createElement(tag);
  if (words) node.textContent = words;
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value !== false && value != null) node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children);
  return node;
}

/** Set text only where it changed: an unchanged node is not read out again. */
function put(node, words) {
  if (node.textContent !== words) node.textContent = words;
}

function show(node, shown) {
  if (node.hidden === shown) node.hidden = !shown;
}

const drawn = new Map();
/** Draw a part anew only when what it shows has changed. */
function redraw(name, facts, draw) {
  const key = JSON.stringify(facts);
  if (drawn.get(name) === key) return;
  drawn.set(name, key);
  draw();
}

/** Draw buttons anew and leave the focus where it was. */
function keepFocus(place, draw) {
  const all = () => [...place.querySelectorAll("button, input")];
  const was = all().indexOf(document.activeElement);
  draw();
  if (was >= 0) all()[was]?.focus();
}

function kept(key, value) {
  try {
    if (value === undefined) return localStorage.getItem(key);
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, value);
  } catch {
    // A browser that keeps nothing asks again next time.
  }
  return null;
}

// ---------------------------------------------------------------- words and figures

const THIN = "\u2009";
const inFahrenheit = () => state.view?.run.show === "inch";
const shown = (celsius) => (inFahrenheit() ? celsius * 1.8 + 32 : celsius);
const unit = () => (inFahrenheit() ? "°F" : "°C");
const degrees = (celsius) => `${Math.round(shown(celsius))}${THIN}${unit()}`;

/** 65 -> "1:05"; an hour and more -> "1 h 05 min". */
function duration(seconds) {
  const whole = Math.max(0, Math.round(seconds));
  const two = (n) => String(n).padStart(2, "0");
  if (whole >= 3600) {
    return `${Math.floor(whole / 3600)}${THIN}h${THIN}${two(Math.floor((whole % 3600) / 60))}${THIN}min`;
  }
  return `${Math.floor(whole / 60)}:${two(whole % 60)}`;
}

/** How long ago, roughly: "12 s", "4 min", "3 h". */
function ago(seconds) {
  if (seconds < 90) return `${Math.max(0, Math.round(seconds))}${THIN}s`;
  if (seconds < 5400) return `${Math.round(seconds / 60)}${THIN}min`;
  return `${Math.round(seconds / 3600)}${THIN}h`;
}

function clockTime(wall_s, withDay = false) {
  const moment = new Date(wall_s * 1000);
  const time = moment.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  return withDay ? `${moment.toLocaleDateString("en-GB", { weekday: "long" })} ${time}` : time;
}

const sentence = (words) => (words ? words[0].toUpperCase() + words.slice(1) : "");

/** The first sentence leads; the rest stands below it. */
function inTwo(words) {
  const end = words.search(/[.!?] (?=[A-Z0-9])/);
  return end < 0 ? [words, ""] : [words.slice(0, end + 1), words.slice(end + 2)];
}

// ---------------------------------------------------------------- time

/** Seconds of the run, now, by the server's clock carried on by ours. */
function runTime() {
  if (!state.anchor) return 0;
  const speed = state.view?.run.speed ?? 1;
  return state.anchor.at + speed * (now() - state.anchor.here);
}

const silence = () => (state.heard === null ? null : now() - state.heard);
const isSilent = () => silence() === null || silence() >= SILENT_S;
const sinceView = () => Math.max(0, runTime() - state.viewAt);

// ---------------------------------------------------------------- samples

// [seq, at_s, probe, celsius | null, fault | null]; older ones are thinned to [at_s, low, high]
// by probe, null where there was no temperature.
const samples = {
  raw: [], thin: new Map(), first: null, last: 0, count: 0, missing: 0, double: 0, rewound: 0,
};

function thinOf(probe) {
  if (!samples.thin.has(probe)) samples.thin.set(probe, { step: THIN_S, rows: [] });
  return samples.thin.get(probe);
}

function fold([, at, probe, celsius]) {
  const thin = thinOf(probe);
  if (celsius === null) {
    if (thin.rows.at(-1)?.[1] !== null) thin.rows.push([at, null, null]);
  } else {
    join(thin.rows, thin.step, at, celsius, celsius);
    if (thin.rows.length > THIN_MOST) coarser(thin);
  }
}

/** Widen the last row, or begin one; a gap stays a gap. */
function join(rows, step, at, low, high) {
  const bin = step * Math.floor(at / step);
  const last = rows.at(-1);
  if (last && last[1] !== null && last[0] === bin) {
    last[1] = Math.min(last[1], low);
    last[2] = Math.max(last[2], high);
  } else {
    rows.push([bin, low, high]);
  }
}

/** A run over days stays as small as one over an hour. */
function coarser(thin) {
  thin.step *= 2;
  const rows = [];
  for (const [at, low, high] of thin.rows) {
    if (low === null) rows.push([at, low, high]);
    else join(rows, thin.step, at, low, high);
  }
  thin.rows = rows;
}

function takeSamples(rows) {
  for (const row of rows) {
    const seq = row[0];
    if (samples.first !== null && seq <= samples.last) {
      samples.double += 1;
      continue;
    }
    if (samples.first === null) samples.first = seq;
    else samples.missing += seq - samples.last - 1;
    samples.last = seq;
    samples.count += 1;
    samples.raw.push(row);
  }
  const oldest = (samples.raw.at(-1)?.[1] ?? 0) - RAW_S;
  let old = 0;
  while (old < samples.raw.length && samples.raw[old][1] < oldest) old += 1;
  // In lots of some hundred: taking one off the front of a long list each time is slow.
  if (old > 500) samples.raw.splice(0, old).forEach(fold);
  tellSamples();
}

/** Another start of the server kept samples only up to `seq`; later ones never were. */
function rewind(seq) {
  if (samples.first === null || seq >= samples.last) return;
  const keep = samples.raw.filter((row) => row[0] <= seq);
  const cut = samples.raw.find((row) => row[0] > seq)?.[1];
  samples.raw = keep;
  if (cut !== undefined) {
    for (const { rows } of samples.thin.values()) {
      while (rows.length && rows.at(-1)[0] >= cut) rows.pop();
    }
  }
  const lost = samples.last - Math.max(seq, samples.first - 1);
  samples.count -= lost;
  samples.rewound += lost;
  samples.last = seq;
  if (seq < samples.first) samples.first = null;
  tellSamples();
}

/** A long run comes thinned up to sample `seq`; from there on each one is told. */
function takeHistory(rows, seq) {
  samples.raw = [];
  samples.thin = new Map();
  Object.assign(samples, { first: seq == null ? null : seq + 1, last: seq ?? 0, count: 0 });
  for (const [at, probe, low, high] of rows) thinOf(probe).rows.push([at, low, high]);
  for (const thin of samples.thin.values()) {
    // The server has its own steps, a power of two of ours.
    const mean = thin.rows.length > 2 ? (thin.rows.at(-1)[0] - thin.rows[0][0]) / (thin.rows.length - 1) : 0;
    while (2 * thin.step <= mean) thin.step *= 2;
  }
}

/** For those who check that nothing is missing or double. */
function tellSamples() {
  Object.assign(root.dataset, {
    samples: samples.count,
    firstSample: samples.first ?? 0,
    lastSample: samples.last,
    missing: samples.missing,
    double: samples.double,
    rewound: samples.rewound,
  });
}

// ---------------------------------------------------------------- the link

let socket = null;
let tries = 0;
let reopening = 0;

function connect() {
  clearTimeout(reopening);
  if (state.run === null) return;
  drop();
  const scheme = location.protocol === "https:" ? "wss" : "ws";
  const since = samples.last;
  const query = `since=${since}&boot=${encodeURIComponent(state.boot)}`;
  const link = new WebSocket(`${scheme}://${location.host}/ws/live/${state.run}?${query}`);
  socket = link;
  link.openedAt = now();
  link.onmessage = (message) => {
    // A link that was given up may still deliver: only the newest counts.
    if (link === socket) hear(JSON.parse(message.data));
  };
  link.onclose = (end) => {
    if (link !== socket) return;
    state.refused = end.code === 1008 ? end.reason || "The server refuses this page." : "";
    socket = null;
    if (!isOver()) reopenLater();
    draw();
  };
}

/** Ended, or given up with the heat off: nothing more will be told. */
function isOver() {
  const view = state.view;
  return view?.state === "ended" || (view?.state === "abandoned" && !view.heat.on);
}

function drop() {
  if (!socket) return;
  const old = socket;
  socket = null;
  old.onclose = old.onmessage = null;
  old.close();
}

function reopenLater() {
  clearTimeout(reopening);
  const pause = BACK_OFF_S[Math.min(tries, BACK_OFF_S.length - 1)];
  tries += 1;
  reopening = setTimeout(connect, 1000 * pause);
}

/** A link without a word for three seconds is dead, whatever the browser thinks of it. */
function watchLink() {
  if (!socket) return;
  const since = Math.max(socket.openedAt, state.heard ?? 0);
  if (now() - since >= REOPEN_S) {
    drop();
    reopenLater();
  }
}

function hear(message) {
  if (message.kind === "hello") {
    tries = 0;
    if (message.rewind != null) rewind(message.rewind);
    state.boot = message.boot;
    state.predicted = message.predicted ?? state.predicted;
    if (message.heat_on_s !== undefined) state.heatOn = message.heat_on_s;
    if (message.history?.length) takeHistory(message.history, message.seq);
    root.dataset.hellos = Number(root.dataset.hellos ?? 0) + 1;
    askState();
  }
  state.heard = now();
  state.refused = "";
  state.anchor = { at: message.at_s, wall: message.wall_s, here: state.heard };
  if (message.samples?.length) takeSamples(message.samples);
  if (message.view) takeView(message.view, message.view.at_s ?? message.at_s);
  root.dataset.heard = Number(root.dataset.heard ?? 0) + 1;
  drawLink();
}

function takeView(view, at_s) {
  const before = state.view;
  state.view = view;
  state.viewAt = at_s;
  if (view.heat.on && state.heatOn === null) state.heatOn = view.heat.since_s;
  if (before && before.visit !== view.visit) {
    sending.done = null;
    settledAt = now() + SETTLE_S;
    largeCue = null; // it was of the step before
    closeTray();
    scrollTo(0, 0);
  }
  if (!view.check?.mismatch) dismissed = "";
  announce(before, view);
  draw();
}

// ---------------------------------------------------------------- what the server says beside it

async function ask(path, options = {}) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 4000);
  try {
    const answer = await fetch(path, { ...options, signal: stop.signal });
    const found = await answer.json().catch(() => ({}));
    return { ok: answer.ok, status: answer.status, found };
  } finally {
    clearTimeout(timer);
  }
}

async function askState() {
  try {
    const { ok, found } = await ask("/api/state");
    if (!ok) return;
    state.mayAct = Boolean(found.paired || found.local);
    const others = found.runs.filter((run) => run !== state.run);
    if (state.run === null && others.length === 1) follow(others[0]);
    else if (!state.view || isOver()) state.others = await named(others);
    draw();
  } catch {
    // Asked again with the next hello, or when there is no run.
  }
}

/** What the runs are of, in words. */
async function named(runs) {
  const views = await Promise.all(runs.map((run) => ask(`/api/runs/${run}`)));
  return views.filter((one) => one.ok).map(({ found: { run } }) => [run.id, `${run.model}, ${run.side}`]);
}

/** Follow a run on this page as it is, so that its sound stays armed. */
function follow(run) {
  drop();
  Object.assign(state, { run, boot: "", view: null, heard: null, heatOn: null, predicted: null });
  takeHistory([]);
  Object.assign(samples, { missing: 0, double: 0, rewound: 0 });
  history.replaceState(null, "", `/live?run=${run}`);
  tries = 0;
  connect();
  draw();
}

// ---------------------------------------------------------------- commands

const sending = { done: null };
let settledAt = 0;

/** Not `randomUUID`: a page of the shop's own network has no secure context. */
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

/** Send once; where the link fails, again with the same key, so that it acts once. */
async function command(kind, fields = {}) {
  const text = JSON.stringify({ key: newKey(), kind, ...fields });
  const options = { method: "POST", headers: { "Content-Type": "application/json" }, body: text };
  const until = now() + RETRY_S;
  const address = `/api/runs/${state.run}/commands`;
  for (let attempt = 0; ; attempt += 1) {
    try {
      const { ok, status, found } = await ask(address, options);
      if (ok) return true;
      if (status < 500) {
        refuse(found);
        if (status === 401 || status === 403) askState();
        return false;
      }
    } catch {
      // No link: the loop goes on.
    }
    if (now() > until) {
      refuse({
        found: "No contact with the shop computer: that touch was not taken",
        next: "look whether it runs, then touch again",
      });
      return false;
    }
    const pause = BACK_OFF_S[Math.min(attempt, BACK_OFF_S.length - 1)];
    await new Promise((go) => setTimeout(go, 1000 * pause));
  }
}

let answerUntil = 0;
function refuse({ found, expected, next, detail }) {
  const first = found ?? (typeof detail === "string" ? detail : "The server did not take that");
  const strip = $("answer");
  strip.replaceChildren(make("strong", `${sentence(first)}.`));
  if (expected) strip.append(` Expected: ${expected}.`);
  if (next) strip.append(` Next: ${next}.`);
  answerUntil = now() + ANSWER_S;
  show(strip, true);
  put($("say-step"), strip.textContent);
}

const mayTouch = () => state.mayAct !== false;

/** What the large button does now: a command, what it says, and why it waits if it does. */
function large() {
  const view = state.view;
  if (!view || !["running", "held"].includes(view.state)) return null;
  if (view.held) return { kind: "resume", words: "Go on" };
  const act = { kind: "done", words: view.step.button || "Step done" };
  if (view.check && !view.check.ready) {
    const missing = view.check.questions.filter((one) => one.blocking && one.answer !== "yes").length;
    const count = missing === 1 ? "One answer is" : `${missing} answers are`;
    return { ...act, wait: view.check.mismatch || `${count} missing.` };
  }
  const { ends_s } = view.step;
  if (view.step.waits && ends_s > runTime()) {
    return { ...act, early: true, wait: `${duration(ends_s - runTime())} of the wait are still to go.` };
  }
  return act;
}

async function touchLarge() {
  const act = large();
  if (!act || !mayTouch() || sending.done !== null || now() < settledAt) return;
  if (act.wait) {
    openTray({
      title: act.wait,
      choices: act.early ? [["End it early", () => move({ ...act, wait: "" }, { early: true })]] : [],
      leave: act.early ? "Let it stand" : "I look again",
    });
    return;
  }
  move(act);
}

async function move(act, fields = {}) {
  const visit = state.view.visit;
  sending.done = visit;
  drawBar();
  const taken = await command(act.kind, act.kind === "resume" ? {} : { visit, ...fields });
  // The view that follows frees the button; a refusal, or a view that stays away, does it here.
  if (taken && act.kind !== "resume") setTimeout(() => free(visit), 2000);
  else free(visit);
}

function free(visit) {
  if (sending.done !== visit) return;
  sending.done = null;
  drawBar();
}

let hereAt = 0;

function iAmHere(alarm) {
  ownGesture();
  if (!mayTouch() || now() < hereAt + SETTLE_S) return;
  hereAt = now();
  if (alarm) command("acknowledge", { alarm });
  else command("present").then((taken) => taken && put($("say-step"), "Noted: somebody is here."));
}

/** The alarm that asks first: the highest not yet acknowledged. */
function topAlarm() {
  return state.view?.alarms.find((a) => a.state.endsWith("unacknowledged"));
}

// ---------------------------------------------------------------- sound

const sound = {
  context: null,
  out: null, // what everything goes through
  ear: null, // hears what really went out
  alarm: null, // the nodes of an alarm that is sounding
  wanted: kept("rimwright-no-sound") !== "yes",
  clock: 0, // the audio clock when last looked at
  clockHere: 0,
  stuck: false,
  askedAt: -1,
};

const isArmed = () => sound.wanted && sound.context?.state === "running" && !sound.stuck;

function makeContext() {
  const Context = window.AudioContext ?? window.webkitAudioContext;
  if (!Context) return;
  const context = new Context();
  sound.context = context;
  sound.out = context.createGain();
  sound.ear = context.createAnalyser();
  sound.ear.fftSize = 1024;
  sound.out.connect(sound.ear);
  sound.ear.connect(context.destination);
  context.onstatechange = () => drawSound();
}

/** In a touch or key of a person: the only moment at which a browser lets a page make sound. */
function ownGesture() {
  keepAwake();
  // A phone that is called may never say whether it went on: asked again with the next touch.
  if (!sound.wanted || isArmed() || now() < sound.askedAt + 1) return;
  sound.askedAt = now();
  if (sound.stuck) {
    sound.context.close();
    Object.assign(sound, { context: null, alarm: null, stuck: false });
  }
  if (!sound.context) makeContext();
  sound.context?.resume().then(() => {
    sound.clockHere = now();
    tones([660, 880], 0.25);
    drawSound();
  });
}

/** Soft notes, one after the other; never like an alarm. */
function tones(notes, loud) {
  if (!isArmed()) return;
  const { context, out } = sound;
  notes.forEach((hertz, i) => {
    const start = context.currentTime + 0.02 + 0.28 * i;
    const voice = context.createOscillator();
    const swell = context.createGain();
    voice.frequency.value = hertz;
    swell.gain.setValueAtTime(0, start);
    swell.gain.linearRampToValueAtTime(loud, start + 0.03);
    swell.gain.exponentialRampToValueAtTime(0.001, start + 0.5);
    voice.connect(swell).connect(out);
    voice.start(start);
    voice.stop(start + 0.55);
  });
}

/** Two harsh tones in turn. They run by themselves: a page that stutters does not still them. */
function soundAlarm(on) {
  if (on && isArmed() && !sound.alarm) {
    const { context, out } = sound;
    const voice = context.createOscillator();
    const turn = context.createOscillator();
    const width = context.createGain();
    const dull = context.createBiquadFilter();
    const loud = context.createGain();
    voice.type = turn.type = "square";
    voice.frequency.value = 860;
    turn.frequency.value = 2.2;
    width.gain.value = 160;
    dull.frequency.value = 4000;
    loud.gain.setValueAtTime(0, context.currentTime);
    loud.gain.linearRampToValueAtTime(0.6, context.currentTime + 0.02);
    turn.connect(width).connect(voice.frequency);
    voice.connect(dull).connect(loud).connect(out);
    voice.start();
    turn.start();
    sound.alarm = { voice, turn, loud };
  } else if (sound.alarm && (!on || !isArmed())) {
    const { voice, turn, loud } = sound.alarm;
    loud.gain.linearRampToValueAtTime(0, sound.context.currentTime + 0.05);
    voice.stop(sound.context.currentTime + 0.1);
    turn.stop(sound.context.currentTime + 0.1);
    sound.alarm = null;
  }
}

let trying = 0; // until when the alarm is heard on request
let lostCall = 0; // when the lost link was last called
function watchSound() {
  const { context } = sound;
  if (context?.state === "running") {
    const moved = context.currentTime !== sound.clock;
    if (moved) Object.assign(sound, { clock: context.currentTime, clockHere: now() });
    // A device whose output is gone says "running" and stands still.
    sound.stuck = !moved && now() - sound.clockHere > 2;
  }
  const called = state.view?.sound.alarm || state.view?.alarms.some((alarm) => alarm.sounding);
  // With the link gone an alarm that was sounding goes on: nobody has said that it is over.
  soundAlarm(Boolean(called) || now() < trying);
  const alone = state.view?.heat.on && silence() > SILENT_S && state.view.state !== "ended";
  if (alone && now() - lostCall > 15) {
    lostCall = now();
    tones([392, 330, 392], 0.4);
  }
  const waves = new Float32Array(1024);
  if (sound.ear && isArmed()) sound.ear.getFloatTimeDomainData(waves);
  Object.assign(root.dataset, {
    sound: isArmed() ? "armed" : "off",
    sounding: sound.alarm ? "alarm" : "none",
    // What the output really carries, in hundredths of full.
    loudness: Math.round(100 * waves.reduce((most, wave) => Math.max(most, Math.abs(wave)), 0)),
  });
}

let awake = null;
let awakeRefused = false;
async function keepAwake() {
  if (awake || !isSecureContext || !navigator.wakeLock || document.visibilityState !== "visible") return;
  try {
    awake = await navigator.wakeLock.request("screen");
    awake.onrelease = () => {
      awake = null;
      drawSound();
    };
  } catch {
    awakeRefused = true;
  }
  drawSound();
}

function awakeWords() {
  if (awake) return "The screen is kept on while this page is in front.";
  const own = "set this device’s screen to stay on.";
  if (!isSecureContext || !navigator.wakeLock) return `This page cannot keep the screen on: ${own}`;
  return awakeRefused ? `The device does not let this page keep the screen on: ${own}` : "";
}

function drawSound() {
  watchSound();
  show($("arm"), !isArmed() && !firstUseOpen);
  const host = { armed: "sounds too", silent: "has no sound", off: "has its sound turned off" };
  const there = host[state.view?.sound.host];
  const here = isArmed() ? "Sound is armed on this page." : "Sound is off on this page.";
  put($("sound-words"), there ? `${here} The shop computer ${there}.` : here);
  $("quiet").setAttribute("aria-pressed", String(!sound.wanted));
  put($("awake-words"), awakeWords());
  drawLamps();
}

// ---------------------------------------------------------------- what is said aloud and called

let lastCue = null; // number of the last call that was heard here
let largeCue = null; // {cue, until}

function announce(before, view) {
  if (!before || before.visit !== view.visit || before.state !== view.state) {
    put($("say-step"), stepAloud(view));
  }
  const newest = view.cues.at(-1);
  for (const cue of view.cues) {
    const fresh = lastCue === null ? runTime() - cue.at_s < CUE_S : cue.number > lastCue;
    if (!fresh) continue;
    largeCue = { cue, until: now() + CUE_S };
    put($("say-step"), `${cue.title}. ${cue.words}`);
    tones([523, 659, 784], 0.35);
  }
  if (newest) lastCue = Math.max(lastCue ?? 0, newest.number);
  else if (lastCue === null) lastCue = 0;
  const was = new Map((before?.alarms ?? []).map((alarm) => [alarm.key, alarm.state]));
  const fresh = view.alarms.filter(
    (alarm) => alarm.state === "active_unacknowledged" && was.get(alarm.key) !== alarm.state,
  );
  if (fresh.length) put($("say-alarm"), fresh.map(alarmAloud).join(" "));
  else if (!view.alarms.length) put($("say-alarm"), "");
  watchSound();
}

const alarmAloud = (alarm) => `Alarm: ${alarm.title}. ${alarm.words}. ${alarm.action}.`;

function stepAloud(view) {
  if (view.state === "ended" || view.state === "abandoned") return "The run is over.";
  if (view.held) return "Waiting here.";
  return `Step ${view.step.number} of ${view.step.of}: ${view.step.title}. ${view.step.do}`;
}

// ---------------------------------------------------------------- drawing the page

let firstUseOpen = kept("rimwright-cut-out") === null;
let dismissed = ""; // the mismatch that was read

function viewName() {
  const view = state.view;
  if (firstUseOpen) return "first-use";
  if (!view) return state.run === null || state.refused ? "none" : "waiting";
  if (view.check?.mismatch && view.check.mismatch !== dismissed) return "mismatch";
  if (view.state === "ended" || view.state === "abandoned") return "over";
  if (view.phase === "check") return "check";
  if (view.step.key === "inspect") return "inspect";
  return view.rest ? "rest" : "steps";
}

const FIGURES = ["steps", "rest", "waiting"];
const PARTS = {
  "first-use": ["first-use"],
  mismatch: ["mismatch"],
  none: ["none", "over"],
  check: ["check"],
  inspect: ["inspect"],
  figures: FIGURES,
  drawing: [...FIGURES, "over"],
  ahead: ["steps", "rest", "check", "inspect"],
  mind: ["steps", "rest", "check", "inspect"],
  lead: [...FIGURES, "check", "inspect", "over"],
  side: [...FIGURES, "check", "inspect", "over"],
  main: [...FIGURES, "check", "inspect", "over"],
};

function draw() {
  const name = viewName();
  if (body.dataset.view !== name) body.dataset.view = name;
  for (const [part, views] of Object.entries(PARTS)) show($(part), views.includes(name));
  drawHeader();
  drawStrips();
  drawAlarms();
  drawLead(name);
  drawBar();
  if (name === "check") drawCheck();
  if (name === "inspect") drawInspect();
  if (name === "none" || name === "over") drawNone(name);
  if (name === "mismatch") put($("mismatch-words"), state.view.check.mismatch);
  drawAhead();
  drawLists();
  drawLink();
}

function drawHeader() {
  const view = state.view;
  const title = view ? `${view.run.model}, ${view.run.side}` : "The bend, live";
  put($("title"), title);
  document.title = view ? `${title} · the bend, live` : title;
  put($("count"), view ? `step ${view.step.number} of ${view.step.of}` : "");
  drawLamps();
}

function drawLamps() {
  const view = state.view;
  const lamps = [];
  if (view?.heat.on) {
    lamps.push(["heat", `heat marked on, ${duration(runTime() - view.heat.since_s)}`]);
  }
  lamps.push(isArmed() ? ["on", "sound"] : ["off", "sound off"]);
  if (view) lamps.push(view.recording.ok ? ["on", "recording"] : ["off", "not recording"]);
  redraw("lamps", lamps, () => {
    $("lamps").replaceChildren(...lamps.map(([lamp, words]) => make("span", words, { class: `lamp ${lamp}` })));
  });
}

function drawStrips() {
  const view = state.view;
  const kind = view?.probes[0]?.kind === "replay" ? "a recorded bend" : "a model";
  const speed = view && view.run.speed !== 1 ? `, ${view.run.speed} times as fast` : "";
  put($("practice"), `PRACTICE: ${kind}, not a probe${speed}`);
  show($("practice"), Boolean(view?.run.simulated));
  const lost = view?.recording;
  put($("unkept"), lost ? `Not recording. ${lost.words}` : "");
  show($("unkept"), Boolean(lost && !lost.ok));
  show($("no-cut-out"), kept("rimwright-cut-out") === "no" && !firstUseOpen);
  show($("pairing"), state.mayAct === false);
  drawPassing();
}

/** What stands for some seconds. */
function drawPassing() {
  if (largeCue && now() > largeCue.until) largeCue = null;
  redraw("cue", largeCue?.cue.number ?? 0, () => {
    show($("cue"), Boolean(largeCue));
    if (!largeCue) return;
    const { title, words } = largeCue.cue;
    $("cue").replaceChildren(make("strong", `${title}. `), words);
  });
  if (now() > answerUntil) show($("answer"), false);
}

const STANDING = {
  active_acknowledged: "acknowledged, still so",
  returned_unacknowledged: "over, not yet acknowledged",
  shelved: "put aside",
  out_of_service: "out of service",
};

const alarmParts = new Map(); // by key: a part stays, so that no touch is lost while its words change

function drawAlarms() {
  const alarms = state.view?.alarms ?? [];
  root.dataset.alarm = alarms.find((alarm) => alarm.state.startsWith("active"))?.key ?? "";
  root.dataset.loud = String(Boolean(topAlarm()));
  $("alarms").dataset.calm = String(!topAlarm());
  for (const [key, part] of alarmParts) {
    if (alarms.some((alarm) => alarm.key === key)) continue;
    part.remove();
    alarmParts.delete(key);
    drawn.delete(`touches of ${key}`);
  }
  alarms.forEach(drawAlarm);
  show($("alarms"), alarms.length > 0);
}

function drawAlarm(alarm, place) {
  const { key, title, words, action } = alarm;
  if (!alarmParts.has(key)) {
    alarmParts.set(key, make("article", "", {},
      make("h2", title), make("p", "", { class: "words" }), make("p"), make("div", "", { class: "touches" })));
  }
  const part = alarmParts.get(key);
  if ($("alarms").children[place] !== part) $("alarms").insertBefore(part, $("alarms").children[place] ?? null);
  const [, said, asked, touches] = part.children;
  part.className = `alarm ${place ? "lesser" : "first"}`;
  part.dataset.state = alarm.state;
  put(said, STANDING[alarm.state] ? `${words} (${STANDING[alarm.state]})` : words);
  put(asked, action);
  asked.className = action.length > 34 ? "action long" : "action";
  const can = mayTouch() ? touchesOf(alarm) : [];
  redraw(`touches of ${key}`, can.map(([label]) => label), () => {
    touches.replaceChildren(...can.map(([label, about, act]) =>
      make("button", label, { type: "button", "aria-label": `${label}: ${about} ${title}`, onclick: act })));
  });
}

/** What a hand may do with an alarm: words, what it means, and the act. */
function touchesOf(alarm) {
  const { key } = alarm;
  const can = [];
  if (alarm.state.endsWith("unacknowledged")) can.push(["I am here", "acknowledge", () => iAmHere(key)]);
  if (alarm.can_shelve) {
    can.push(["Put aside for 5 min", "put aside", () => command("shelve", { alarm: key })]);
  }
  const fire = alarm.high && (state.view.heat.on || key === "too_hot");
  if (!fire && ["active_acknowledged", "returned_unacknowledged"].includes(alarm.state)) {
    can.push(["Out of service", "take out of service", () => askOut(alarm)]);
  }
  if (alarm.state === "shelved") {
    can.push(["Take up again", "take up", () => command("unshelve", { alarm: key })]);
  }
  if (alarm.state === "out_of_service") {
    can.push(["Back in service", "put back", () => command("in_service", { alarm: key })]);
  }
  return can;
}

function drawLead(name) {
  const view = state.view;
  if (!view) {
    show($("record"), false);
    put($("step-title"), "");
    put($("do"), "Looking for the shop computer.");
    put($("do-more"), "");
    return;
  }
  let [first, rest] = inTwo(view.step.do);
  let title = view.step.title;
  if (name === "over") {
    title = "";
    first = view.state === "ended" ? "This run is over." : "This run was given up.";
    rest = view.heat.on
      ? "Heat is still marked on: pull the plug, then mark it off."
      : `Kept as record ${view.run.id}.`;
  } else if (view.held) {
    title = `${title}: waiting`;
    rest = [first, rest].join(" ").trim();
    first = view.held.words || "Wait here.";
  }
  put($("step-title"), title);
  put($("do"), first);
  put($("do-more"), rest);
  show($("record"), name === "over");
  if (name === "over") $("record").firstChild.href = `/records/${view.run.id}`;
  $("do").dataset.length = first.length < 42 ? "short" : first.length < 105 ? "middle" : "long";
}

function drawBar() {
  const view = state.view;
  const act = large();
  const covered = ["first-use", "mismatch"].includes(viewName());
  // Given up with the heat marked on: what is left to mark is that it is off.
  const shown = Boolean(view && mayTouch() && !covered && (act || view.heat.on));
  show($("bar"), shown);
  show($("give-up"), Boolean(act && mayTouch()));
  if (!shown) return;
  const waiting = sending.done !== null;
  show($("go"), Boolean(act));
  put($("go-words"), waiting ? "Sending" : (act?.words ?? ""));
  put($("go-next"), view.next && act?.kind === "done" ? `next: ${view.next.title}` : "");
  $("go").dataset.waits = String(Boolean(act?.wait || waiting));
  put($("heat"), view.heat.on ? "Mark heat off" : "Mark heat on");
  show($("heat"), view.heat.on || view.phase === "hot");
  show($("turned-down"), view.heat.on && Boolean(act) && view.run.control === "dial");
  show($("wait"), Boolean(act) && act.kind !== "resume");
  show($("back"), Boolean(act) && view.step.number > 1);
  show($("note"), Boolean(act));
}

// ---------------------------------------------------------------- the tray: what a touch asks back

let trayAct = null;

/** Ask something above the large button; nothing else is covered. */
function openTray({ title, choices = [], asks = "", send = "", act = null, leave = "Leave it" }, byKey = false) {
  trayAct = act;
  put($("tray-title"), title);
  put($("say-step"), title);
  const touch = ([words, choose]) =>
    make("button", words, { type: "button", onclick: () => { closeTray(); choose(); } });
  $("tray-choices").replaceChildren(...choices.map(touch));
  show($("tray-label"), Boolean(asks));
  show($("tray-send"), Boolean(asks));
  put($("tray-asks"), asks);
  put($("tray-send"), send);
  put($("tray-leave"), leave);
  $("tray-words").value = "";
  show($("tray"), true);
  // Opened by a touch it waits for one: a keyboard on the screen would cover the figures.
  if (byKey) $("tray").querySelector("button, input:not([hidden])").focus();
}

function closeTray() {
  trayAct = null;
  show($("tray"), false);
}

async function sendTray(event) {
  event.preventDefault();
  const words = $("tray-words").value.trim();
  const act = trayAct;
  if (!words || !act) return;
  if (await act(words)) closeTray();
}

const QUICK = ["Creaked", "A fibre lifted", "Flat spot", "Steam is less", "Smells hot"];
const askNote = (byKey) =>
  openTray({
    title: "A note for the record",
    choices: QUICK.map((words) => [words, () => command("note", { text: words })]),
    asks: "In your words",
    send: "Write down",
    act: (text) => command("note", { text }),
  }, byKey);

/** To which share of full power the dial was turned; what holds the target stands first. */
function askShare(byKey) {
  const middle = state.view.forecast?.hold_fraction?.middle;
  const holds = middle == null ? null : Math.round(100 * middle);
  const shares = [75, 66, 50, 33, 25].filter((share) => share !== holds);
  const choice = (share, words) => [words, () => command("turned_down", { share: share / 100 })];
  openTray({
    title: "Turned down to",
    choices: [
      ...(holds ? [choice(holds, `${holds}${THIN}%: holds the target`)] : []),
      ...shares.map((share) => choice(share, `${share}${THIN}%`)),
    ],
  }, byKey);
}

const askGiveUp = (byKey) =>
  openTray({
    title: "Give up this run? Its record is kept; the bend cannot be taken up again.",
    choices: [["Yes, give it up", () => command("abandon")]],
    leave: "No, go on with it",
  }, byKey);

const askOut = (alarm) =>
  openTray({
    title: `${alarm.title}: out of service until you put it back`,
    asks: "Why, for the log",
    send: "Take it out",
    act: (text) => command("out_of_service", { alarm: alarm.key, text }),
  });

// ---------------------------------------------------------------- the check before the heat

const ANSWERS = {
  face: ["Yes, it is", "No"],
  wires: ["Yes, I looked", "No"],
  cut_out: ["Yes, both tested", "No"],
  person: ["Yes, I stay", "No"],
};

function drawCheck() {
  const { questions } = state.view.check;
  redraw("check", [questions, mayTouch(), state.view.run], () => {
    // What was found amiss is asked again, whatever it was.
    const asked = questions.filter((one) => one.blocking || one.answer === "no");
    keepFocus($("questions"), () => $("questions").replaceChildren(...asked.map(questionPart)));
    const eye = questions.filter((one) => !asked.includes(one));
    $("eye").replaceChildren(...eye.map((one) =>
      make("li", "", {}, picture(one.key, state.view.check.stack), make("span", `${one.answer ? "✓ " : ""}${one.words}`)),
    ));
  });
}

function answer(fields) {
  dismissed = "";
  return command("answer", fields);
}

function questionPart({ key, words, answer: said, expects }) {
  const { model, side } = state.view.run;
  const [yes, no] = expects ? [`It says ${model}, ${side}`, "Another"] : (ANSWERS[key] ?? ["Yes", "No"]);
  const touch = (reply, label) =>
    make("button", label, {
      type: "button",
      class: `choice ${reply}`,
      "aria-pressed": String(said === reply),
      onclick: () => answer({ question: key, answer: reply }),
    });
  const part = make("article", "", { class: "question", "data-answer": said ?? "" }, make("h3", words));
  if (!mayTouch()) part.append(make("p", said ? `Answered: ${said}` : "Not answered yet"));
  else {
    if (expects) part.append(scanField());
    part.append(make("div", "", { class: "answers" }, touch("yes", yes), touch("no", no)));
  }
  return part;
}

/** A scanner types a label's code and ends it with Enter; the code says which label it is. */
function scanField() {
  const field = make("input", "", { autocomplete: "off", spellcheck: "false", maxlength: "400", class: "scan" });
  const form = make("form", "", {}, make("label", "Scan a label, or look and touch ", { class: "wide" }, field));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    scanned(field.value);
    field.value = "";
  });
  return form;
}

function scanned(text) {
  const code = text.trim();
  if (code) answer({ code });
}

// Small drawings for the eye, 64 by 40: wood, steel and water in their colours, outlines in ink.
const PICTURES = {
  hand: "w:M6 30C22 30 26 12 40 12S52 20 58 24 i:M14 6H30V15H14Z i:M17 10H27",
  mate: "w:M6 26C20 26 24 10 36 10S50 16 58 18 w:M6 36C20 36 24 20 36 20S50 26 58 28",
  marks: "s:M6 8H58V13H6Z w:M6 17H58V23H6Z s:M6 27H58V32H6Z i:M32 3V37",
  tape: "w:M6 32C22 32 26 14 40 14S52 22 58 26 a:M28 19C32 12 38 9 46 11",
  bundle: "w:M6 11H58V16H6Z w:M6 20H58V23H6Z w:M6 27H58V30H6Z i:M20 7V34 i:M44 7V34",
  stack: "s:M6 6H58 i:M6 12H58 w:M6 17H58V23H6Z i:M6 28H58 s:M6 34H58",
  probe: "s:M6 14H58 w:M6 26H58V32H6Z e:M20 20H34 i:M34 20C46 20 50 12 60 8",
  clamps: "w:M6 32C22 32 26 20 32 20S42 32 58 32 i:M32 2V16 i:M25 16H39",
  water: "t:M14 8C8 18 8 24 14 26S22 20 14 8Z i:M42 22V14 i:M50 22V14 i:M38 22H54V28C54 34 38 34 38 28Z i:M30 4V36",
  cut_out: "i:M8 8H34V32H8Z i:M21 14V20 i:M15 26H27 i:M34 20H44 e:M44 20H58",
  other: "i:M8 20C18 6 46 6 56 20C46 34 18 34 8 20Z i:M26 20A6 6 0 1 0 38 20A6 6 0 1 0 26 20",
};
const STROKES = { w: "wood", s: "steel", t: "water", a: "taped", e: "hot", i: "line" };

function picture(key, stack = []) {
  const drawing = key === "stack" && stack.length ? stackPaths(stack) : (PICTURES[key] ?? PICTURES.other);
  const paths = drawing.split(/ (?=[a-z]:)/).map((one) =>
    svg("path", { class: STROKES[one[0]], d: one.slice(2) }),
  );
  return svg("svg", { viewBox: "0 0 64 40", class: "picture", "aria-hidden": "true" }, ...paths);
}

/** The stack as it lies: the form below, each layer in its own stroke. */
function stackPaths(stack) {
  const apart = 30 / (stack.length + 1);
  const layer = (words, i) => {
    const kind = /slat|strap/.test(words) ? "s" : /side|strip|binding/.test(words) ? "w" : /blanket/.test(words) ? "e" : "i";
    return `${kind}:M6 ${(34 - apart * (i + 1)).toFixed(1)}H58`;
  };
  return ["i:M2 36H62 i:M8 40L12 36 i:M30 40L34 36 i:M52 40L56 36", ...stack.map(layer)].join(" ");
}

// ---------------------------------------------------------------- what became of it

const KINDS = ["sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot"];
const PLACES = ["tail", "lower bout", "waist", "upper bout", "horn", "scoop", "neck"];
const FACES = ["inside", "outside", "both"];
const chosen = { kind: "", place: "", face: "" };

function chips(place, names, slot) {
  $(place).replaceChildren(
    ...names.map((name) =>
      make("button", sentence(name), {
        type: "button",
        "aria-pressed": String(chosen[slot] === name),
        onclick: () => {
          chosen[slot] = chosen[slot] === name ? "" : name;
          drawChosen();
        },
      }),
    ),
  );
}

function drawChosen() {
  redraw("chosen", chosen, () =>
    keepFocus($("outcome"), () => {
      chips("outcome-kinds", KINDS, "kind");
      chips("outcome-places", PLACES, "place");
      chips("outcome-faces", FACES, "face");
    }),
  );
}

function drawInspect() {
  drawChosen();
  const told = state.view.outcomes;
  redraw("outcomes", told, () => {
    const lines = told.map((one) => [sentence(one.kind), one.place, one.face].filter(Boolean).join(", "));
    $("outcomes-kept").replaceChildren(
      make("h3", told.length ? "Written down" : "Nothing written down yet"),
      make("ul", "", {}, ...lines.map((line) => make("li", line))),
    );
  });
  show($("outcome"), mayTouch());
}

async function keepOutcome(event) {
  event.preventDefault();
  if (!chosen.kind) {
    refuse({ found: "nothing seen", expected: "“Sound”, or what is wrong", next: "touch one, then write it down" });
    return;
  }
  const outcome = { ...chosen, words: $("outcome-words").value.trim() };
  if (await command("outcome", { outcome })) {
    Object.assign(chosen, { kind: "", place: "", face: "" });
    $("outcome-words").value = "";
    drawChosen();
  }
}

async function keepPhotograph() {
  const file = $("photograph").files[0];
  if (!file) return;
  put($("photograph-words"), "Sending the photograph");
  try {
    const answer = await fetch(`/api/records/${state.run}/photographs`, {
      method: "POST",
      headers: { "Content-Type": file.type },
      body: file,
    });
    const found = await answer.json().catch(() => ({}));
    put($("photograph-words"), answer.ok ? "The photograph is kept." : "The photograph was not kept.");
    if (!answer.ok) refuse(found);
  } catch {
    put($("photograph-words"), "The photograph did not get through: take it again.");
  }
  $("photograph").value = "";
}

// ---------------------------------------------------------------- ahead, lists, no run

function drawAhead() {
  const view = state.view;
  if (!view) return;
  const { watch, cautions } = view.step;
  redraw("ahead", [watch, cautions, view.next], () => {
    $("watch").replaceChildren(...(watch ? [make("span", "Watch for: ", { class: "label" }), watch] : []));
    const { title, do: sentences } = view.next ?? {};
    const next = [make("span", "Next: ", { class: "label" }), make("strong", `${title}. `), inTwo(sentences ?? "")[0]];
    $("next").replaceChildren(...(view.next ? next : []));
    $("cautions").replaceChildren(...cautions.map((one) => make("li", one)));
  });
  const advice = [...new Set([...view.notices, ...(view.forecast?.words ?? [])])];
  redraw("advice", advice, () => {
    show($("advice"), advice.length > 0);
    $("advice").replaceChildren(...advice.map((one) => make("li", one)));
  });
}

function drawLists() {
  const view = state.view;
  redraw("calls", view?.cues, () => {
    const lines = [...(view?.cues ?? [])].reverse();
    const moment = (cue) => clockTime(state.anchor.wall - (state.anchor.at - cue.at_s));
    $("calls").replaceChildren(
      ...lines.map((cue) => make("li", "", {}, make("time", moment(cue)), ` ${cue.title}. ${cue.words}`)),
    );
  });
  redraw("log", view?.log, () => {
    const lines = [...(view?.log ?? [])].reverse();
    $("log").replaceChildren(
      ...lines.map((one) =>
        make("li", "", {}, make("time", clockTime(one.wall_s)), ` ${one.words}`,
          make("span", one.device ? ` (${one.device})` : "", { class: "by" })),
      ),
    );
  });
  redraw("places", view?.probes.map(({ name, place, kind }) => [name, place, kind]), () => {
    const lines = (view?.probes ?? []).map(({ name, place }) => (place === name ? name : `${name}, ${place}`));
    put($("places"), lines.length ? `Probe: ${lines.join("; ")}.` : "");
  });
  redraw("steps", [view?.steps, view?.step.key], () => {
    $("steps").replaceChildren(
      ...(view?.steps ?? []).map((step) =>
        make("li", step.title, {
          class: step.done ? "done" : "",
          "aria-current": step.key === view.step.key ? "step" : null,
        }),
      ),
    );
  });
}

/** Nothing to follow, or nothing more: what could be followed instead. */
function drawNone(name) {
  const others = state.others.length > 0;
  const refused = name === "none" && state.run !== null;
  if (name === "over") show($("none"), others);
  put($("none-title"), refused ? `Run ${state.run} cannot be shown` : others ? "Runs that are on" : "No run is on");
  put(
    $("none-words"),
    refused
      ? `${sentence(state.refused)}. The page asks again by itself.`
      : others
        ? "Which one do you stand beside?"
        : "Begin one from a plan: on the first page, or at the shop computer with “rimwright begin”. "
          + "This page takes it up by itself.",
  );
  redraw("none-list", state.others, () => {
    $("none-list").replaceChildren(
      ...state.others.map(([run, words]) =>
        make("li", "", {}, make("button", words, { type: "button", class: "choice", onclick: () => follow(run) })),
      ),
    );
  });
}

// ---------------------------------------------------------------- figures that move

/** A figure with its units small: "23 h 14 min". */
function putFigure(node, words, plain = true) {
  const key = `${plain}${words}`;
  if (node.dataset.key === key) return;
  node.dataset.key = key;
  node.classList.toggle("spoken", !plain);
  if (!plain) node.textContent = words;
  else {
    node.replaceChildren(
      ...words.split(THIN).map((part, i) => {
        const figure = /^\d/.test(part);
        // Of "23 h 14 min" the hours are what is read from afar.
        return figure && !i ? part : make("span", part, { class: figure ? "lesser" : "unit" });
      }),
    );
  }
}

function drawLink() {
  const link = isOver() ? "over" : isSilent() ? "none" : silence() > LATE_S ? "late" : "live";
  if (root.dataset.link !== link) root.dataset.link = link;
  show($("other-probes"), link !== "none");
  root.dataset.run = state.run ?? "";
  const figures = FIGURES.includes(viewName());
  const silent = link === "none" && state.run !== null;
  // Where the figures are not on the screen, a strip says what stands in their place.
  show($("silent"), silent && !figures && viewName() !== "none");
  if (silent) put($("silent"), `${noData()}. ${noDataWhy()}`);
  if (!figures) return;
  drawCelsius();
  drawLeft();
}

const noData = () => `NO DATA for ${ago(silence() ?? now())}`;
const noDataWhy = () =>
  state.refused
    ? `${sentence(state.refused)}.`
    : "Watch the bender, not this page. It looks for the shop computer by itself.";

function drawCelsius() {
  const view = state.view;
  if (isSilent() && state.run !== null && !isOver()) {
    put($("probe-name"), "");
    putFigure($("celsius"), noData(), false);
    put($("rate"), noDataWhy());
    return;
  }
  if (!view) return;
  const { lead, probes } = view;
  if (lead) {
    const probe = probes.find((one) => one.number === lead.probe);
    put($("probe-name"), probe?.name ?? "");
    putFigure($("celsius"), degrees(lead.celsius));
    put($("rate"), rateWords(view));
  } else {
    const dumb = probes.find((one) => one.fault) ?? probes[0];
    put($("probe-name"), dumb?.name ?? "");
    putFigure($("celsius"), "No reading", false);
    put($("rate"), dumb ? sentence(dumb.words || "nothing heard from the probe") : "No probe in this run.");
  }
  redraw("probes", [probes, lead?.probe, inFahrenheit()], () => {
    const others = probes.filter((one) => (lead ? one.number !== lead.probe : one.celsius !== null));
    $("other-probes").replaceChildren(
      ...others.map((one) =>
        make("li", `${one.name}: `, {}, make("strong", one.celsius === null ? one.words : degrees(one.celsius))),
      ),
    );
  });
}

function rateWords(view) {
  const rate = view.lead.rate_k_s;
  const words = [];
  // Before the heat it is the noise of the probe.
  if (rate != null && (view.heat.on || view.phase === "after")) {
    const size = Math.abs(rate) * (inFahrenheit() ? 1.8 : 1);
    const way = rate > 0 ? "rising" : "falling";
    if (size < 0.02) words.push("steady");
    else if (size < 0.1) words.push(`${way} ${Math.round(60 * size)}${THIN}${unit()}/min`);
    else words.push(`${way} ${size.toFixed(1)}${THIN}${unit()}/s`);
  }
  const limit = view.forecast?.to_limit_s;
  if (limit === 0) words.push("over the limit");
  else if (limit != null && limit < 90) words.push(`the limit in ${ago(limit - sinceView())}`);
  return words.join(", ");
}

function drawLeft() {
  const view = state.view;
  if (!view) return;
  const { minutes_left, rest, step } = view;
  const ends = rest?.ends_s ?? step.ends_s;
  const past = sinceView();
  let name = "In this step so far";
  let seconds = step.in_step_s == null ? runTime() - step.since_s : step.in_step_s + (view.held ? 0 : past);
  let under = step.overdue_s != null && seconds > step.overdue_s ? "longer than usual" : "";
  if (ends != null) {
    const wall = rest?.ends_wall_s ?? step.ends_wall_s;
    name = rest ? "Left of the rest" : "Left to wait";
    seconds = ends - runTime();
    if (wall != null) under = `ends ${clockTime(wall, Boolean(rest))}`;
    if (seconds <= 0) under = rest ? "The rest is over" : "The wait is over";
  } else if (minutes_left) {
    const { to, low_s, high_s } = minutes_left;
    name = to.startsWith("to ") ? `Left ${to}` : sentence(to);
    seconds = minutes_left.seconds - past;
    if (high_s - low_s > 5 && high_s > past) under = `between ${duration(low_s - past)} and ${duration(high_s - past)}`;
    if (seconds <= 0) under = "due now";
  }
  $("time-figure").classList.toggle("so-far", ends == null && !minutes_left);
  put($("left-name"), name);
  const words = duration(seconds);
  putFigure($("left"), words.includes(THIN) ? words : `${words}${THIN}min`);
  put($("left-under"), under);
}

// ---------------------------------------------------------------- the curve

function svg(tag, attributes = {}, ...children) {
  const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

let onlyLast = false;
const LAST_S = 300;
const AFTER_S = 900; // what is drawn of the cooling

/** Times and temperatures that the drawing spans. [s in the run], [degC] */
function spanOf(view, zero) {
  const at = runTime();
  const foreseen = state.predicted?.time_s.at(-1) ?? 0;
  let from = Math.min(zero - 15, at - 60);
  let to = Math.max(zero + foreseen, at + 30);
  // A night on the form would leave of the heat a line at the edge.
  const off = view.heat.on ? null : view.heat.since_s;
  if (off != null && off > zero) to = Math.min(to, Math.max(zero + foreseen, off + AFTER_S));
  if (onlyLast && state.heatOn !== null) [from, to] = [at - LAST_S, at + 60];
  const { limit_c, early_c } = view.lines;
  let low = Math.min(20, early_c - 20);
  let high = limit_c + 6;
  for (const line of curves(from, to)) {
    for (const [, , least, most] of line.points) {
      if (least === null) continue;
      low = Math.min(low, least);
      high = Math.max(high, most);
    }
  }
  return { from, to, low: low - 4, high: high + 4 };
}

/** Every probe's points between two times: [at_s, may join the one before, lowest, highest]. */
function curves(from, to) {
  const numbers = new Set([...samples.thin.keys(), ...samples.raw.map((row) => row[2])]);
  return [...numbers].sort().map((number) => {
    const points = [];
    let before = null;
    const raw = samples.raw.filter((row) => row[2] === number);
    const rawFrom = raw[0]?.[1] ?? Infinity;
    const { step, rows } = thinOf(number);
    const thin = rows.filter((row) => row[0] < rawFrom);
    const take = (at, low, high, longest) => {
      const joins = before !== null && before[1] !== null && at - before[0] <= longest;
      before = [at, low];
      if (at >= from && at <= to) points.push([at, joins, low, high]);
    };
    for (const [at, low, high] of thin) take(at, low, high, Math.max(BROKEN_S, 3 * step));
    // The last thinned row stands at its beginning.
    raw.forEach(([, at, , celsius], i) => take(at, celsius, celsius, BROKEN_S + (i ? 0 : step)));
    return { number, points };
  });
}

/** One path: in each column of pixels its lowest and highest, so that no peak is lost. */
function pathOf(points, x, y) {
  let path = "";
  let column = null;
  const close = () => {
    if (!column) return;
    const [at, start, low, high, last] = column;
    path += `${start}${at} ${y(y(low) - y(high) > 2 ? low : (low + high) / 2).toFixed(1)}`;
    if (y(low) - y(high) > 2) path += `L${at} ${y(high).toFixed(1)}L${at} ${y(last).toFixed(1)}`;
    column = null;
  };
  for (const [at, joins, low, high] of points) {
    if (low === null) {
      close();
      continue;
    }
    const here = Math.round(x(at));
    if (column && joins && column[0] === here) {
      column[2] = Math.min(column[2], low);
      column[3] = Math.max(column[3], high);
      column[4] = high;
    } else {
      close();
      column = [here, joins && path ? "L" : "M", low, high, high];
    }
  }
  close();
  return path;
}

/** Where each name stands, from above: at its line, or below the name before. */
function apart(names, least) {
  names.sort((a, b) => a.up - b.up);
  names.forEach((name, i) => {
    name.text = Math.max(name.up, i ? names[i - 1].text + least : 0);
  });
}

const NICE_MIN = [0.5, 1, 2, 5, 10, 20, 30, 60, 120, 240, 480];

function drawChart() {
  const view = state.view;
  const place = $("chart");
  const { clientWidth: wide, clientHeight: tall } = place;
  if (!view || document.hidden || $("drawing").hidden || wide < 100 || tall < 100) return;
  const letter = wide > 760 ? 20 : wide > 420 ? 16 : 14;
  const edge = { left: 2.9 * letter, right: 8.2 * letter, top: 1.4 * letter, bottom: 2.4 * letter };
  const zero = state.heatOn ?? runTime();
  const span = spanOf(view, zero);
  const x = (at) => edge.left + ((at - span.from) / (span.to - span.from)) * (wide - edge.left - edge.right);
  const y = (c) => tall - edge.bottom - ((c - span.low) / (span.high - span.low)) * (tall - edge.top - edge.bottom);
  const right = wide - edge.right;
  const parts = [];
  const text = (words, at, up, name, anchor = "start") =>
    svg("text", { x: at, y: up, class: name, "text-anchor": anchor, "font-size": letter }, words);

  // Axes: degrees and minutes, no darker than hairline.
  const warm = inFahrenheit();
  const every = warm ? 50 : 20;
  const most = Math.floor(shown(span.high) / every) * every;
  const sparse = tall < 300 ? 2 * every : every;
  for (let mark = Math.ceil(shown(span.low) / sparse) * sparse; mark <= most; mark += sparse) {
    const up = y(warm ? (mark - 32) / 1.8 : mark);
    parts.push(svg("path", { class: "grid", d: `M${edge.left} ${up}H${right}` }));
    parts.push(text(String(mark), edge.left - 6, up + 0.35 * letter, "axis", "end"));
  }
  parts.push(text(unit(), edge.left - 6, letter, "axis", "end"));
  const minutes = (span.to - span.from) / 60;
  const stride = NICE_MIN.find((one) => minutes / one <= (wide - edge.left - edge.right) / (3.2 * letter)) ?? 960;
  const hours = stride >= 60;
  for (let k = Math.ceil((span.from - zero) / 60 / stride); k * stride * 60 + zero <= span.to; k += 1) {
    const at = x(k * stride * 60 + zero);
    const figure = hours ? (k * stride) / 60 : k * stride;
    parts.push(svg("path", { class: "grid", d: `M${at} ${edge.top}V${tall - edge.bottom}` }));
    parts.push(text(String(figure).replace("-", "−"), at, tall - edge.bottom + 1.2 * letter, "axis", "middle"));
  }
  const from = state.heatOn === null ? "heat on, when it comes" : "heat on";
  parts.push(text(`${hours ? "h" : "min"} from ${from}`, right, tall - 3, "axis", "end"));

  // What was predicted, from heat on.
  const seen = state.predicted;
  const ends = [];
  if (seen?.time_s.length) {
    const inside = seen.time_s.map((s) => s + zero).map((at, i) => [at, i]).filter(([at]) => at >= span.from && at <= span.to);
    const along = (curve, list) => list.map(([at, i]) => `${x(at).toFixed(1)} ${y(curve[i]).toFixed(1)}`).join("L");
    if (inside.length > 1) {
      const band = `M${along(seen.probe_high_c, inside)}L${along(seen.probe_low_c, [...inside].reverse())}Z`;
      parts.push(svg("path", { class: "band", d: band }));
      parts.push(svg("path", { class: "middle", d: `M${along(seen.probe_c, inside)}` }));
      const [at, i] = inside.at(-1);
      ends.push({ words: "predicted", up: y(seen.probe_c[i]), name: "of-band", at: x(at) });
    }
  }

  for (const [name, label] of [["limit", "limit"], ["target", "target"], ["early", "early call"]]) {
    const c = view.lines[`${name}_c`];
    parts.push(svg("path", { class: name, d: `M${edge.left} ${y(c)}H${right}` }));
    ends.push({ words: `${label} ${Math.round(shown(c))}`, up: y(c), name: `of-${name}`, at: right });
  }
  const tips = [];
  for (const { number, points } of curves(span.from, span.to)) {
    const leads = number === (view.lead?.probe ?? 0);
    parts.push(svg("path", { class: leads ? "curve" : "curve other", d: pathOf(points, x, y) }));
    const last = points.at(-1);
    if (!last || last[2] === null) continue;
    const [at, up] = [x(last[0]), y(last[3])];
    if (leads && view.lead) parts.push(svg("circle", { class: "tip", cx: at, cy: up, r: 5 }));
    const words = view.probes.find((one) => one.number === number)?.name ?? "";
    const near = at + 9 + words.length * 0.6 * letter > right;
    tips.push({ words, at, near, up: up - (near ? 0.95 * letter : 0) });
  }
  apart(tips, 1.15 * letter);
  for (const { words, at, near, text: up } of tips) {
    parts.push(text(words, at + (near ? -9 : 9), up + 0.35 * letter, "tip-name", near ? "end" : "start"));
  }

  // Names at the lines' ends, pushed apart where they would lie on each other.
  apart(ends, 1.15 * letter);
  for (const end of ends) {
    parts.push(svg("path", { class: "leader", d: `M${end.at + 2} ${end.up}L${right + 8} ${end.text}` }));
    parts.push(text(end.words, right + 11, end.text + 0.35 * letter, end.name));
  }
  place.replaceChildren(...parts);
  const lead = view.lead ? `now ${degrees(view.lead.celsius)}` : "no reading now";
  const { early_c, target_c, limit_c } = view.lines;
  const words = `Temperature over time: ${lead}; early call at ${degrees(early_c)}, target ${degrees(target_c)}, limit ${degrees(limit_c)}`;
  if (place.getAttribute("aria-label") !== words) place.setAttribute("aria-label", words);
}

// ---------------------------------------------------------------- hands and feet

function chooseTheme(choice) {
  if (choice) root.dataset.theme = choice;
  else delete root.dataset.theme;
  kept("rimwright-theme", choice || null);
  for (const button of $("themes").children) {
    button.setAttribute("aria-pressed", String(button.dataset.choice === choice));
  }
}

function answerCutOut(fitted) {
  kept("rimwright-cut-out", fitted ? "yes" : "no");
  firstUseOpen = false;
  draw();
}

async function pair(event) {
  event.preventDefault();
  const words = { code: $("pair-code").value.trim(), name: $("pair-name").value.trim() };
  try {
    const { ok, found } = await ask("/api/pair", {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(words),
    });
    put($("pair-words"), ok ? "" : `${sentence(found.found ?? "the code was not taken")}. ${sentence(found.next ?? "")}`);
    if (ok) await askState();
  } catch {
    put($("pair-words"), "No contact with the shop computer: try again.");
  }
}

// A scanner types fast, wherever the focus is; its Enter is not the foot's.
const typed = { text: "", at: 0 };

function onKey(event) {
  const { key, target } = event;
  if (event.repeat) {
    // A foot that stays on the switch counts once.
    if (["Enter", " ", "PageDown", "PageUp"].includes(key) && !isWriting(target)) event.preventDefault();
    return;
  }
  ownGesture();
  if (isWriting(target) || event.ctrlKey || event.altKey || event.metaKey) return;
  if (now() - typed.at > 0.5) typed.text = "";
  const onControl = target.closest?.("button, a, input, label, summary");
  if (key === "Enter" && typed.text.length > 5 && state.view?.check) {
    event.preventDefault();
    scanned(typed.text);
    typed.text = "";
  } else if (key.length === 1 && state.view?.check && (key !== " " || typed.text)) {
    event.preventDefault();
    typed.text += key;
    typed.at = now();
  } else if (key === "PageUp") {
    event.preventDefault();
    iAmHere(topAlarm()?.key);
  } else if (key === "PageDown" || (["Enter", " "].includes(key) && !onControl)) {
    event.preventDefault();
    touchLarge();
  }
}

const isWriting = (node) => node.matches?.("input:not([type=file]), textarea");

function begin() {
  const on = (id, act, kind = "click") => $(id).addEventListener(kind, act);
  document.addEventListener("click", (event) => {
    ownGesture();
    // A touched button gives the keys back to the foot switch; one reached by keys keeps them.
    if (event.detail > 0) event.target.closest?.("button")?.blur();
  });
  document.addEventListener("keydown", onKey);
  on("arm", () => {
    sound.wanted = true;
    kept("rimwright-no-sound", null);
    ownGesture();
  });
  on("quiet", () => {
    sound.wanted = !sound.wanted;
    kept("rimwright-no-sound", sound.wanted ? null : "yes");
    if (sound.wanted) ownGesture();
    drawSound();
  });
  on("test-tone", () => {
    trying = now() + 2;
    watchSound();
  });
  on("cut-out-yes", () => answerCutOut(true));
  on("cut-out-no", () => answerCutOut(false));
  on("ask-again", () => {
    firstUseOpen = true;
    draw();
    scrollTo(0, 0);
  });
  on("mismatch-again", () => {
    dismissed = state.view.check.mismatch;
    draw();
  });
  on("pairing", pair, "submit");
  on("answer", () => show($("answer"), false));
  on("go", touchLarge);
  on("heat", () => command(state.view.heat.on ? "heat_off" : "heat_on"));
  on("turned-down", (event) => askShare(!event.detail));
  on("wait", () => command("hold"));
  on("back", () => command("back", { visit: state.view.visit }));
  // A click without a pointer comes from a key.
  on("note", (event) => askNote(!event.detail));
  on("give-up", (event) => askGiveUp(!event.detail));
  on("tray", sendTray, "submit");
  on("tray-leave", closeTray);
  on("outcome", keepOutcome, "submit");
  on("photograph", keepPhotograph, "change");
  on("span", () => {
    onlyLast = !onlyLast;
    put($("span"), onlyLast ? "Whole heat" : "Last 5 min");
    drawChart();
  });
  for (const button of $("themes").children) button.addEventListener("click", () => chooseTheme(button.dataset.choice));
  chooseTheme(kept("rimwright-theme") ?? "");
  const code = new URLSearchParams(location.hash.slice(1)).get("pair");
  if (code) $("pair-code").value = code;
  // The bar and the alarms stay in sight whatever is scrolled; the rest makes room for them.
  for (const id of ["bar", "alarms"]) {
    new ResizeObserver(() => root.style.setProperty(`--${id}`, `${$(id).offsetHeight}px`)).observe($(id));
  }
  addEventListener("online", connect);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    if (!socket) connect();
    keepAwake();
  });
  tellSamples();
  drawSound();
  draw();
  const asked = Number(new URLSearchParams(location.search).get("run"));
  if (Number.isInteger(asked) && asked > 0) follow(asked);
  askState();
  setInterval(() => {
    watchLink();
    drawSound();
    drawPassing();
    drawLink();
  }, 200);
  setInterval(drawChart, 500);
  setInterval(() => {
    // Where nothing is open yet the page takes up by itself what is begun.
    if (!state.view || isOver()) askState();
  }, 3000);
}

begin();
