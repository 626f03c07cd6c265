// A press of the floor survives a lost network: form[data-press="Start: 1042 Prime"] is first written to the phone (kept.js) and
// then sent, oldest first, until the server has answered it. Its key makes it happen once, however often it is sent.
//
// The page gives meta[name=shopbook-page]: person, name, stamp (for whom and when it was drawn) and token; a form gives
// data-was, what it was about in words, which the server compares with what is so when a late press arrives; and data-again
// where the same form may be pressed again (photos). The server answers JSON to what is sent here; see web/parts/late.py.

import { change, giveTurn, isFromHere, keep, letGo, listKept, onKept, takeTurn, waited } from "./kept.js";
import { show } from "./waiting.js";

const AGAIN = 4_000;
const PATIENCE = 12_000;
const PATIENCE_FOR_FILES = 90_000;
const FRESH = 60_000;

const me = { ...document.querySelector('meta[name="shopbook-page"]')?.dataset };
const SAID = "shopbook-said";

// The presses of this page by their keys, and what is to be told of presses that other pages made.
const pressed = new Map();
const said = [];
const beingKept = new Set();
let isSending = false;
let isAskedAgain = false;
let isCutOff = false;

const isMine = (press) => me.person !== undefined && press.person === me.person;
const makeKey = () => [...crypto.getRandomValues(new Uint8Array(16))].map((each) => each.toString(16).padStart(2, "0")).join("");

async function draw() {
  // Those pressed before the look: one that comes meanwhile is not in what is read.
  const before = [...pressed];
  const kept = await listKept();
  for (const [key, { address }] of before) {
    // Sent or let go by another tab: what this page shows is old.
    if (pressed.has(key) && kept.every((press) => press.key !== key)) return goOn(address ?? location.href);
  }
  show(kept, { me, said, isCutOff, waited, isMine }, { sendOnceMore, discard });
}

// A plain form, as without this module: where nothing can be kept, and to draw the page of a refusal.
function sendPlain(form, submitter) {
  form.dataset.plain = "yes";
  form.requestSubmit(submitter?.form === form ? submitter : undefined);
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (event.defaultPrevented || !form.matches("form[data-press]") || form.dataset.plain || me.person === undefined) return;
  event.preventDefault();
  const { submitter } = event;
  const key = form.elements.act_key.value;
  if (beingKept.has(key)) return;
  const typed = [...new FormData(form, submitter)];
  const press = {
    key, person: me.person, name: me.name, stamp: me.stamp, label: form.dataset.press,
    action: new URL(form.getAttribute("action") || location.href, location.href).href, was: JSON.parse(form.dataset.was || "{}"), typed,
  };
  beingKept.add(key);
  try {
    await keep(press);
    pressed.set(key, { form, submitter });
    if ("again" in form.dataset) startAnew(form);
    else submitter?.setAttribute("aria-disabled", "true");
  } catch {
    sendPlain(form, submitter);
    return;
  } finally {
    beingKept.delete(key);
  }
  await send();
});

// A form that adds something each time gets a key of its own for the next press.
function startAnew(form) {
  form.reset();
  form.elements.act_key.value = makeKey();
}

async function send() {
  if (isSending) {
    isAskedAgain = true;
    return;
  }
  isSending = true;
  let leadsTo = "";
  try {
    do {
      isAskedAgain = false;
      leadsTo = (await sendInOrder()) || leadsTo;
    } while (isAskedAgain);
  } finally {
    isSending = false;
  }
  // A page that other presses still wait on stays open: it is the one that works.
  if (leadsTo && !(await listKept()).some((press) => isMine(press) && isFromHere(press))) goOn(leadsTo);
  else await draw();
}

// An address of this very page with a place in it would only be scrolled to.
function goOn(address) {
  if (said.length) sessionStorage.setItem(SAID, JSON.stringify(said.map(({ press: { label, since }, words }) => ({ press: { label, since }, words }))));
  const [there, here] = [new URL(address, location.href), location];
  const isThisPage = there.pathname === here.pathname && there.search === here.search;
  if (!isThisPage || !there.hash) {
    location.assign(there);
    return;
  }
  history.replaceState(null, "", there);
  location.reload();
}

// Mine, the oldest first; one that waits for a look of its person holds up those behind it.
async function sendInOrder() {
  let leadsTo = "";
  if (!(await listKept()).some((press) => isMine(press) && press.state === "waiting") || !(await takeTurn())) return leadsTo;
  const renewing = setInterval(takeTurn, AGAIN);
  try {
    for (;;) {
      const first = (await listKept()).find(isMine);
      if (!first || first.state !== "waiting" || !(await sendOne(first))) return leadsTo;
      if (isFromHere(first)) leadsTo = first.leadsTo;
    }
  } finally {
    clearInterval(renewing);
    await giveTurn();
  }
}

