// node run_pytest.mjs JOB.json: runs pytest inside Pyodide. JOB: { common, pyodide, mounts, arguments }
import { readFileSync } from "node:fs";

const job = JSON.parse(readFileSync(process.argv[2], "utf8"));
const { startPyodide } = await import(job.common);
const pyodide = await startPyodide(job.pyodide, {}, { stdout: (text) => console.log(text) });
for (const [place, root] of Object.entries(job.mounts)) {
  pyodide.FS.mkdirTree(place);
  pyodide.FS.mount(pyodide.FS.filesystems.NODEFS, { root }, place);
}
pyodide.globals.set("arguments", pyodide.toPy(job.arguments));
process.exitCode = pyodide.runPython(`
import sys
sys.dont_write_bytecode = True
sys.path[:0] = ["/site"]
import pytest
int(pytest.main(list(arguments)))
`);
