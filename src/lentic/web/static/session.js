// A session beside the tank. Comforts only: every step works without this file.
// Presses are kept on this device until they are sent, in their order, each once. Times come from clock times in the
// page, so a reload, a locked screen or a night in between change nothing.
"use strict";

const main = document.querySelector("[data-session]");
const KEPT = "lentic.presses";
const TOLD = "lentic.presses.told";
const LOCK_MS = 700;
const WAIT_MS = 8000;
const AGAIN_MS = 4000;
const PATH = "/do/upkeep";
const PAGE = `${PATH}?tank=${encodeURIComponent(main.dataset.tank)}`;
let spare = [];

const read = () => {
  try { return JSON.parse(localStorage.getItem(KEPT)) || []; } catch { return spare; }
};
const keep = (presses) => {
  spare = presses;
  try { localStorage.setItem(KEPT, JSON.stringify(presses)); } catch { /* kept in the open page alone */ }
};
const remember = (name, text) => { try { sessionStorage.setItem(name, text); } catch { /* told at once or not at all */ } };
const recall = (name) => {
  try {
    const text = sessionStorage.getItem(name) || "";
    sessionStorage.removeItem(name);
    return text;
  } catch { return ""; }
};

// The server's clock counts: a telephone that goes wrong shows the right time left.
const shift = Date.parse(main.dataset.now) - Date.now();
const now = () => Date.now() + shift;
const clock = (at) => new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: main.dataset.zone }).format(at);
const left = (ms) => {
  const seconds = Math.ceil(ms / 1000);
  const pad = (number) => String(number).padStart(2, "0");
  return seconds >= 3600
    ? `${Math.floor(seconds / 3600)} h ${pad(Math.floor(seconds / 60) % 60)} min left`
    : `${Math.floor(seconds / 60)}:${pad(seconds % 60)} left`;
};
const tick = () => {
  for (const place of document.querySelectorAll("[data-until]")) {
    const until = Date.parse(place.dataset.until);
    if (place.closest("#by") && until <= now()) { document.getElementById("off").classList.add("ground-stop"); }
    if (!Number.isNaN(until)) { place.textContent = until > now() ? left(until - now()) : place.dataset.over; }
  }
  for (const panel of document.querySelectorAll("[data-lowers]")) {
    const timer = panel.querySelector(".timer .left");
    const button = panel.querySelector(".main");
    const waits = timer && Date.parse(timer.dataset.until) > now();
    if (Boolean(waits) !== Boolean(button.dataset.waits)) {
      if (waits) { button.dataset.waits = "yes"; } else { delete button.dataset.waits; }
      button.disabled = Boolean(waits);
      button.textContent = waits ? "Not yet" : "Done";
      if (!waits) { pails(panel); }
    }
  }
};

