// What is long on a phone is folded there; on a desk's screen, and without this module, it stands open. Printed, every fold of a page stands open, also by browsers whose stylesheet cannot open it; an address that
// names a place opens the fold that it lies in.

const narrow = matchMedia("(max-width: 860px)");

function fold() {
  for (const each of document.querySelectorAll("details.folds")) each.open = !narrow.matches;
}

narrow.addEventListener("change", fold);
fold();

function reveal() {
  const place = location.hash.length > 1 && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!place) return;
  for (let at = place.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
  const within = place.querySelector(":scope > details.rest");
  if (within) within.open = true;
  place.scrollIntoView();
}

addEventListener("hashchange", reveal);
reveal();

let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details.rest:not([open])")];
  for (const each of opened) each.open = true;
});
addEventListener("afterprint", () => {
  for (const each of opened) each.open = false;
  opened = [];
});
