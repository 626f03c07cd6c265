// Puts a ready text on the clipboard; on a page without one (plain http) it selects the text and says so.

async function copy(field) {
  try {
    await navigator.clipboard.writeText(field.value);
    return true;
  } catch {
    field.focus();
    field.select();
    return document.execCommand("copy");
  }
}

for (const button of document.querySelectorAll("[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  if (!field) continue;
  button.hidden = false;
  button.addEventListener("click", async () => {
    const copied = await copy(field);
    const answer = button.nextElementSibling;
    if (answer?.matches('[role="status"]')) answer.textContent = copied ? "Copied" : "Text selected: copy it now";
  });
}
