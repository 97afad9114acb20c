// The Python worker. Starts Pyodide from a memory snapshot (all imports done at build time),
// or, should that fail in any way, in the ordinary manner. Talks to page/python.js.
const BUILD = /*BUILD*/ null;
const here = new URL(".", import.meta.url).href;
const file = (path) => here + path;
const times = {};
const time = (name) => {
  times[name] = Math.round(performance.timeOrigin + performance.now());
};
time("worker");

// ---- storage ---------------------------------------------------------------------------

// What browsers say of a file that another window has open for writing. A database says the
// second of other troubles, so it counts only where such a file is opened.
const HELD = ["NoModificationAllowedError", "InvalidStateError"];
const openForWriting = (entry) => entry.createSyncAccessHandle().catch((error) => {
  throw HELD.includes(error?.name) ? new Busy(error.message) : error;
});

// Opening is the only asynchronous step, so it is done here, beside the loading of Python.
// A page that was just reloaded may still hold the handles for a moment: hence the retries.
async function openStorage() {
  const root = await navigator.storage?.getDirectory?.().catch(() => null);
  if (!root) return { handles: [], problem: "unavailable" };
  for (let attempt = 0; ; attempt += 1) {
    try {
      const folder = await root.getDirectoryHandle(BUILD.folder, { create: true });
      const { handles: [glance, ...slots], hold } = await openFiles(root, folder);
      return { handles: slots.map(slotHandle), glance, hold, problem: "" };
    } catch (error) {
      if (!(error instanceof Busy)) {
        console.error(error);
        return { handles: [], problem: "failed" };
      }
      if (attempt >= 12) return { handles: [], problem: "busy" };
      await new Promise((resolve) => setTimeout(resolve, 125));
    }
  }
}

async function openFiles(root, folder) {
  const names = [BUILD.glanceFile];
  for (let i = 0; i < BUILD.slots; i += 1) names.push(`slot-${String(i).padStart(2, "0")}`);
  const entries = [];
  for (const name of names) entries.push(await folder.getFileHandle(name, { create: true }));
  const handles = [];
  try {
    for (const entry of entries) handles.push(await openForWriting(entry));
    await bringOver(BUILD.folder, names, handles);
    return { handles, hold: whileTheyAreThere(names, handles) };
  } catch (error) {
    for (const handle of handles) handle.close();
    if (error instanceof Busy) throw error;
    // Files that hold something were written by such handles: then they are only out of order,
    // and to begin an empty record beside them would hide it.
    for (const entry of entries) if ((await entry.getFile()).size) throw error;
    await aloneHere(BUILD.folder);
    const files = await lateHandles(await openParts(BUILD.folder), names);
    await root.removeEntry(BUILD.folder, { recursive: true }).catch(() => {});
    return files;
  }
}

