// What both build scripts share: a Pyodide under Node that behaves the same at every run.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

// A snapshot freezes whatever the interpreter saw. To get the same bytes from the same
// input, it sees a fixed time and a fixed source of chance; the worker mends both when it
// restores the snapshot in the browser.
export function freezeChance(seconds) {
  let state = 0x9e3779b9;
  const next = () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
  const fill = (view) => {
    const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
    for (let i = 0; i < bytes.length; i += 1) bytes[i] = Math.floor(next() * 256);
    return view;
  };
  Math.random = next;
  Date.now = () => seconds * 1000;
  performance.now = () => 1;
  Object.defineProperty(globalThis, "crypto", {
    value: { getRandomValues: fill, subtle: globalThis.crypto.subtle },
    configurable: true,
  });
}

export async function startPyodide(folder, environment = {}, options = {}) {
  // The interpreter takes its own name from here, and would carry the builder's folders along.
  process.argv[1] = "/pocketpump";
  const { loadPyodide } = await import(pathToFileURL(join(folder, "pyodide.mjs")).href);
  const lock = JSON.parse(readFileSync(join(folder, "pyodide-lock.json"), "utf8"));
  return loadPyodide({
    indexURL: folder,
    lockFileContents: { info: lock.info, packages: {} },
    packageBaseUrl: "https://invalid.invalid/",
    env: { ...environment, PYTHONHASHSEED: "0", PYTHONNODEBUGRANGES: "1" },
    stdout: (text) => console.error(text),
    stderr: (text) => console.error(text),
    ...options,
  });
}
