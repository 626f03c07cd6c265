// Wakes the two keys beside an amount: each press takes one step, never below zero.

function wake(stepper) {
  stepper.classList.add("live");
  for (const button of stepper.querySelectorAll("button[data-by]")) button.hidden = false;
}

function step(stepper, by) {
  const input = stepper.querySelector("input");
  const size = Number(stepper.dataset.step) || 1;
  const places = (String(size).split(".")[1] ?? "").length;
  const now = Number(input.value.replace(",", "."));
  if (Number.isNaN(now)) return;
  input.value = Math.max(0, now + by * size).toFixed(places);
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

document.querySelectorAll(".stepper").forEach(wake);
document.addEventListener("click", (event) => {
  const button = event.target.closest(".stepper button[data-by]");
  if (button) step(button.closest(".stepper"), Number(button.dataset.by));
});