// Buckets are counted on the device: the large button takes one after the other, then the step is done.
const BUCKETS = "lentic.buckets";
let counts = {};
const readCounts = () => {
  try { counts = JSON.parse(localStorage.getItem(BUCKETS)) || {}; } catch { /* counted in the open page alone */ }
  if (counts.session !== main.dataset.session) { counts = { session: main.dataset.session }; }
};
const count = (panel, number, enough) => {
  counts[panel.id] = { number, enough };
  try { localStorage.setItem(BUCKETS, JSON.stringify(counts)); } catch { /* counted in the open page alone */ }
  pails(panel);
};
const counting = (panel) => {
  const place = panel && panel.querySelector(".buckets");
  if (!place) { return null; }
  const of = Number(place.dataset.buckets);
  const { number = 0, enough = false } = counts[panel.id] || {};
  return { place, of, number, over: enough || number >= of };
};
const pails = (panel) => {
  const state = counting(panel);
  if (!state) { return; }
  const { place, of, number, over } = state;
  place.hidden = false;
  place.querySelector(".counted").textContent = number;
  place.querySelectorAll(".pail").forEach((pail, index) => { pail.setAttribute("class", `pail${index < number ? " full" : index === number && !over ? " next" : ""}`); });
  const buttons = panel.querySelector(".counting");
  buttons.hidden = number === 0 && over;
  buttons.querySelector(".enough").classList.toggle("uncounted", over);
  buttons.classList.toggle("one", over || number === 0);
  buttons.querySelector(".less").classList.toggle("uncounted", number === 0);
  const field = panel.querySelector(".count");
  if (field) { field.classList.toggle("uncounted", !over); }
  const rests = panel.querySelector(".pair:not(.counting)");
  rests.classList.toggle("uncounted", !over && number > 0);
  const button = panel.querySelector(".main");
  if (!button.dataset.waits) { button.textContent = over ? "Done" : `Bucket ${number + 1} is ${place.dataset.word}`; }
};
readCounts();
document.addEventListener("click", (event) => {
  const panel = event.target.closest(".panel");
  const state = counting(panel);
  if (!state) { return; }
  if (event.target.closest(".less")) { count(panel, Math.max(0, state.number - 1), false); }
  if (event.target.closest(".enough")) {
    // what was counted stands in the field, to be put right there
    const field = panel.querySelector("[name=value]");
    const whole = Number(field && field.value);
    if (whole && state.number > 0 && state.number < state.of) { field.value = String(Math.round((10 * whole * state.number) / state.of) / 10); }
    count(panel, state.number, true);
    rest(panel);
  }
});

// Wet glass presses twice: the buttons rest a moment after each press.
const rest = (panel) => {
  for (const button of panel ? panel.querySelectorAll("form button") : []) {
    if (button.dataset.waits) { continue; }
    button.disabled = true;
    setTimeout(() => { button.disabled = Boolean(button.dataset.waits); }, LOCK_MS);
  }
};

const told = document.getElementById("offline");
const tell = (text) => { told.hidden = !text; told.textContent = text; };
const mine = () => read().filter((press) => press.session === main.dataset.session);
const waiting = (presses) => `No connection. ${presses.length === 1 ? "1 press is" : `${presses.length} presses are`} kept on this device and sent when it is back. Go on.`;

// What the page looks like once the presses that wait have counted.
const standing = (presses) => {
  const said = new Map();
  for (const press of presses) {
    if (press.what === "back") { said.delete(press.step); } else { said.set(press.step, press); }
  }
  return said;
};
const show = () => {
  const presses = mine();
  const said = standing(presses);
  const panels = [...document.querySelectorAll(".panel")];
  const current = panels.find((panel) => !said.has(panel.id)) || panels[panels.length - 1];
  for (const panel of panels) { panel.hidden = panel !== current; }
  for (const line of document.querySelectorAll("[data-step]")) {
    if (said.has(line.dataset.step)) { line.className = "done"; line.querySelector(".q2").textContent = "waits to be sent"; }
    else if (current.id === line.dataset.step) { line.className = "now"; line.querySelector(".q2").textContent = "now"; }
    else if (line.className === "now") { line.className = "open"; }
  }
  power(said);
  for (const press of said.values()) {
    const pressed = document.getElementById(press.step);
    if (press.what === "done" && pressed && Number(pressed.dataset.waitMin) > 0) { hold(press.at + shift + Number(pressed.dataset.waitMin) * 60000 + 2000); }
  }
  const last = [...said.values()].pop();
  for (const button of document.querySelectorAll(".back")) {
    if (last) { button.querySelector("span").textContent = last.title; }
  }
  tick();
  return current;
};
const power = (said) => {
  const strip = document.getElementById("off");
  const off = said.get("power_off");
  if (off && off.what === "done") {
    strip.hidden = false;
    document.getElementById("since").textContent = clock(off.at + shift);
    const hours = Number(main.dataset.canisterH);
    const by = document.getElementById("by");
    by.hidden = !hours;
    by.querySelector("b").textContent = clock(off.at + shift + hours * 3600000);
    by.querySelector("[data-until]").dataset.until = new Date(off.at + shift + hours * 3600000).toISOString();
  }
  const on = said.get("power_on");
  if (on && on.what === "done") { strip.hidden = true; }
};
const hold = (until) => {
  for (const panel of document.querySelectorAll("[data-lowers]")) {
    const timer = panel.querySelector(".timer");
    const place = timer.querySelector(".left");
    if (!(Date.parse(place.dataset.until) >= until)) {
      place.dataset.until = new Date(until).toISOString();
      timer.querySelector(".at").textContent = clock(until);
      timer.hidden = until <= now();
    }
  }
};

