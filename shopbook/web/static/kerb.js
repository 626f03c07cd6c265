// The price at the kerb without reloading: a tap on the outline brings or takes a panel's card, and whatever the server works
// out is asked of the same page. No sum is added up here: between a tap and the answer the sum is greyed and a press waits.
//
// The page gives: form[data-kerb] around all of it; a[data-panel] links to this page with the panel taken in or out;
// [data-cards] with one [data-card="code"] for each panel; [data-number] inside a card; input[data-price]; and elements with an
// id and data-live, which are replaced by what the server answers; among them the sum with `shown`, the panels and the sum it
// is for, which the server compares when something is kept. With data-refresh="address" on the form that address is asked
// (GET, the form's fields) after every change. A button with data-unfolds="id" first opens that fold, where a yes is signed or
// said, and sends the form with the next press; a signature is wiped when what it was given for is another. A press of
// [data-compare] asks for what stands in #kerb-even. What stands in [data-unasked] changes no sum and stays in the page. With data-asks="names" only the fields of these names are asked with and
// change the sum: what else is typed stays in the page.

const LEFT_OUT = new Set(["csrf_token", "act_key", "revision", "said_by", "whose", "means", "signature"]);
const PAUSE = 250;
const TYPING = 500;

async function askPage(address) {
  const answer = await fetch(address, { headers: { Accept: "text/html" } });
  if (!answer.ok || answer.redirected) throw new Error(`${answer.status} for ${address}`);
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

function takeLive(page) {
  for (const old of document.querySelectorAll("[data-live][id]")) {
    const now = page.getElementById(old.id);
    if (now && !old.contains(document.activeElement)) old.replaceWith(document.adoptNode(now));
  }
}

function isAsked(form, name) {
  if (form.dataset.asks) return form.dataset.asks.split(" ").includes(name);
  return !LEFT_OUT.has(name) && !form.querySelector(`[data-unasked] [name="${CSS.escape(name)}"]`);
}

const shown = (form) => form.elements.shown?.value;

// A signature stands for the panels and the sum under which it was drawn.
function unsign(form, before) {
  const signed = form.elements.signature;
  if (!signed?.value || before === shown(form)) return;
  form.querySelector("[data-sign-clear]").click();
  form.querySelector("[data-unsigned]").hidden = false;
}

function wakeFold(form, button) {
  const fold = document.getElementById(button.dataset.unfolds);
  if (!fold) return;
  const { value } = button;
  const mean = () => { button.value = (fold.open && button.dataset.open) || value; };
  mean();
  fold.addEventListener("toggle", mean);
  button.addEventListener("click", (event) => {
    if (fold.open) return;
    event.preventDefault();
    fold.open = true;
    mean();
    fold.scrollIntoView({ block: "center" });
    fold.querySelector("summary").focus({ preventScroll: true });
  });
  fold.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input")) return;
    event.preventDefault();
    button.click();
  });
}

function takePrices(form, page) {
  for (const input of form.querySelectorAll("input[data-price]")) {
    if (input.dataset.touched && input.value.trim()) continue;
    delete input.dataset.touched;
    const now = page.getElementById(input.id);
    if (now && input !== document.activeElement) input.value = now.value;
  }
}

// Cards that stay keep what was typed in them; the server's page decides which are there and in which order.
function takeCards(form, page) {
  const [here, there] = [form.querySelector("[data-cards]"), page.querySelector("[data-cards]")];
  const kept = new Map([...here.querySelectorAll("[data-card]")].map((card) => [card.dataset.card, card]));
  const cards = [...there.querySelectorAll("[data-card]")].map((card) => {
    const old = kept.get(card.dataset.card);
    if (!old) return document.adoptNode(card);
    const [was, is] = [old.querySelector("[data-number]"), card.querySelector("[data-number]")];
    if (was && is) was.textContent = is.textContent;
    return old;
  });
  here.replaceChildren(...cards);
}

