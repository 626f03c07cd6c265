// A signature drawn by finger or pen becomes an SVG path ("M12 40L13 42…", whole numbers in a box of 320 × 110) in a hidden input.

const LEAST_STEP = 2;
const LONGEST = 8_000;

function wake(pad) {
  const [input, picture] = [pad.querySelector("input"), pad.querySelector("svg")];
  const pen = picture.querySelector(".pen");
  const words = picture.getAttribute("aria-label").replace("; signed", "");
  let last = null;

  const put = (path) => {
    input.value = path;
    pen.setAttribute("d", path);
    picture.setAttribute("aria-label", path ? `${words}; signed` : words);
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };
  const where = (event) => {
    const box = picture.viewBox.baseVal;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(picture.getScreenCTM().inverse());
    const within = (value, most) => Math.round(Math.min(Math.max(value, 0), most));
    return [within(point.x, box.width), within(point.y, box.height)];
  };

  picture.addEventListener("pointerdown", (event) => {
    event.preventDefault();
    picture.setPointerCapture(event.pointerId);
    last = where(event);
    if (input.value.length < LONGEST) put(`${input.value}M${last.join(" ")}L${last.join(" ")}`);
  });
  picture.addEventListener("pointermove", (event) => {
    if (!last || input.value.length >= LONGEST) return;
    const next = where(event);
    if (Math.hypot(next[0] - last[0], next[1] - last[1]) < LEAST_STEP) return;
    last = next;
    put(`${input.value}L${next.join(" ")}`);
  });
  for (const end of ["pointerup", "pointercancel"]) picture.addEventListener(end, () => { last = null; });
  pad.querySelector("[data-sign-clear]").addEventListener("click", () => put(""));
  pad.hidden = false;
}

document.querySelectorAll("[data-sign]").forEach(wake);
