// The first page: the runs that are on; a device is paired and a run begun from here.

const $ = (id) => document.getElementById(id);
const sentence = (words) => (words ? words[0].toUpperCase() + words.slice(1) : "");

function put(node, words) {
  if (node.textContent !== words) node.textContent = words;
}

function theme() {
  try {
    const choice = localStorage.getItem("rimwright-theme");
    if (choice) document.documentElement.dataset.theme = choice;
  } catch {
    // Then it is as the device has it.
  }
}

async function ask(path, body) {
  const options = body && {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  };
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), 15000);
  try {
    const answer = await fetch(path, { ...options, signal: stop.signal });
    return { ok: answer.ok, found: await answer.json().catch(() => ({})) };
  } finally {
    clearTimeout(timer);
  }
}

const refusal = ({ found, expected, next }) =>
  `Found ${found ?? "no answer"}${expected ? `; expected ${expected}` : ""}${next ? `; next: ${next}` : ""}.`;

let shownRuns = "";

async function look() {
  try {
    const { ok, found } = await ask("/api/state");
    if (!ok) throw new Error("refused");
    const mayAct = found.paired || found.local;
    $("pairing").hidden = mayAct;
    $("begin").hidden = !mayAct;
    const asked = await Promise.all(found.runs.map((run) => ask(`/api/runs/${run}`)));
    drawRuns(asked.filter((one) => one.ok).map((one) => one.found));
    put($("title"), found.runs.length ? "Runs that are on" : "No run is on");
    put(
      $("words"),
      found.runs.length
        ? ""
        : mayAct
          ? "Begin one from a plan."
          : "Begin one at the shop computer, from a plan. This page shows it by itself.",
    );
  } catch {
    put($("title"), "The shop computer does not answer");
    put($("words"), "Look whether it runs. This page asks again by itself.");
  }
}

function drawRuns(views) {
  const lines = views.map(({ run, step, state }) => [
    run.id,
    `${run.model}, ${run.side}`,
    `${run.simulated ? "Practice. " : ""}Step ${step.number} of ${step.of}, ${step.title}${state === "held" ? ", waiting" : ""}`,
  ]);
  const key = JSON.stringify(lines);
  if (key === shownRuns) return;
  shownRuns = key;
  $("runs").replaceChildren(
    ...lines.map(([id, title, words]) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      const name = document.createElement("strong");
      link.href = `/live?run=${id}`;
      name.textContent = title;
      link.append(name, words);
      item.append(link);
      return item;
    }),
  );
}

// ---------------------------------------------------------------- pairing

async function pair(event) {
  event.preventDefault();
  try {
    const { ok, found } = await ask("/api/pair", { code: $("pair-code").value, name: $("pair-name").value });
    put($("pair-words"), ok ? "" : refusal(found));
    if (ok) look();
  } catch {
    put($("pair-words"), "No contact with the shop computer: try again.");
  }
}

/** A scanned link brings its code behind the "#"; it is not left in the address. */
function takeCode() {
  const code = new URLSearchParams(location.hash.slice(1)).get("pair");
  if (!code) return;
  $("pair-code").value = code;
  history.replaceState(null, "", location.pathname);
}

// ---------------------------------------------------------------- a run begun

const chosen = { document: null, side: null, practice: true };

function press(buttons, pressed) {
  for (const button of buttons) button.setAttribute("aria-pressed", String(button === pressed));
}

async function takePlan() {
  const file = $("plan").files[0];
  if (!file) return;
  Object.assign(chosen, { document: null, side: null });
  for (const id of ["sides", "probes", "go"]) $(id).hidden = true;
  put($("begin-words"), "");
  try {
    chosen.document = JSON.parse(await file.text());
    if (!chosen.document.sides.length) throw new Error("no side");
  } catch {
    put($("plan-name"), "Choose a plan.json");
    put($("begin-words"), "That file is no plan: choose the plan.json that `rimwright plan` wrote.");
    return;
  }
  put($("plan-name"), `${chosen.document.name}, ${chosen.document.code}`);
  $("sides-list").replaceChildren(
    ...chosen.document.sides.map(({ hand, piece }) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = `${sentence(hand)} ${piece === "return" ? "return" : "side"}`;
      button.setAttribute("aria-pressed", "false");
      button.addEventListener("click", () => {
        chosen.side = { hand, piece };
        press($("sides-list").children, button);
        for (const id of ["probes", "go"]) $(id).hidden = false;
      });
      return button;
    }),
  );
  $("sides").hidden = false;
}

function choosePractice(practice) {
  chosen.practice = practice;
  press([$("practice"), $("real")], practice ? $("practice") : $("real"));
  $("probe-label").hidden = practice;
}

async function begin(event) {
  event.preventDefault();
  const probe = chosen.practice ? "waist=model" : $("probe").value.trim();
  if (!chosen.side || !probe) {
    put($("begin-words"), chosen.side ? "Name the probe." : "Choose the side in hand.");
    return;
  }
  $("go").disabled = true;
  put($("begin-words"), "Beginning");
  try {
    const { ok, found } = await ask("/api/runs", { document: chosen.document, ...chosen.side, probes: [probe] });
    if (ok) location.assign(`/live?run=${found.run}`);
    else put($("begin-words"), refusal(found));
  } catch {
    put($("begin-words"), "No contact with the shop computer: try again.");
  }
  $("go").disabled = false;
}

theme();
takeCode();
$("pairing").addEventListener("submit", pair);
$("plan").addEventListener("change", takePlan);
$("practice").addEventListener("click", () => choosePractice(true));
$("real").addEventListener("click", () => choosePractice(false));
$("begin").addEventListener("submit", begin);
look();
setInterval(look, 3000);
