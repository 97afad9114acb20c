"""Runs inside Pyodide under Node: /source/**.py becomes /target/**.pyc.

Docstrings are stripped: the browser shows none, and they are a good part of both the
archive and the memory snapshot. Each leaves a full stop behind, because an *absent*
docstring would make every dataclass compute one from its signature.
"""

import ast
import importlib.util
import marshal
from pathlib import Path

SOURCE, TARGET = Path("/source"), Path("/target")
HEADER = importlib.util.MAGIC_NUMBER + (1).to_bytes(4, "little")  # 1: hash-based, unchecked


def without_docstrings(tree: ast.Module) -> ast.Module:
    """Return the tree with the text of every docstring reduced to a full stop."""
    for node in ast.walk(tree):
        if not isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)):
            continue
        first = node.body[0] if node.body else None
        if (
            isinstance(first, ast.Expr)
            and isinstance(first.value, ast.Constant)
            and isinstance(first.value.value, str)
        ):
            first.value.value = "."
    return tree


for path in sorted(SOURCE.rglob("*.py")):
    inside = path.relative_to(SOURCE)
    source = path.read_bytes()
    tree = without_docstrings(ast.parse(source, str(inside)))
    code = compile(tree, str(inside), "exec", dont_inherit=True, optimize=0)
    target = TARGET / inside.with_suffix(".pyc")
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(HEADER + importlib.util.source_hash(source) + marshal.dumps(code))
