// A field is shown only where another one asks for it; without this module all of them stand there.
//
// The page gives: [data-only="name: word word"] around a field, once or several times split by ";": all of them must hold.
// A word stands for a value of the field of that name in the same form; "name: ! word" holds for any other value.

function holds(form, rule) {
  const [name, said] = rule.split(":").map((part) => part.trim());
  const words = said.split(/\s+/);
  const value = form.elements[name]?.value ?? "";
  return words[0] === "!" ? !words.slice(1).includes(value) : words.includes(value);
}

function show(form) {
  for (const each of form.querySelectorAll("[data-only]")) {
    each.hidden = !each.dataset.only.split(";").every((rule) => holds(form, rule));
  }
}

for (const form of document.querySelectorAll("form:has([data-only])")) {
  form.addEventListener("change", () => show(form));
  show(form);
}
