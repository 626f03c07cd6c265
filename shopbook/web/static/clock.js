// Keeps a running timer going: data-started and data-now are the server's moments, so a phone with a wrong clock shows it right.

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
