// The search of the frame answers while somebody types. The page gives form[data-offers="address"] around an input[type=search];
// that address is asked with ?q= and answers { said, options: [{ title, sub, url }], has_more }, with nothing typed the last jobs.
// Without this module the form is sent as it is. "/" goes to the field from anywhere but another field; arrows choose, Enter
// opens what is chosen or sends the form, Escape shuts. A fold with data-shuts shuts at a press beside it, and at Escape.

const PAUSE = 160;
const ELSEWHERE = "input, select, textarea, [contenteditable]";

function make(tag, given = {}, ...inside) {
  const made = Object.assign(document.createElement(tag), given);
  made.append(...inside);
  return made;
}

function attach(form) {
  const field = form.elements.q;
  const list = make("ul", { id: "find-offers" });
  const told = make("p", { className: "soft small" });
  const box = make("div", { className: "offers", hidden: true }, told, list);
  told.setAttribute("role", "status");
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", field.getAttribute("aria-label"));
  form.append(box);
  for (const [name, value] of Object.entries({ role: "combobox", "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": list.id })) field.setAttribute(name, value);

  let chosen = -1;
  let asked;
  let waiting;

  const choose = (place) => {
    const options = [...list.children];
    chosen = options.length ? (place + options.length + 1) % (options.length + 1) : -1;
    if (chosen === options.length) chosen = -1;
    options.forEach((each, at) => each.setAttribute("aria-selected", String(at === chosen)));
    options[chosen]?.scrollIntoView({ block: "nearest" });
    if (chosen < 0) field.removeAttribute("aria-activedescendant");
    else field.setAttribute("aria-activedescendant", options[chosen].id);
  };
  const shut = () => {
    clearTimeout(waiting);
    asked?.abort();
    box.hidden = true;
    field.setAttribute("aria-expanded", "false");
    choose(-1);
  };
  const line = ({ title, sub, url }, place) => {
    const option = make("li", { id: `find-offer-${place}` }, make("b", { textContent: title }));
    if (sub) option.append(make("span", { className: "small soft", textContent: sub }));
    option.setAttribute("role", "option");
    option.setAttribute("aria-selected", "false");
    option.dataset.url = url;
    return option;
  };
  const show = ({ said, options, has_more: hasMore }) => {
    const all = { title: "Show all", sub: "", url: `${form.action}?${new URLSearchParams({ q: field.value })}` };
    told.textContent = said;
    list.replaceChildren(...(hasMore ? [...options, all] : options).map(line));
    list.hidden = !options.length;
    box.hidden = !said;
    field.setAttribute("aria-expanded", String(!box.hidden && options.length > 0));
    choose(-1);
  };
  const ask = async () => {
    asked?.abort();
    asked = new AbortController();
    const { signal } = asked;
    try {
      const answer = await fetch(`${form.dataset.offers}?${new URLSearchParams({ q: field.value })}`, { signal });
      const found = answer.ok && !answer.redirected ? await answer.json() : undefined;
      if (found && !signal.aborted && field === document.activeElement) show(found);
      else if (!found) shut();
    } catch {
      // Asked anew meanwhile, or no network: Enter still sends the form.
      if (!signal.aborted) shut();
    }
  };
  const open = (url) => location.assign(url);

  field.addEventListener("focus", () => { if (!field.value) ask(); });
  field.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(ask, PAUSE);
  });
  field.addEventListener("blur", shut);
  field.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      if (box.hidden) ask();
      else choose(chosen < 0 && step < 0 ? list.children.length - 1 : chosen + step);
    } else if (event.key === "Enter" && chosen >= 0) {
      event.preventDefault();
      open(list.children[chosen].dataset.url);
    } else if (event.key === "Escape" && !box.hidden) {
      event.preventDefault();
      shut();
    }
  });
  // The field keeps the focus while a line is pressed.
  box.addEventListener("pointerdown", (event) => event.preventDefault());
  box.addEventListener("mousedown", (event) => event.preventDefault());
  list.addEventListener("click", (event) => {
    const option = event.target.closest("[data-url]");
    if (option) open(option.dataset.url);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || event.target.closest?.(ELSEWHERE)) return;
    event.preventDefault();
    const fold = field.closest("details");
    if (fold) fold.open = true;
    field.focus();
    field.select();
  });
  addEventListener("pageshow", shut);
  field.closest("details")?.addEventListener("toggle", (event) => { if (event.target.open) field.focus(); });
}

const form = document.querySelector("form[data-offers]");
if (form) attach(form);

const folds = document.querySelectorAll("details[data-shuts]");
document.addEventListener("click", (event) => {
  for (const fold of folds) if (!fold.contains(event.target)) fold.open = false;
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const fold of folds) {
    if (fold.open && fold.contains(document.activeElement)) fold.querySelector("summary").focus();
    fold.open = false;
  }
});
