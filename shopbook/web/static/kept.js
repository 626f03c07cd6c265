// What was pressed and has not reached the book lies in this browser's own storage (IndexedDB), in the order of the presses,
// with its key, its person, the whole form and the phone's running clock. Tabs share it; one of them sends at a time.

const PAGE = crypto.getRandomValues(new Uint32Array(4)).join("-");
const LEASE = 15_000;
const told = new BroadcastChannel("shopbook-kept");

let opened = null;

function open() {
  opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open("shopbook", 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("presses", { keyPath: "order", autoIncrement: true }).createIndex("key", "key", { unique: true });
      asked.result.createObjectStore("sender");
    };
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
    asked.onblocked = () => failed(new Error("blocked"));
  });
  return opened;
}

// One transaction over a store; done when it is on the disk, not when it was asked for.
async function within(store, mode, work) {
  const book = await open();
  return new Promise((done, failed) => {
    const all = book.transaction(store, mode, { durability: "strict" });
    const asked = work(all.objectStore(store));
    all.oncomplete = () => done(asked?.result);
    all.onerror = all.onabort = () => failed(all.error);
  });
}

// The phone's running clock: only how long it ran counts, so a phone set to a wrong hour is right. On the page that was pressed a
// stopwatch runs too; it stops while some phones sleep, and a clock may be set back while a press waits: the longer of both counts.
const clock = () => ({ page: PAGE, at: Date.now(), ran: performance.now() });

export function waited(press) {
  const byClock = Math.max(Date.now() - press.since.at, 0);
  return Math.round(press.since.page === PAGE ? Math.max(byClock, performance.now() - press.since.ran) : byClock);
}

export const isFromHere = (press) => press.since.page === PAGE;

export const listKept = () => within("presses", "readonly", (store) => store.getAll());

// False where this form was pressed before and still waits: the first press counts.
export async function keep(press) {
  const same = (await listKept()).find((each) => each.key === press.key);
  if (same && same.state !== "refused") return false;
  if (same) await within("presses", "readwrite", (store) => store.delete(same.order));
  await within("presses", "readwrite", (store) => store.add({ ...press, since: clock(), state: "waiting" }));
  told.postMessage({});
  return true;
}

export async function change(press, how) {
  Object.assign(press, how);
  await within("presses", "readwrite", (store) => store.put(press));
  told.postMessage({});
}

export async function letGo(press, url = "", words = "") {
  await within("presses", "readwrite", (store) => store.delete(press.order));
  const { key, label, since } = press;
  told.postMessage({ press: { key, label, since }, url, words });
}

// What another tab has sent or let go is heard here.
export const onKept = (hear) => told.addEventListener("message", (event) => hear(event.data));

// One tab sends at a time: it takes the turn for a few seconds and renews it while it sends. A key is never done twice
// anyhow; this keeps two tabs from telling the same thing.
export async function takeTurn() {
  let isOurs = false;
  await within("sender", "readwrite", (store) => {
    const asked = store.get("turn");
    asked.onsuccess = () => {
      const turn = asked.result;
      isOurs = !turn || turn.page === PAGE || turn.until < Date.now() || turn.until > Date.now() + LEASE;
      if (isOurs) store.put({ page: PAGE, until: Date.now() + LEASE }, "turn");
    };
    return asked;
  });
  return isOurs;
}

// Given back when it is done, and when the page is left while it sends: the next page need not wait for the end of the lease.
export const giveTurn = () =>
  within("sender", "readwrite", (store) => {
    const asked = store.get("turn");
    asked.onsuccess = () => asked.result?.page === PAGE && store.delete("turn");
    return asked;
  });