const post = async (press) => {
  const body = new URLSearchParams({
    form_token: document.querySelector("[name=form_token]").value, what: press.what, step: press.step, value: press.value,
    why: press.why, tank: press.tank, session: press.session, number: press.number,
    ago: Math.max(0, (Date.now() - press.at) / 1000).toFixed(1),
  });
  const answer = await fetch(PATH, { method: "POST", body, headers: { Accept: "application/json" }, signal: AbortSignal.timeout(WAIT_MS) });
  const kind = answer.headers.get("content-type") || "";
  return kind.startsWith("application/json") ? answer.json() : { refused: "The page is too old. Press again.", steps: [], marks: press.number };
};
const others = () => read().filter((press) => press.session !== main.dataset.session);
let sending = false;
const send = async () => {
  if (sending || !mine().length) { return; }
  sending = true;
  try {
    for (let presses = mine(); presses.length; presses = mine()) {
      const [press] = presses;
      const answer = await post(press);
      const state = (answer.steps.find((step) => step.step === press.step) || {}).state;
      const wanted = { done: "done", skip: "skipped", back: "open" }[press.what];
      if (answer.refused || state !== wanted) {
        const lost = presses.slice(1).map((each) => each.title).join(", ");
        const why = answer.refused || "The session went on elsewhere meanwhile.";
        remember(TOLD, `Not written: ${press.title}. ${why}${lost ? ` Not sent either: ${lost}. Press again what was done.` : ""}`);
        keep(others());
        break;
      }
      const more = answer.marks - press.number - 1;
      keep([...others(), ...mine().slice(1).map((each) => ({ ...each, number: each.number + more }))]);
    }
    location.replace(PAGE);
  } catch {
    tell(waiting(mine()));
    rest(show());
    setTimeout(send, AGAIN_MS);
  } finally {
    sending = false;
  }
};

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !form.classList.contains("press")) { return; }
  event.preventDefault();
  delete form.dataset.sent;
  const panel = form.closest(".panel");
  const state = counting(panel);
  if (state && !state.over && form.querySelector(".main")) {
    count(panel, state.number + 1, false);
    rest(panel);
    return;
  }
  const field = new FormData(form);
  const presses = mine();
  const what = field.get("what");
  const waits = [...standing(presses).values()].pop();
  const step = what === "back" && waits ? waits.step : field.get("step");
  const from = what === "back" ? form.querySelector("[data-title]") : document.getElementById(step);
  keep([...read(), {
    what, step, value: field.get("value") || "", why: field.get("why") || "", tank: main.dataset.tank,
    session: main.dataset.session, number: Number(main.dataset.marks) + presses.length, at: Date.now(),
    title: (what === "back" && waits ? waits.title : from && from.dataset.title) || step,
  }]);
  remember("lentic.pressed", "yes");
  rest(panel);
  if (sending) { rest(show()); } else { send(); }
});

document.querySelectorAll(".panel").forEach(pails);
tell(recall(TOLD));
const first = show();
if (recall("lentic.pressed")) { rest(first); }
if (mine().length) { tell(waiting(mine())); send(); }
window.addEventListener("online", () => send());
window.addEventListener("offline", () => tell(mine().length ? waiting(mine()) : "No connection. Go on: what you press is kept on this device and sent when it is back."));
document.addEventListener("visibilitychange", () => { tick(); send(); });
setInterval(tick, 1000);
