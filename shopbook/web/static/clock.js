// Keeps a running timer going, and counts one down that waits (data-until): data-started and data-now are the server's moments, so a phone with a wrong clock shows it right.

const EVERY = 5_000;

function show(clock) {
  const sinceLoad = performance.now();
  const passed = Date.parse(clock.dataset.now) - Date.parse(clock.dataset.started) + sinceLoad;
  if (Number.isNaN(passed)) return;
  const minutes = Math.max(0, Math.floor(passed / 60_000));
  const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
  clock.textContent = `${hours}:${String(rest).padStart(2, "0")}`;
  clock.setAttribute("aria-label", `running for ${hours ? `${hours} h ` : ""}${rest} minutes`);
}

const clocks = [...document.querySelectorAll("[data-started][data-now]")];
if (clocks.length) {
  const tick = () => clocks.forEach(show);
  tick();
  setInterval(tick, EVERY);
}

function showLeft(left) {
  const passed = Date.parse(left.dataset.until) - Date.parse(left.dataset.now) - performance.now();
  if (Number.isNaN(passed)) return;
  if (passed > 0) {
    const minutes = Math.ceil(passed / 60_000);
    left.textContent = `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
    return;
  }
  left.textContent = "0:00";
  clearInterval(waiting);
  look();
}

// Looks at the page anew, but takes nothing away that is being typed or was unfolded, nor puts the browser's own page in
// its place where the network is gone.
async function look() {
  const held = document.activeElement?.matches("input, select, textarea, button, summary");
  if (document.hidden || held || document.querySelector("main details[open], form[data-sent], #kept")) return;
  const found = await fetch(location.href, { method: "HEAD", cache: "no-store" }).catch(() => null);
  if (found?.ok && !found.redirected) location.reload();
}

const lefts = [...document.querySelectorAll("[data-until][data-now]")];
const waiting = lefts.length ? setInterval(() => lefts.forEach(showLeft), EVERY) : 0;

const fresh = document.querySelector("[data-fresh]");
if (fresh) {
  setInterval(look, Number(fresh.dataset.fresh) * 1_000);
  document.addEventListener("visibilitychange", look);
}
