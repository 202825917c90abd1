"use strict";
// The desk's page: what is typed is kept on this device first, then sent; what comes back is shown.

const $ = id => document.getElementById(id);
const page = document.documentElement.dataset, form = $("form");
const box = `listel-desk ${page.box}`, LATER = 350, AGAIN = 2000, LOOK = 2500;

const drafts = () => JSON.parse(localStorage.getItem(box) || "{}");
const keepDrafts = all => localStorage.setItem(box, JSON.stringify(all));
const waiting = () => Object.values(drafts()).filter(draft => !draft.conflict);

let mark = "", names = "", step = "", timer = 0, busy = false, offline = false;
const file = $("state").textContent.replace(/^All kept in /, "").replace(/\.$/, "");

function say(text) {
  if ($("state").textContent !== text) $("state").textContent = text;
  $("state").classList.toggle("waits", offline);
}
function speak(text) { $("spoken").textContent = text; }

async function ask(path, told) {
  const answer = await fetch(path, told === undefined ? {} : {
    method: "POST", headers: {"Content-Type": "application/json"}, body: JSON.stringify(told)});
  if (answer.status === 204) return null;
  const json = (answer.headers.get("content-type") || "").includes("json") ? await answer.json() : {};
  if (answer.ok) return json;
  const fault = new Error(json.says || `the desk answered ${answer.status}`);
  fault.status = answer.status;
  throw fault;
}

// What stands on the page

function show(state) {
  mark = state.mark;
  $("unread").hidden = true;
  $("titled").textContent = state.job;
  button("undo", state.undo);
  button("redo", state.redo);
  for (const [id, html] of Object.entries(state.parts)) if ($(id)) put($(id), html);
  if ($("seen")) put($("seen"), state.drawings.map(([, html]) => html).join(""));
  const known = drafts();
  let spoken = "";
  for (const [id, told] of Object.entries(state.fields)) {
    const input = $(id);
    if (!input) continue;
    if (!(id in known)) {
      for (const tick of ticksOf(id)) tick.checked = told.value.split(", ").includes(tick.value);
      const typing = input === document.activeElement && input.value.trim() !== input.dataset.was;
      if (input.dataset.was !== told.value && !typing) input.value = told.value;
      input.dataset.was = told.value;
    }
    if (id in known && !known[id].conflict) $(`${id}-fault`).hidden = true;  // of a value that is no longer there
    else if (!known[id] && fault(input, told)) spoken ||= `${labelOf(input)}: ${told.fault}`;
    $(`${id}-read`).textContent = told.read ? `${$(`${id}-read`).previousSibling ? "; " : ""}read as ${told.read}` : "";
    const decides = $(`${id}-says`).querySelector(".decides");
    if (decides) decides.hidden = input.value !== "";
    input.closest(".field").hidden = told.off;
  }
  for (const row of document.querySelectorAll("details.row")) {
    const faulty = !!row.querySelector('[aria-invalid="true"]');
    if (faulty && !row.classList.contains("faulty")) row.open = true;
    row.classList.toggle("faulty", faulty);
  }
  if (spoken) speak(spoken);
  const now = Object.keys(state.fields).join(" ");
  if (names && names !== now) changedElsewhere();
  names = now;
}

function put(place, html) {
  if (place.told === html) return;
  const open = new Set([...place.querySelectorAll("details[open]")].map(one => one.dataset.key));
  const slid = [...place.querySelectorAll(".paper")].map(one => one.scrollLeft);
  place.told = html;
  place.replaceChildren(...new DOMParser().parseFromString(html, "text/html").body.childNodes);
  for (const one of place.querySelectorAll("details")) one.open = open.has(one.dataset.key);
  place.querySelectorAll(".paper").forEach((one, at) => { one.scrollLeft = slid[at] || 0; });
}

function fault(input, told) {
  const place = $(`${input.id}-fault`), was = place.dataset.says || "";
  input.setAttribute("aria-invalid", told.fault ? "true" : "false");
  place.hidden = !told.fault;
  place.dataset.says = told.fault;
  place.textContent = told.fault;
  if (told.fault && told.before && told.before !== told.value) place.append(choice(`Put back ${told.before}`, () => enter(input, told.before)));
  return told.fault && told.fault !== was;
}

function choice(words, done) {
  const made = document.createElement("button");
  made.type = "button"; made.textContent = words;
  made.addEventListener("click", done);
  return made;
}

function button(id, words) {
  const one = $(id), name = id[0].toUpperCase() + id.slice(1);
  if (!one) return;
  one.disabled = !words;
  one.textContent = one.title = words ? `${name} ${words}` : name;
}

function ticksOf(id) { return [...document.querySelectorAll(`[data-for="${CSS.escape(id)}"]`)]; }

function labelOf(input) { return input.labels?.[0]?.textContent || "field"; }

