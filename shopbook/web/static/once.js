// A form is sent once: a second press while the first is on its way does nothing. The server is the real guard.

const LONGEST_WAIT = 10_000;

function release(form) {
  delete form.dataset.sent;
  form.removeAttribute("aria-busy");
  for (const button of form.querySelectorAll('[aria-disabled="true"]')) button.removeAttribute("aria-disabled");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || (form.getAttribute("method") ?? "get").toLowerCase() !== "post") return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  form.setAttribute("aria-busy", "true");
  event.submitter?.setAttribute("aria-disabled", "true");
  setTimeout(release, LONGEST_WAIT, form);
});

// A page that comes back from the browser's memory has its presses again.
window.addEventListener("pageshow", () => document.querySelectorAll("form[data-sent]").forEach(release));
