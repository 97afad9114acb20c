// Where what the app keeps is found without Python, by the page and the service worker: in the
// browser's private files or, in a browser whose files cannot write at once, in a database (see
// late_handles.js).
const PART = 65536;

const answered = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

// The database, if there is one: looking must not make it.
async function databaseOf(name) {
  const known = await indexedDB.databases?.();
  if (known && !known.some((one) => one.name === name)) return null;
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => request.transaction.abort();
  const database = await answered(request).catch((error) => {
    if (error?.name === "AbortError") return null;
    throw error;
  });
  // Never in the way of whoever moves or erases it.
  if (database) database.onversionchange = () => database.close();
  return database;
}

async function inDatabase(name, wanted) {
  const found = new Map();
  const database = await databaseOf(name);
  if (!database) return found;
  try {
    const parts = database.transaction("parts").objectStore("parts");
    const sizes = (await answered(parts.getAllKeys())).filter((key) => key.endsWith("/size"));
    for (const key of sizes) {
      const file = key.slice(0, -"/size".length);
      if (wanted && file !== wanted) continue;
      const size = await answered(parts.get(key));
      const pieces = [];
      for (let part = 0; part * PART < size; part += 1) {
        pieces.push(await answered(parts.get(`${file}/${part}`)));
      }
      found.set(file, new Blob(pieces).slice(0, size));
    }
  } finally {
    database.close();
  }
  return found;
}

async function inFolder(name, wanted) {
  const found = new Map();
  const root = await navigator.storage.getDirectory();
  try {
    const folder = await root.getDirectoryHandle(name);
    const names = wanted ? [wanted] : [];
    if (!wanted) for await (const one of folder.keys()) names.push(one);
    for (const one of names.sort()) {
      found.set(one, await (await folder.getFileHandle(one)).getFile());
    }
  } catch (error) {
    if (error.name !== "NotFoundError") throw error;
  }
  return found;
}

// Every file by its name, or `wanted` alone. What is in a database has not yet moved to better
// files, so it counts before these.
async function storedFiles(name, wanted) {
  const late = await inDatabase(name, wanted).catch(() => new Map());
  return late.size ? late : inFolder(name, wanted);
}