function bodyOf(press) {
  const body = new FormData();
  for (const [name, value] of press.typed) if (name !== "csrf_token") body.append(name, value);
  body.set("csrf_token", me.token);
  body.set("press_given", press.stamp);
  body.set("press_waited", waited(press));
  body.set("press_was", JSON.stringify(press.was));
  if (press.isSure) body.set("press_sure", "yes");
  if (press.at) body.set("press_at", press.at);
  if (!isFromHere(press)) body.set("press_stays", "yes");
  return body;
}

async function post(address, body) {
  const hasFiles = [...body.values()].some((value) => value instanceof File);
  const signal = AbortSignal.timeout(hasFiles ? PATIENCE_FOR_FILES : PATIENCE);
  try {
    const answer = await fetch(address, { method: "POST", body, headers: { Accept: "application/json" }, redirect: "error", signal });
    return { status: answer.status, ...(await answer.json()) };
  } catch {
    return { status: 0 };
  }
}

// Whether the book has it now. What is not ours to judge (no network, an outage) leaves it waiting.
async function sendOne(press) {
  let answer = await post(press.action, bodyOf(press));
  if (answer.code === "token") {
    me.token = answer.token;
    answer = await post(press.action, bodyOf(press));
  }
  isCutOff = answer.status === 0 || answer.status >= 500;
  if (answer.status === 200) return done(press, answer);
  if (["changed", "old", "asked"].includes(answer.code)) await change(press, { state: answer.code, told: answer });
  else if (answer.code === "refused") await refused(press, answer);
  else if (["person", "signed_out", "token"].includes(answer.code)) delete me.person;
  return false;
}

async function done(press, answer) {
  press.leadsTo = answer.url;
  // What this press has changed is no news to those behind it.
  for (const later of (await listKept()).filter((each) => isMine(each) && each.order > press.order)) {
    const was = Object.entries(later.was).map(([name, words]) => [name, words === press.was[name] ? answer.now[name] ?? words : words]);
    await change(later, { was: Object.fromEntries(was) });
  }
  // Back brings this page as it was: its button can be pressed again, and its key leads on to the same.
  pressed.get(press.key)?.submitter?.removeAttribute("aria-disabled");
  pressed.delete(press.key);
  await letGo(press, answer.url, answer.said);
  document.dispatchEvent(new CustomEvent("shopbook:accepted", { detail: press.key }));
  if (!isFromHere(press)) said.push({ press, words: answer.said });
  return true;
}

// Refused at once: nothing was done, and the same as a plain form draws the page with its sentences. Refused later: it is
// shown with the sentence until its person has looked.
async function refused(press, answer) {
  const here = isFromHere(press) && pressed.get(press.key);
  if (here?.form.isConnected && waited(press) < FRESH && here.form.elements.act_key.value === press.key) {
    pressed.delete(press.key);
    await letGo(press);
    sendPlain(here.form, here.submitter);
    return;
  }
  here?.submitter?.removeAttribute("aria-disabled");
  await change(press, { state: "refused", told: answer });
}

async function sendOnceMore(press, how = {}) {
  await change(press, { state: "waiting", ...how });
  await send();
}

async function discard(press) {
  const body = new FormData();
  const fields = { csrf_token: me.token, act_key: makeKey(), press_key: press.key, press_stamp: press.stamp, press_age: waited(press),
    press_words: press.label, press_stays: "yes" };
  for (const [name, value] of Object.entries(fields)) body.set(name, value);
  const answer = await post("/presses/discard", body);
  if (answer.status === 200 || answer.status === 409) {
    freeForm(press);
    await letGo(press);
    said.push({ press, words: answer.said ?? answer.sentence });
  } else said.push({ press, words: answer.sentence ?? "Not discarded: there is no network. Try again when it is back." });
  await send();
}

// Its form is free for another press, which is an act of its own.
function freeForm(press) {
  const here = pressed.get(press.key);
  pressed.delete(press.key);
  if (here?.form.elements.act_key.value === press.key) here.form.elements.act_key.value = makeKey();
  here?.submitter?.removeAttribute("aria-disabled");
}

// Another tab has sent a press of this page, or let it go.
onKept(({ press, url, words }) => {
  if (press && pressed.has(press.key)) {
    pressed.get(press.key).address = url;
    if (words) said.push({ press, words });
  }
  if (!isSending) draw();
});

async function look() {
  try {
    await send();
  } catch {
    // Storage is switched off in this browser: presses go as plain forms.
  }
}

for (const [on, kind] of [[window, "online"], [window, "pageshow"], [document, "visibilitychange"]]) on.addEventListener(kind, look);
window.addEventListener("pagehide", () => isSending && giveTurn().catch(() => {}));
setInterval(look, AGAIN);
try {
  said.push(...JSON.parse(sessionStorage.getItem(SAID) ?? "[]"));
  sessionStorage.removeItem(SAID);
} catch {
  // Storage is switched off: nothing was kept, nothing is to be told.
}
look();
