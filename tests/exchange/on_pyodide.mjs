// Runs a Python file in the Pyodide that flet-web ships, under Node, as the browser would.
// node on_pyodide.mjs PYODIDE_FOLDER SCRIPT WORK_FOLDER PYTHON_PATH...
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [pyodideFolder, script, work, ...paths] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(join(pyodideFolder, "pyodide.mjs")).href);
const pyodide = await loadPyodide({ indexURL: pyodideFolder + "/" });
for (const [number, path] of [work, ...paths].entries()) {
  pyodide.FS.mkdirTree(`/mount${number}`);
  pyodide.FS.mount(pyodide.FS.filesystems.NODEFS, { root: path }, `/mount${number}`);
}
pyodide.runPython(`
import sys
sys.dont_write_bytecode = True
sys.path += [${paths.map((_, number) => `"/mount${number + 1}"`).join(",")}]
`);
await pyodide.runPythonAsync(readFileSync(script, "utf8"));
