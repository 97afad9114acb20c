// The worker's part that loads Pyodide and the files it needs; runs after the start of worker.js.

// What a browser throws for a file that does not come, or comes as something else.
const isMissing = (error) =>
  [TypeError, SyntaxError, WebAssembly.CompileError].some((kind) => error instanceof kind);

// A network that wants a password first answers everything with its own page.
function holdToFile(path, status, type) {
  if (status !== 200) throw new TypeError(`${path}: HTTP ${status}`);
  if (type?.startsWith("text/html")) throw new TypeError(`${path}: ${type}`);
}

async function fetched(path) {
  const response = await fetch(file(path));
  holdToFile(path, response.status, response.headers.get("content-type"));
  return response;
}

const bytesOf = async (path) => new Uint8Array(await (await fetched(path)).arrayBuffer());

async function snapshotBytes() {
  const response = await fetched(BUILD.snapshot.file);
  const clear = response.body.pipeThrough(new DecompressionStream("gzip"));
  return new Uint8Array(await new Response(clear).arrayBuffer());
}

const options = () => ({
  indexURL: file("pyodide/"),
  stdLibURL: file("python/stdlib.zip"),
  lockFileContents: { info: BUILD.lockInfo, packages: {} },
  packageBaseUrl: here,
  stdout: (text) => console.log(text),
  stderr: (text) => console.warn(text),
});

function writeArchive(pyodide, path, bytes) {
  pyodide.FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
  pyodide.FS.writeFile(path, bytes, { canOwn: true });
}

const INPUT_OUTPUT_ERROR = 29;

// All the app needs to start is in the snapshot, so the archives of modules need not be
// there first. They stand in the file system as files that fill themselves when somebody
// opens them: then, and only then, the worker waits for the answer.
function lateArchive(pyodide, path, source, mayMiss = false) {
  const { FS } = pyodide;
  writeArchive(pyodide, path, new Uint8Array(0));
  const { node } = pyodide.FS.lookupPath(path);
  const ordinary = node.stream_ops;
  const fill = (bytes) => {
    if (node.stream_ops === ordinary) return;
    node.stream_ops = ordinary;
    node.contents = bytes;
    node.usedBytes = bytes.length;
  };
  node.stream_ops = {
    ...ordinary,
    open() {
      if (node.stream_ops === ordinary) return;
      console.info(`PocketPump: ${source} is needed already`);
      try {
        const request = new XMLHttpRequest();
        request.open("GET", file(source), false);
        request.responseType = "arraybuffer";
        request.send();
        holdToFile(source, request.status, request.getResponseHeader("content-type"));
        fill(new Uint8Array(request.response));
      } catch (error) {
        if (!mayMiss) throw error;
        throw new FS.ErrnoError(INPUT_OUTPUT_ERROR); // Python goes on, with an OSError
      }
    },
  };
  return async () => {
    if (node.stream_ops !== ordinary) fill(await bytesOf(source));
  };
}

// What makes pages to print: no start waits for it.
const papersOf = (pyodide) => lateArchive(pyodide, "/app/papers.zip", "python/papers.zip", true);

// The snapshot file leaves out stretches of zeros, and stretches the fresh machine holds
// anyway because they are part of the wasm file. Put together, the sum has to be right.
function assemble(image, packed, fresh) {
  let at = 0;
  for (const [start, length, kind] of BUILD.snapshot.runs) {
    if (kind === 0) {
      image.set(packed.subarray(at, at + length), start);
      at += length;
    } else {
      const from = start - BUILD.snapshot.heapStart;
      image.set(fresh.subarray(from, from + length), start);
    }
  }
  if (at !== packed.length) throw new Error("the snapshot has the wrong length");
  const words = new Uint32Array(image.buffer);
  let sum = 0;
  for (let i = 0; i < words.length; i += 1) sum = (sum + words[i]) | 0;
  if (sum >>> 0 !== BUILD.snapshot.sum) throw new Error("the snapshot is damaged");
}

const machine = import(file("pyodide/pyodide.asm.mjs")); // beside the rest, not after it
machine.catch(() => {});

async function startFromSnapshot(loadPyodide, packed) {
  const zones = beside(bytesOf("python/tz.zip"));
  const image = new Uint8Array(BUILD.snapshot.size);
  const { default: createModule } = await machine;
  time("script");
  const pyodide = await loadPyodide({
    ...options(),
    stdLibURL: "data:,", // the real one comes when the app is on the screen
    _loadSnapshot: image,
    async createPyodideModule(settings) {
      const module = await createModule(settings);
      time("machine");
      const heap = BUILD.snapshot.size - BUILD.snapshot.heapStart;
      // Pyodide restores into memory of the size it happens to have; make it large enough.
      if (module.HEAPU8.length < heap) module.growMemory(heap);
      if (module.HEAPU8.length < heap) throw new Error("the memory could not be grown");
      const bytes = await packed;
      time("snapshot");
      assemble(image, bytes, module.HEAPU8);
      time("assembled");
      return module;
    },
  });
  time("restored");
  writeArchive(pyodide, "/app/tz.zip", await zones);
  const late = [
    lateArchive(pyodide, "/lib/python314.zip", "python/stdlib.zip"),
    lateArchive(pyodide, "/app/site.zip", "python/site.zip"),
  ];
  const settle = async () => {
    for (const arrive of late) await arrive();
  };
  return { pyodide, restored: true, settle, papers: papersOf(pyodide) };
}

async function startOrdinarily(loadPyodide) {
  const site = beside(bytesOf("python/site.zip"));
  const zones = beside(bytesOf("python/tz.zip"));
  const pyodide = await loadPyodide({ ...options(), env: BUILD.environment });
  writeArchive(pyodide, "/app/site.zip", await site);
  writeArchive(pyodide, "/app/tz.zip", await zones);
  const papers = papersOf(pyodide);
  pyodide.runPython(BUILD.prepare);
  return { pyodide, restored: false, papers };
}

// Pyodide keeps to itself that its machine does not come, and waits for it for ever.
let noMachine = null;
// What is needed beside the machine is not to be had either: that need not wait for it.
const beside = (fetching) => {
  fetching.catch((error) => noMachine?.(error));
  return fetching;
};
const instantiate = WebAssembly.instantiateStreaming;
WebAssembly.instantiateStreaming = (...given) => {
  const made = instantiate.apply(WebAssembly, given);
  made.catch((error) => noMachine?.(error));
  return made;
};
const unlessNoMachine = (start) =>
  Promise.race([start, new Promise((_, reject) => { noMachine = reject; })]);

async function startPython() {
  const packed = BUILD.snapshot ? snapshotBytes() : null;
  packed?.catch(() => {});
  const { loadPyodide } = await import(file("pyodide/pyodide.mjs"));
  if (BUILD.snapshot) {
    try {
      return await unlessNoMachine(startFromSnapshot(loadPyodide, packed));
    } catch (error) {
      console.warn(`PocketPump: starting without the snapshot: ${error}`);
    }
  }
  return unlessNoMachine(startOrdinarily(loadPyodide));
}
