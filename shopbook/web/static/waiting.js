// What waits on this phone, said on the page: what was pressed and when, for whom or what it waits, and what can be done.

let place = null;
let drawn = "";

function make(tag, words = "", more = {}) {
  const made = document.createElement(tag);
  if (words) made.textContent = words;
  for (const [name, value] of Object.entries(more)) made.setAttribute(name, value);
  return made;
}

function button(words, press, doing) {
  const made = make("button", words, { type: "button", class: "button quiet", "aria-label": `${words}: ${press.label}` });
  made.addEventListener("click", () => {
    made.setAttribute("aria-disabled", "true");
    doing();
  });
  return made;
}

function timeOf(press) {
  const [then, now] = [new Date(press.since.at), new Date()];
  const clock = then.toLocaleTimeString([], { hour: "numeric", minute: "2-digit" });
  return then.toDateString() === now.toDateString() ? clock : `${then.toLocaleDateString([], { month: "short", day: "numeric" })}, ${clock}`;
}

// As a field for day and time takes it, by the phone's clock.
function typed(moment) {
  const local = new Date(moment.getTime() - moment.getTimezoneOffset() * 60_000);
  return local.toISOString().slice(0, 16);
}

function signInAs(press, page) {
  const back = encodeURIComponent(location.pathname + location.search);
  return page.me.shared === undefined ? `/sign-in?desk=1&then=${back}` : `/who/${press.person}?then=${back}`;
}

function askWhen(press, page, acts) {
  const label = make("label", "When was it pressed? ");
  const field = make("input", "", { type: "datetime-local", value: press.at || typed(new Date(Date.now() - page.waited(press))) });
  label.append(field);
  return [label, button("Send", press, () => acts.sendOnceMore(press, { at: field.value }))];
}

// An answer to what the server asked goes along as a field that was typed.
function answer(press, [value, words], acts) {
  const typed = press.typed.filter(([name]) => name !== press.told.field);
  return button(words, press, () => acts.sendOnceMore(press, { typed: [...typed, [press.told.field, value]] }));
}

// The buttons of one press, by what it waits for.
function buttonsOf(press, page, acts) {
  if (!page.isMine(press)) return [make("a", `Send as ${press.name}`, { class: "button quiet", href: signInAs(press, page) })];
  if (press.state === "changed") return [button("Send anyway", press, () => acts.sendOnceMore(press, { isSure: true }))];
  if (press.state === "refused") return [button("Send again", press, () => acts.sendOnceMore(press))];
  if (press.state === "asked") return Object.entries(press.told.choices).map((choice) => answer(press, choice, acts));
  return press.state === "old" ? askWhen(press, page, acts) : [];
}

function sentencesOf(press, page) {
  if (!page.isMine(press)) return [`It waits for ${press.name}.`];
  const { told } = press;
  if (press.state === "changed") return [told.sentence, `Then: ${told.was.join(". ")}.`, `Now: ${told.now.join(". ")}.`];
  if (press.state === "old") return [told.sentence, `By this phone’s clock it was ${timeOf(press)}.`];
  return ["refused", "asked"].includes(press.state) ? [told.sentence] : [];
}

function line(press, page, acts) {
  const made = make("div", "", { class: "sheet edge-late" });
  const words = make("p", "", {});
  words.append(make("b", press.label), ` · pressed ${timeOf(press)}${page.isMine(press) ? "" : ` by ${press.name}`}. ${sentencesOf(press, page).join(" ")}`);
  const buttons = make("div", "", { class: "acts" });
  buttons.append(...buttonsOf(press, page, acts));
  const mayDiscard = page.isMine(press) || page.me.owner !== undefined;
  if (mayDiscard && page.me.person !== undefined && (press.state !== "waiting" || !page.isMine(press))) {
    buttons.append(button("Discard", press, () => acts.discard(press)));
  }
  made.append(words);
  if (buttons.childElementCount) made.append(buttons);
  return made;
}

function sentLine({ press, words }) {
  const made = make("div", "", { class: "sheet edge-tape" });
  made.append(make("p", `${press.label} · pressed ${timeOf(press)}. ${words}`));
  return made;
}

function network() {
  const made = make("div", "", { class: "sheet edge-late" });
  made.append(make("p", "No network. What you press is kept on this phone and sent when it is back. This page keeps working, others do not open."));
  return made;
}

export function show(kept, page, acts) {
  const shown = kept.filter((press) => page.isCutOff || press.state !== "waiting" || !page.isMine(press));
  const state = JSON.stringify([shown.map(({ order, state, told, at }) => [order, state, told, at]), page.said.length, page.isCutOff, page.me.person]);
  // What is being answered here is not drawn anew under the finger.
  if (state === drawn) return;
  drawn = state;
  place ??= make("div", "", { class: "said stays", role: "status", id: "kept" });
  place.replaceChildren();
  if (!shown.length && !page.said.length) {
    place.remove();
    return;
  }
  if (page.isCutOff) place.append(network());
  place.append(...shown.map((press) => line(press, page, acts)), ...page.said.map(sentLine));
  document.querySelector("main .said")?.after(place);
  if (!place.isConnected) document.querySelector("main")?.prepend(place);
}
