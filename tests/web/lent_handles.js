// WebKitGTK has no synchronous access handles ("Backend does not support this operation"),
// Safari has. So that the rest can be tried in WebKit's engine, it is lent handles that keep
// their bytes in IndexedDB. Nothing is proved by them about what a flush is worth.
{
  const done = (request) =>
    new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
  const opened = (() => {
    const request = indexedDB.open("lent", 1);
    request.onupgradeneeded = () => request.result.createObjectStore("files");
    return done(request);
  })();
  const files = async (mode) => (await opened).transaction("files", mode).objectStore("files");
  FileSystemFileHandle.prototype.createSyncAccessHandle = async function () {
    let bytes = (await done((await files("readonly")).get(this.name))) ?? new Uint8Array(0);
    const resize = (size) => {
      const wanted = new Uint8Array(size);
      wanted.set(bytes.subarray(0, Math.min(size, bytes.length)));
      bytes = wanted;
    };
    return {
      read(view, { at = 0 } = {}) {
        const part = bytes.subarray(at, at + view.byteLength);
        view.set(part);
        return part.length;
      },
      write(view, { at = 0 } = {}) {
        if (at + view.byteLength > bytes.length) resize(at + view.byteLength);
        bytes.set(view, at);
        return view.byteLength;
      },
      truncate: resize,
      getSize: () => bytes.length,
      flush: () => files("readwrite").then((store) => store.put(bytes.slice(), this.name)),
      close() {},
    };
  };
}
