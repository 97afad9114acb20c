// Handles for a browser that has none that write at once (WebKitGTK): the bytes are in memory
// and go to IndexedDB with each flush, a flush being one transaction, so that all of it is kept
// or nothing. Python cannot wait for that. So the worker holds back all it would tell the page
// until what was flushed is kept: nothing is called saved before it is.
function openParts(name) {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => request.result.createObjectStore("parts");
  return answered(request);
}

// Another window, or the page before this one, still has the files.
class Busy extends Error {}

// One window at a time, for as long as the worker lives; asking again is answered alike.
let alone = false;
async function aloneHere(name) {
  alone ||= await new Promise((resolve, reject) => {
    navigator.locks.request(name, { ifAvailable: true }, (lock) => {
      resolve(Boolean(lock));
      return lock ? new Promise(() => {}) : undefined;
    }).catch(reject);
  });
  if (!alone) throw new Busy("another window has it");
}

// `hold()` gives the promise of all that was flushed so far.
async function lateHandles(database, names) {
  const store = (mode) => {
    const transaction = database.transaction("parts", mode, { durability: "strict" });
    return [transaction, transaction.objectStore("parts")];
  };
  let kept = Promise.resolve();

  const [, parts] = store("readonly");
  const [keys, values] = await Promise.all([
    answered(parts.getAllKeys()), answered(parts.getAll()),
  ]);
  const found = new Map(keys.map((key, at) => [key, values[at]]));

  function handle(name) {
    let size = found.get(`${name}/size`) ?? 0;
    let bytes = new Uint8Array(Math.ceil(size / PART) * PART);
    for (let part = 0; part * PART < size; part += 1) {
      bytes.set(found.get(`${name}/${part}`), part * PART);
    }
    const touched = new Set();
    const touch = (from, to) => {
      for (let part = Math.floor(from / PART); part * PART < to; part += 1) touched.add(part);
    };
    function resize(wanted) {
      if (wanted > bytes.length) {
        const larger = new Uint8Array(Math.ceil((2 * wanted) / PART) * PART);
        larger.set(bytes.subarray(0, size));
        bytes = larger;
      }
      bytes.fill(0, Math.min(wanted, size), Math.max(wanted, size));
      touch(Math.min(wanted, size), Math.max(wanted, size));
      size = wanted;
    }
    return {
      read(view, { at = 0 } = {}) {
        const part = bytes.subarray(at, Math.min(size, at + view.byteLength));
        view.set(part);
        return part.length;
      },
      write(view, { at = 0 } = {}) {
        const end = at + view.byteLength;
        if (end > size) resize(end);
        bytes.set(view, at);
        touch(at, end);
        return view.byteLength;
      },
      truncate: resize,
      getSize: () => size,
      flush() {
        if (!touched.size) return;
        const parts = [...touched].map((part) => [
          `${name}/${part}`, part * PART < size && bytes.slice(part * PART, (part + 1) * PART),
        ]);
        const now = size;
        touched.clear();
        // One after the other, and none after one that failed: a file is freed only when what
        // takes its place is kept.
        kept = kept.then(() => new Promise((resolve, reject) => {
          const [transaction, to] = store("readwrite");
          transaction.oncomplete = resolve;
          transaction.onabort = () => reject(transaction.error);
          for (const [key, part] of parts) {
            if (part) to.put(part, key);
            else to.delete(key);
          }
          to.put(now, `${name}/size`);
        }));
        kept.catch(() => {}); // whoever waits for it is told
      },
      close() {},
    };
  }
  return { handles: names.map(handle), hold: () => kept };
}

// When the browser has learnt to write at once, what was kept here moves to the handles that
// do. Cut off on the way, it begins again: the database goes last.
async function bringOver(name, names, handles) {
  let there;
  try {
    there = (await indexedDB.databases?.()) ?? [];
  } catch (error) {
    if (handles.some((handle) => handle.getSize())) return;
    throw error;
  }
  if (!there.some((one) => one.name === name)) return;
  await aloneHere(name);
  const database = await openParts(name);
  const late = await lateHandles(database, names);
  // One that was never written to holds nothing that could take the place of anything.
  const holds = late.handles.some((handle) => handle.getSize());
  if (holds) late.handles.forEach((from, at) => {
    const bytes = new Uint8Array(from.getSize());
    from.read(bytes);
    handles[at].truncate(0);
    if (handles[at].write(bytes, { at: 0 }) !== bytes.length) throw new Error("no room");
    handles[at].flush();
  });
  database.close();
  await answered(indexedDB.deleteDatabase(name));
}