function changedElsewhere() {
  if (!waiting().length && !form?.contains(document.activeElement)) return location.reload();
  $("unread").hidden = false;
  $("unread").replaceChildren("The survey was changed elsewhere: entries were added or taken out. ", choice("Show it as it is now", () => location.reload()));
}

// What is typed

function enter(input, value) {
  input.value = value;
  note(input);
  input.focus();
}

function note(input) {
  if (!input.id || !("was" in input.dataset)) return;
  const all = drafts(), before = all[input.id];
  all[input.id] = {name: input.id, was: before && !before.conflict ? before.was : input.dataset.was, value: input.value.trim(), step};
  keepDrafts(all);
  say(offline ? notSent() : "Keeping …");
  clearTimeout(timer);
  timer = setTimeout(send, LATER);
}

const notSent = () => `Not sent: ${waiting().length} kept on this device. Stay on this page: another cannot be fetched without a line.`;

async function send() {
  clearTimeout(timer);
  if (busy) return;
  const sent = waiting();
  if (!sent.length) return;
  busy = true;
  try {
    const state = await ask("/set", {place: page.place, drafts: sent});
    offline = false;
    const all = drafts();
    for (const draft of sent) {
      const id = draft.name, now = state.fields[id]?.value ?? draft.value, typed = all[id];
      if (state.kept.includes(id) || id in state.refused) {
        if (typed?.value === draft.value) delete all[id]; else if (typed) typed.was = now;
        if ($(id)) $(id).dataset.was = now;
      } else if (id in state.conflicts && typed) {
        typed.conflict = true; typed.now = state.conflicts[id];
      }
    }
    keepDrafts(all);
    show(state);
    for (const id of Object.keys(state.refused)) speak(state.refused[id]);
    conflicts();
    say(state.note || (Object.keys(all).length ? "Keeping …" : `All kept in ${file}.`));
  } catch (error) {
    refused(error);
  } finally {
    busy = false;
    if (waiting().length) timer = setTimeout(send, offline ? AGAIN : LATER);
    else if (Object.keys(drafts()).length) say("Changed elsewhere: choose below which value stands.");
  }
}

function refused(error) {
  if (error.status === 403) say("The desk was started anew: open the address it printed. What you typed is kept on this device.");
  else if (error.status === undefined) { offline = true; say(notSent()); }
  else {
    offline = error.status >= 500;
    say(waiting().length ? `Not kept yet: ${waiting().length} wait on this device.` : "Not done.");
    $("unread").hidden = false;
    $("unread").textContent = error.message;
  }
}

function conflicts() {
  for (const draft of Object.values(drafts())) {
    const input = $(draft.name);
    if (!draft.conflict || !input) continue;
    const place = $(`${draft.name}-fault`), words = text => text || "nothing";
    place.hidden = false;
    place.textContent = `Changed elsewhere. The file says ${words(draft.now)}; you typed ${words(draft.value)}.`;
    const settle = value => {
      const all = drafts();
      delete all[draft.name]; keepDrafts(all);
      input.dataset.was = draft.now;
      place.hidden = true;
      if (value === draft.now) { input.value = value; say(`All kept in ${file}.`); } else enter(input, value);
      input.focus();
    };
    place.append(choice(`Keep ${words(draft.now)}`, () => settle(draft.now)), choice(`Put ${words(draft.value)}`, () => settle(draft.value)));
    speak(place.textContent);
  }
}

// What is pressed

async function act(path, told, done) {
  try {
    await settled();
    done(await ask(path, {place: page.place, ...told}));
  } catch (error) { refused(error); }
}

async function settled() {
  clearTimeout(timer);
  while (busy) await new Promise(soon => setTimeout(soon, 20));
  if (waiting().length) await send();
  if (waiting().length) throw Object.assign(new Error("What was typed is not kept yet; try again when it is."), {status: 409});
}

function go(address) {
  if (address.split("#")[0] === location.pathname) { location.hash = address.split("#")[1] || ""; location.reload(); }
  else location.assign(address);
}

document.addEventListener("click", event => {
  const pressed = event.target.closest("button, a");
  if (pressed?.matches(".more")) {
    const list = pressed.closest(".add"), kind = list.querySelector(".kind"), like = !!pressed.dataset.like;
    if (kind && !kind.value && !like) { kind.setCustomValidity("Choose the kind first."); return kind.reportValidity(); }
    act("/add", {name: list.dataset.name, kind: kind?.value || "", like}, told => go(told.go));
  } else if (pressed?.matches(".take")) {
    act("/take", {name: pressed.dataset.name, mark: pressed.dataset.mark}, () => location.reload());
  } else if (pressed?.id === "undo" || pressed?.id === "redo") {
    act(`/${pressed.id}`, {}, state => { if (state.go) return go(state.go); step = ""; show(state); say(`All kept in ${file}.`); });
  } else if (pressed?.id === "tell-done") {
    const pieces = [...document.querySelectorAll(".piece:checked")].map(one => one.value);
    act("/done", {pieces, state: $("piece-state").value, by: $("piece-by").value, on: $("piece-on").value}, () => location.reload());
  } else if (pressed?.matches("a[download]")) {
    event.preventDefault();
    save(pressed);
  } else if (pressed?.id === "audit") {
    act("/audit", {plan: $("plan").value}, told => put($("audited"), told.html));
  } else if (pressed?.matches(".larger")) {
    pressed.closest("figure").classList.toggle("large");
  } else if (pressed?.matches("a[href*='#']")) {
    setTimeout(unfold);
  }
});