// A handle goes on writing when the browser has thrown its file away. So what was flushed is
// looked for under its name before anything more is told. `hold()` gives the promise of that.
function whileTheyAreThere(names, handles) {
  const flushed = new Set();
  let there = Promise.resolve();
  handles.forEach((handle, at) => {
    const flush = handle.flush.bind(handle);
    handle.flush = () => {
      flush();
      flushed.add(at);
    };
  });
  async function look(at) {
    for (let attempt = 1; ; attempt += 1) {
      try {
        const root = await navigator.storage.getDirectory();
        const folder = await root.getDirectoryHandle(BUILD.folder);
        const { size } = await (await folder.getFileHandle(names[at])).getFile();
        if (size === handles[at].getSize()) return;
      } catch (error) {
        if (error.name !== "NotFoundError") return; // it cannot be looked for here
      }
      // Python may have written on between the two sizes.
      if (attempt === 5) throw new DOMException(`${names[at]} is gone`, "NotFoundError");
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }
  return () => {
    const some = [...flushed];
    flushed.clear();
    if (some.length) there = there.then(() => Promise.all(some.map(look)));
    there.catch(() => {}); // whoever waits for it is told
    return there;
  };
}

// What Python sees of a handle: whole byte strings instead of views into shared buffers.
function slotHandle(handle) {
  return {
    readAt(size, at) {
      const buffer = new Uint8Array(size);
      return buffer.subarray(0, handle.read(buffer, { at }));
    },
    writeAt(data, at) {
      const view = data.getBuffer("u8");
      try {
        return handle.write(view.data, { at });
      } finally {
        view.release();
      }
    },
    truncate: (size) => handle.truncate(size),
    getSize: () => handle.getSize(),
    flush: () => handle.flush(),
    close: () => handle.close(),
  };
}

function keepGlance(handle, value) {
  if (!handle) return;
  const bytes = new TextEncoder().encode(JSON.stringify(value));
  handle.truncate(0);
  handle.write(bytes, { at: 0 });
  handle.flush();
}

// Python has these in the record; they go when that is kept.
function forgetNoted(ids, hold) {
  Promise.resolve(hold?.()).then(() => dropFromInbox(ids)).catch(console.error);
}

// Tells the page everything in its order, but nothing before what was flushed is kept; and
// nothing at all any more, except that, once something could not be kept.
function afterKeeping(hold) {
  let before = Promise.resolve();
  let failed = false;
  return (data, owned) => {
    const kept = hold();
    before = before.then(() => kept).then(() => self.postMessage(data, owned));
    before.catch((error) => {
      const kind = error?.name === "NotFoundError" ? "gone" : "lost";
      if (!failed) self.postMessage({ kind, text: String(error) });
      failed = true;
    });
  };
}

// ---- the two together ------------------------------------------------------------------

const LATE_MS = 300;
async function main({ documentUrl, mark }) {
  const storageOpened = openStorage();
  const noted = inboxItems().catch(() => []);
  const { pyodide, restored, settle, papers } = await startPython().catch((error) => {
    self.postMessage({ kind: "failed", text: String(error), missing: isMissing(error) });
    throw error;
  });
  const storage = await storageOpened;
  const start = pyodide.pyimport(BUILD.startModule);
  const host = {
    documentUrl,
    mark,
    language: "",
    releaseUrl: here,
    picture: (text) => picture(JSON.parse(text)),
    letter,
    handles: storage.handles,
    storageProblem: storage.problem,
    // Asked each time: an open app may be carried into another zone.
    timeZone: () => Intl.DateTimeFormat().resolvedOptions().timeZone ?? "",
    // A save has returned only when the glance is on the device too; the page gets a copy.
    post(text) {
      const message = JSON.parse(text);
      if (message.kind === "glance") keepGlance(storage.glance, message.value);
      if (message.kind === "noted") forgetNoted(message.value, storage.hold);
      else tell(message, []);
    },
  };
  const tell = storage.hold ? afterKeeping(storage.hold) : (data, owned) => self.postMessage(data, owned);
  const send = (message) => {
    const bytes = message.toJs();
    tell(bytes, [bytes.buffer]);
  };
  await start.begin(host, restored);
  const takeNoted = (items) => start.noted(JSON.stringify(items));
  // It was asked for before Python came. A database that hangs must not keep the app from coming.
  const items = await Promise.race([noted, new Promise((done) => setTimeout(done, LATE_MS))]);
  if (items) takeNoted(items);
  else noted.then(inTurn(takeNoted));
  time("begun");
  self.postMessage({ kind: "python", restored, times });
  return {
    async connect(language) {
      host.language = language;
      await start.connect(send);
    },
    receive: (data) => start.receive(data),
    // The page is about to be loaded again: what is typed is kept, then it may go.
    leave() {
      start.leave();
      tell({ kind: "left" }, []);
    },
    // Only once there is an app to hear it; otherwise the page keeps the file.
    told: (facts) => start.told(JSON.stringify(facts)),
    shared: ({ name, bytes }) => start.shared(name, bytes),
    takeNoted,
    // What the opening page has half filled in, before it gives way to the app.
    begun: (forms) => start.begun(JSON.stringify(forms)),
    // By the same way as all else: when nothing can be told any more, neither can this.
    answer() {
      if (!start.listens()) throw new Error("Python listens no more");
      tell({ kind: "answer" }, []);
    },
    async settle() {
      try {
        await settle?.();
        await start.load_the_rest();
        await papers();
        await start.warm_papers();
      } catch (error) {
        console.warn(`PocketPump: the rest: ${error}`);
      }
    },
  };
}

// One after the other: a greeting that comes before Python is up has to wait its turn.
let running = null;
let last = Promise.resolve();
self.onmessage = ({ data }) => {
  last = last.then(async () => {
    if (data.kind === "start") running = main(data);
    const app = await running;
    if (data instanceof Uint8Array) app.receive(data);
    else if (data.kind === "connect") await app.connect(data.language);
    else if (data.kind === "settle") app.settle();
    else if (data.kind === "leave") app.leave();
    else if (data.kind === "ask") app.answer();
    else if (data.kind === "told") app.told(data.facts);
    else if (data.kind === "shared") app.shared(data);
    else if (data.kind === "begun") app.begun(data.forms);
    else if (data.kind === "noted") lookIntoInbox();
  }).catch((error) => {
    console.error(error);
    self.postMessage({ kind: "failed", text: String(error) });
  });
};

// Any window may note; the one that has the record open brings it in. The reading stands in
// nobody's way.
function inTurn(act) {
  return (items) => {
    last = last.then(() => act(items)).catch(console.error);
  };
}
function lookIntoInbox() {
  const take = inTurn(async (items) => (await running)?.takeNoted(items));
  inboxItems().then(take).catch(console.error);
}
const windows = channelOf(INBOX);
if (windows) windows.onmessage = lookIntoInbox;
