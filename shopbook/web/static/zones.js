// The first page offers the time zones of the chosen country alone. Without this module they stand by country in one list.

const country = document.querySelector("select#country");
const zone = document.querySelector("select#zone");

function offer() {
  const chosen = country.selectedOptions[0]?.label;
  for (const group of zone.querySelectorAll("optgroup")) {
    const fits = group.label === chosen;
    group.hidden = group.disabled = !fits;
    if (!fits && group.contains(zone.selectedOptions[0] ?? null)) zone.value = "";
  }
}

if (country && zone) {
  country.form.addEventListener("change", offer);
  addEventListener("pageshow", offer);
  offer();
}
