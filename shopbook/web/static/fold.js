// What is long on a phone is folded there. On a desk's screen, and without this module, it stands open.

const narrow = matchMedia("(max-width: 860px)");

function fold() {
  for (const each of document.querySelectorAll("details.folds")) each.open = !narrow.matches;
}

narrow.addEventListener("change", fold);
fold();
