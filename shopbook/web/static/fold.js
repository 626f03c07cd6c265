// What is long on a phone is folded there. On a desk's screen, and without this module, it stands open.
// The rest of a list is printed whole, also by browsers whose stylesheet cannot open it.

const narrow = matchMedia("(max-width: 860px)");

function fold() {
  for (const each of document.querySelectorAll("details.folds")) each.open = !narrow.matches;
}

narrow.addEventListener("change", fold);
fold();

let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("details.rest:not([open])")];
  for (const each of opened) each.open = true;
});
addEventListener("afterprint", () => {
  for (const each of opened) each.open = false;
  opened = [];
});