// A paper is fetched here, so that what stops it is told on the page.
async function save(link) {
  say("Making it …");
  try {
    const answer = await fetch(link.href);
    if (!answer.ok) throw Object.assign(new Error(await answer.text()), {status: answer.status});
    const made = document.createElement("a");
    made.href = URL.createObjectURL(await answer.blob());
    made.download = answer.headers.get("content-disposition").match(/"(.*)"/)[1];
    made.click();
    setTimeout(() => URL.revokeObjectURL(made.href), 60000);
    say(`Saved: ${made.download}.`);
  } catch (error) { refused(error); }
}

function unfold() {
  let name = decodeURIComponent(location.hash.slice(1));
  const inside = name => $(name) || document.querySelector(`[id^="${CSS.escape(name)}/"]`);
  while (name && !inside(name)) name = name.slice(0, Math.max(0, name.lastIndexOf("/")));
  const there = name && inside(name);
  if (!there) return;
  for (let one = there; one; one = one.parentElement) if (one.tagName === "DETAILS") one.open = true;
  const first = there.matches("input, select, textarea") ? there : there.querySelector("input, select, textarea");
  there.scrollIntoView({block: "start"});
  (first || there).focus();
}

document.addEventListener("focusin", event => { if (event.target.dataset?.was !== undefined) step = Math.random().toString(36).slice(2, 10); });
document.addEventListener("change", event => {
  const id = event.target.dataset?.for;
  if (!id) return;
  $(id).value = ticksOf(id).filter(tick => tick.checked).map(tick => tick.value).join(", ");
  note($(id));
});
document.addEventListener("input", event => { if (event.target.matches(".kind")) event.target.setCustomValidity(""); note(event.target); });
document.addEventListener("keydown", event => {
  if (event.key !== "Enter" || !event.target.matches("input, select") || event.target.dataset.was === undefined) return;
  event.preventDefault();
  const all = [...form.querySelectorAll("input, select, textarea, button")].filter(one => one.checkVisibility());
  all[all.indexOf(event.target) + 1]?.focus();
});
form?.addEventListener("submit", event => event.preventDefault());
addEventListener("online", send);

// Photographs: scaled down here, and drawn anew, which leaves behind what the camera wrote into the file

$("camera")?.addEventListener("change", async event => {
  const chosen = event.target.files[0];
  if (!chosen) return;
  try {
    const picture = await createImageBitmap(chosen, {imageOrientation: "from-image"}), most = 1600;
    const share = Math.min(1, most / Math.max(picture.width, picture.height)), canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * share); canvas.height = Math.round(picture.height * share);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const data = canvas.toDataURL("image/jpeg", 0.8).split(",")[1];
    const wall = page.place.match(/^\/room\/(\d+)\/wall\/(\d+)$/);
    act("/photo", {wall: `rooms/${wall[1]}/walls/${wall[2]}`, data}, told => {
      if (!told.note) return go(`${location.pathname}#camera`);
      say(told.note);
    });
  } catch { say(`${chosen.name} cannot be read here as a picture.`); speak($("state").textContent); }
  event.target.value = "";
});

$("earlier")?.addEventListener("change", async event => {
  const chosen = event.target.files[0];
  if (chosen) act("/compare", {outcome: await chosen.text()}, told => put($("compared"), told.html));
});

// The file may be changed by another hand

async function look() {
  if (busy || document.hidden || waiting().length) return;
  try {
    const state = await ask(`/state?${new URLSearchParams({place: page.place, have: mark})}`);
    if (!mark) return location.reload();
    if (offline) { offline = false; say(`All kept in ${file}.`); }
    if (state) show(state);
    else if ($("unread").dataset.waits) { delete $("unread").dataset.waits; $("unread").hidden = true; say(`All kept in ${file}.`); }
  } catch (error) {
    if (error.status === 400 || error.status === undefined && waiting().length) return;
    refused(error);
    $("unread").dataset.waits = "1";
  }
}

setInterval(look, LOOK);
history.replaceState(null, "", location.pathname === "/" ? page.place : location.pathname + location.hash);
if ($("first")) {
  show(JSON.parse($("first").textContent));
  for (const draft of Object.values(drafts())) if ($(draft.name)) $(draft.name).value = draft.value;
  conflicts();
  addEventListener("load", () => setTimeout(unfold));
  send();
}
