// A sound and a vibration at the moment when something has dried, while the floor's list is open and whoever reads it switched
// that on: #sound[data-person] with the moments in [data-ends][data-now]. Nothing sounds once the page is closed or the phone
// locked, and a browser lets no page sound before it was touched: the section says both.

const place = document.querySelector("#sound");
const EVERY = 1_000;

function remembered(name) {
  try {
    return localStorage.getItem(name) === "yes";
  } catch {
    return false;
  }
}

function remember(name, isOn) {
  try {
    if (isOn) localStorage.setItem(name, "yes");
    else localStorage.removeItem(name);
  } catch {
    // Storage is switched off: it holds for this page.
  }
}

function begin(section) {
  const [button, told] = [section.querySelector("button"), section.querySelector("[role=status]")];
  const name = `shopbook-dry-sound-${section.dataset.person}`;
  const due = [...section.querySelectorAll("[data-ends]")].map((each) => Date.parse(each.dataset.ends) - Date.parse(each.dataset.now));
  let isOn = remembered(name);
  let sounds;

  function show() {
    button.setAttribute("aria-pressed", isOn);
    button.textContent = isOn ? "Turn sound off" : "Turn sound on";
    const isSilent = isOn && sounds?.state !== "running";
    told.textContent = isSilent ? "Touch this page once, or your browser keeps it silent." : isOn ? "On while this page is open." : "Off.";
  }

  // Only a touch may start sound.
  function wake() {
    if (!isOn) return;
    sounds ??= new AudioContext();
    sounds.onstatechange = show;
    sounds.resume().catch(() => {});
  }

  function sound() {
    navigator.vibrate?.([400, 200, 400]);
    if (sounds?.state !== "running") return;
    for (const later of [0, 0.5]) {
      const tone = sounds.createOscillator();
      tone.frequency.value = 880;
      tone.connect(sounds.destination);
      tone.start(sounds.currentTime + later);
      tone.stop(sounds.currentTime + later + 0.3);
    }
  }

  button.addEventListener("click", () => {
    isOn = !isOn;
    remember(name, isOn);
    wake();
    show();
  });
  document.addEventListener("pointerdown", wake);
  setInterval(() => {
    const passed = due.filter((left) => left <= performance.now());
    if (!passed.length) return;
    due.splice(0, due.length, ...due.filter((left) => left > performance.now()));
    if (isOn) sound();
    told.textContent = "Something is dry now.";
  }, EVERY);
  wake();
  show();
  section.hidden = false;
}

if (place) begin(place);
