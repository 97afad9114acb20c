// node snapshot.mjs JOB.json: starts Pyodide, imports the app and writes the whole memory.
// JOB: { pyodide, stdlib, archives: {path in the browser: file}, output, prepare: Python text,
//        environment, epoch }
import { readFileSync, writeFileSync } from "node:fs";
import { freezeChance, startPyodide } from "./common.mjs";

const job = JSON.parse(readFileSync(process.argv[2], "utf8"));
freezeChance(job.epoch);
const pyodide = await startPyodide(job.pyodide, job.environment, {
  _makeSnapshot: true,
  stdLibURL: job.stdlib,
});
for (const [path, file] of Object.entries(job.archives)) {
  pyodide.FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
  pyodide.FS.writeFile(path, readFileSync(file));
}
pyodide.runPython(job.prepare);

// Freed memory still holds its old bytes: megabytes of dead text that would be shipped.
// Take whatever free room the heap has, largest pieces first, clear it, give it back.
const module = pyodide._module;
const size = module.HEAPU8.length;
const taken = [];
fill: for (let piece = 1 << 22; piece >= 32; piece >>= 1) {
  for (;;) {
    const at = module._malloc(piece);
    if (at === 0) break;
    taken.push(at);
    if (module.HEAPU8.length > size) break fill; // nothing free is left below the old end
    module.HEAPU8.fill(0, at, at + piece);
    if (at + 2 * piece > size) break; // the last stretch, never used: go on with less
  }
}
for (const at of taken) module._free(at);

writeFileSync(job.output, pyodide.makeMemorySnapshot());
