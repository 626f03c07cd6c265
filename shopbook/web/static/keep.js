// What was typed survives a dead phone or a lost network: a form with data-keep="name" leaves a draft in this browser until the
// server has accepted it. Accepted means: a page of the server, or the answer to a press, names the key that the form was sent
// with. No other page takes a draft away: after a cut it may be any page that is opened next.

const PREFIX = "shopbook-draft:";
const LONGEST_LIFE = 12 * 60 * 60 * 1000;
const LEFT_OUT = new Set(["hidden", "password", "file", "submit", "button", "reset", "image"]);

const read = (name) => {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name));
  } catch {
    return null;
  }
};
const write = (name, draft) => {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(draft));
  } catch {
    // No room or not allowed: the form works as it would without drafts.
  }
};
const drop = (name) => localStorage.removeItem(PREFIX + name);

const fields = (form) => [...form.elements].filter((field) => field.name && !LEFT_OUT.has(field.type));
const isTicked = (field) => field.type === "checkbox" || field.type === "radio";
const keyOf = (field) => (isTicked(field) ? `${field.name}=${field.value}` : field.name);
const valueOf = (field) => (isTicked(field) ? field.checked : field.value);
const typedIn = (form) => Object.fromEntries(fields(form).map((field) => [keyOf(field), valueOf(field)]));

function save(form, sent = false) {
  write(form.dataset.keep, { at: Date.now(), sent: sent ? form.elements.act_key?.value : "", typed: typedIn(form) });
}

function sweep(accepted) {
  for (const key of Object.keys(localStorage).filter((each) => each.startsWith(PREFIX))) {
    const name = key.slice(PREFIX.length);
    const draft = read(name);
    if (!draft || Date.now() - draft.at > LONGEST_LIFE || accepted.includes(draft.sent)) drop(name);
  }
}

function say(form, at) {
  const note = document.createElement("p");
  const time = new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  note.className = "sheet edge-tape";
  note.setAttribute("role", "status");
  note.append(`Your unsaved entries from ${time} are back. `);
  const again = document.createElement("button");
  again.type = "button";
  again.className = "button quiet mini";
  again.textContent = "Clear them";
  again.addEventListener("click", () => {
    drop(form.dataset.keep);
    form.reset();
    note.remove();
    form.dispatchEvent(new Event("change", { bubbles: true }));
  });
  note.append(again);
  form.prepend(note);
}

function restore(form) {
  const draft = read(form.dataset.keep);
  // After a refusal the server has put back what was typed; an older draft must not overwrite it.
  if (!draft || document.querySelector("[data-errors]")) return;
  const changed = fields(form).filter((field) => keyOf(field) in draft.typed && draft.typed[keyOf(field)] !== valueOf(field));
  if (!changed.length) return;
  for (const field of changed) {
    if (isTicked(field)) field.checked = draft.typed[keyOf(field)];
    else field.value = draft.typed[keyOf(field)];
  }
  say(form, draft.at);
  form.dispatchEvent(new Event("change", { bubbles: true }));
}

try {
  sweep(document.querySelector("[data-accepted]")?.dataset.accepted.split(" ") ?? []);
  document.addEventListener("shopbook:accepted", (event) => sweep([event.detail]));
  for (const form of document.querySelectorAll("form[data-keep]")) {
    restore(form);
    for (const kind of ["input", "change"]) form.addEventListener(kind, (event) => event.target !== form && save(form));
    form.addEventListener("submit", () => save(form, true));
  }
} catch {
  // Storage is switched off in this browser: forms work without drafts.
}
