// The board by hand: a car is lifted by a drag or by the arrow keys. Where it would stand is asked of the server, which shows
// what that does to every car before anything is saved. No day is worked out here: the half-days of the board know theirs.
//
// The page gives: a[data-lift] for each car that can be moved, "from" where its drop-off moves, "to" where its promise does,
// "place" where only its place does, with data-earlier and data-later; i[data-on][data-half] for each half-day, inside its
// [data-place]; and on the page of a lifted car [data-key] for what the keys do, and .stay.moved for the car itself.

const STILL = 6;
const INSIDE = 8;

function cellAt(x, y) {
  return document.elementsFromPoint(x, y).find((each) => each.matches("[data-board] i[data-on]"));
}

function edgeOf(bar, pointer) {
  const { left, right } = bar.getBoundingClientRect();
  return { from: left + INSIDE, to: right - INSIDE, place: pointer }[bar.dataset.lift];
}

function addressOf(bar, cell) {
  const address = new URL(bar.href);
  const place = cell.closest("[data-place]")?.dataset.place;
  if (place) address.searchParams.set("place", place);
  if (bar.dataset.lift !== "place") {
    address.searchParams.set("on", cell.dataset.on);
    address.searchParams.set("half", cell.dataset.half);
  }
  const day = new URLSearchParams(location.search).get("day");
  if (day) address.searchParams.set("day", day);
  return address;
}

let drag = null;

function putBack() {
  drag?.bar.classList.remove("lifted");
  drag?.moved?.cancel();
  document.querySelector("i.aim")?.classList.remove("aim");
  drag = null;
}

function follow(event) {
  const [across, down] = [event.clientX - drag.x, event.clientY - drag.y];
  drag.isLifted ||= Math.hypot(across, down) > STILL;
  if (!drag.isLifted) return;
  drag.bar.classList.add("lifted");
  drag.moved?.cancel();
  const place = `${across}px ${down}px`;
  drag.moved = drag.bar.animate({ translate: [place, place] }, { duration: 1, fill: "forwards" });
  document.querySelector("i.aim")?.classList.remove("aim");
  cellAt(edgeOf(drag.bar, event.clientX), event.clientY)?.classList.add("aim");
}

document.addEventListener("pointerdown", (event) => {
  const bar = event.target.closest?.("a[data-lift]");
  if (!bar || event.button !== 0) return;
  drag = { bar, x: event.clientX, y: event.clientY, isLifted: false };
  bar.setPointerCapture(event.pointerId);
});

document.addEventListener("pointermove", (event) => {
  if (drag) follow(event);
});

document.addEventListener("pointerup", (event) => {
  if (!drag) return;
  const { bar, isLifted } = drag;
  const cell = isLifted && cellAt(edgeOf(bar, event.clientX), event.clientY);
  putBack();
  if (!isLifted) return;
  bar.addEventListener("click", (click) => click.preventDefault(), { once: true });
  if (cell) location.assign(addressOf(bar, cell));
});

document.addEventListener("pointercancel", putBack);

const SIDES = { ArrowLeft: "earlier", ArrowRight: "later" };
const lifted = document.querySelector(".stay.moved");
lifted?.focus({ preventScroll: true });

document.addEventListener("keydown", (event) => {
  if (event.target.matches("input, select, textarea") || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Escape" && drag) return putBack();
  const mover = document.querySelector("[data-mover]");
  const bar = event.target.closest("a[data-lift]");
  if (mover && event.key === "Enter" && event.target === lifted) {
    event.preventDefault();
    mover.querySelector("form").requestSubmit();
  } else if (mover) {
    const press = mover.querySelector(`[data-key="${event.key}"]`);
    if (press) event.preventDefault();
    press?.click();
  } else if (bar && SIDES[event.key]) {
    event.preventDefault();
    location.assign(bar.dataset[SIDES[event.key]]);
  }
});
