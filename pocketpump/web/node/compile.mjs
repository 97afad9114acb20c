// node compile.mjs JOB.json: compiles every .py of a folder to bytecode for Pyodide's Python.
// JOB: { pyodide, source, target }
import { readFileSync } from "node:fs";
import { freezeChance, startPyodide } from "./common.mjs";

const job = JSON.parse(readFileSync(process.argv[2], "utf8"));
freezeChance(315532800);
const pyodide = await startPyodide(job.pyodide);
for (const [place, root] of [["/source", job.source], ["/target", job.target]]) {
  pyodide.FS.mkdir(place);
  pyodide.FS.mount(pyodide.FS.filesystems.NODEFS, { root }, place);
}
pyodide.runPython(readFileSync(new URL("compile.py", import.meta.url), "utf8"));