function wake(form) {
  const coming = new Set();
  let taps = Promise.resolve();
  let latest = 0;
  let waiting = 0;
  let answer = null;

  // Greyed until the server has answered for what is chosen now; a press that comes meanwhile waits for it.
  const grey = () => form.setAttribute("aria-busy", "true");
  const clear = () => form.removeAttribute("aria-busy");

  function given() {
    const fields = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (typeof value === "string" && isAsked(form, name)) fields.append(name, value);
    }
    return `${form.dataset.refresh}?${fields}`;
  }

  async function ask(mine) {
    try {
      const page = await askPage(given());
      if (mine !== latest) return;
      const before = shown(form);
      takePrices(form, page);
      takeLive(page);
      unsign(form, before);
      clear();
    } catch {
      // No network just now: the sum stays greyed, and the server looks at it once more before anything is kept.
    }
  }

  function refresh() {
    clearTimeout(waiting);
    waiting = 0;
    if (!form.dataset.refresh) return Promise.resolve();
    grey();
    answer = ask(++latest).finally(() => { answer = null; });
    return answer;
  }

  function soon(pause) {
    grey();
    clearTimeout(waiting);
    waiting = setTimeout(refresh, pause);
  }

  async function choose(code) {
    latest += 1;
    grey();
    // A link inside a picture holds its address as an object, so the attribute is read.
    const address = new URL(form.querySelector(`a[data-panel="${code}"]`).getAttribute("href"), location.href).href;
    const page = await askPage(address).catch(() => location.assign(address));
    if (!page) return;
    const before = shown(form);
    history.replaceState(null, "", address);
    takeCards(form, page);
    takeLive(page);
    unsign(form, before);
    if (document.activeElement === document.body) form.querySelector(`a[data-panel="${code}"]`)?.focus();
    await refresh();
  }

  // Taps are taken one after another, each on the outline that the one before it left; a send waits for them all.
  function take(code) {
    if (coming.has(code)) return;
    coming.add(code);
    grey();
    taps = taps.then(() => choose(code)).finally(() => coming.delete(code));
  }

  async function settled() {
    while (coming.size || waiting || answer) await (coming.size ? taps : waiting ? refresh() : answer);
  }

  // Break-even is read of three months, so only a press asks for it: once all answers under way have come, for each of them
  // shuts the fold that it stands in.
  async function compare(fold) {
    await settled();
    const asked = given();
    const page = await askPage(`${asked}&again=break_even`).catch(() => null);
    if (asked !== given()) return;
    if (page) document.getElementById("kerb-even")?.replaceWith(page.getElementById("kerb-even") ?? "");
    else fold.querySelector("[data-compare]")?.replaceChildren("No network. Try again");
    fold.open = true;
  }

  form.addEventListener("click", (event) => {
    const press = event.target.closest("[data-compare]");
    if (press) compare(press.closest("details"));
    const link = event.target.closest("a[data-panel]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    document.activeElement?.blur();
    take(link.dataset.panel);
  });
  form.addEventListener("submit", (event) => {
    if (!coming.size && !waiting && !answer) return;
    event.preventDefault();
    settled().then(() => form.requestSubmit(event.submitter));
  });
  form.addEventListener("input", (event) => {
    if (!event.target.matches("input[data-price]")) return;
    event.target.dataset.touched = "yes";
    soon(TYPING);
  });
  form.querySelectorAll("[data-unfolds]").forEach((button) => wakeFold(form, button));
  form.addEventListener("change", (event) => {
    // The form itself is the target where a draft was put back into it.
    if (event.target === form || isAsked(form, event.target.name)) soon(PAUSE);
    else if (LEFT_OUT.has(event.target.name)) form.querySelector("[data-unsigned]").hidden = true;
  });
  // After Back or a reload a browser puts back what was chosen, which the page was not made for.
  window.addEventListener("pageshow", () => { if (form.querySelector("[data-card]") || form.dataset.asks) refresh(); });
}

document.querySelectorAll("form[data-kerb]").forEach(wake);
