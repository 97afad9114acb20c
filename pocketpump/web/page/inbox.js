// What was noted on the opening page and is not in the record yet: finished entries in a database
// beside the record's files, in the order they were noted. The page puts in, the worker hands all
// to Python and drops what Python has in the record; so it can come twice and is never lost.
const INBOX = "pocketpump-inbox";

// What the windows tell each other. Not every browser has it, or lets it.
function channelOf(name) {
  try {
    return new BroadcastChannel(name);
  } catch {
    return null;
  }
}

function openInbox() {
  const request = indexedDB.open(INBOX, 1);
  request.onupgradeneeded = () => request.result.createObjectStore("items", { autoIncrement: true });
  return answered(request);
}

// Done when all of it is on the device, not before.
async function changeInbox(change) {
  const database = await openInbox();
  try {
    await new Promise((resolve, reject) => {
      const transaction = database.transaction("items", "readwrite", { durability: "strict" });
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
      change(transaction.objectStore("items"));
    });
  } finally {
    database.close();
  }
}

const putInInbox = (item) => changeInbox((items) => items.add(item));

async function inboxItems() {
  const database = await databaseOf(INBOX);
  if (!database) return [];
  try {
    return await answered(database.transaction("items").objectStore("items").getAll());
  } finally {
    database.close();
  }
}

// Those with these ids; all of them without.
async function dropFromInbox(ids) {
  const database = await databaseOf(INBOX);
  if (!database) return;
  database.close();
  await changeInbox((items) => {
    if (!ids) {
      items.clear();
      return;
    }
    items.openCursor().onsuccess = ({ target: { result: cursor } }) => {
      if (!cursor) return;
      if (ids.includes(cursor.value.document?.id)) cursor.delete();
      cursor.continue();
    };
  });
}
