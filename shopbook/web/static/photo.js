// Photos before they are sent: each one chosen shows as a small picture, and a further tile takes the next one.

function show(label, files) {
  for (const file of files) {
    const picture = document.createElement("img");
    picture.alt = file.name;
    picture.src = URL.createObjectURL(file);
    picture.addEventListener("load", () => URL.revokeObjectURL(picture.src), { once: true });
    label.before(picture);
  }
}

function wake(tiles) {
  // Kept on the phone, they are out of the form, which takes the next ones.
  tiles.closest("form")?.addEventListener("reset", () => {
    tiles.querySelectorAll("img, label[hidden]").forEach((each) => each.remove());
  });
  tiles.addEventListener("change", (event) => {
    const label = event.target.closest("label");
    if (!label || event.target.type !== "file" || !event.target.files.length) return;
    const next = label.cloneNode(true);
    next.querySelector("input").value = "";
    label.after(next);
    show(label, event.target.files);
    label.hidden = true;
  });
}

document.querySelectorAll("[data-photos]").forEach(wake);
