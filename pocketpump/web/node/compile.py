"""Runs inside Pyodide under Node: /source/**.py becomes /target/**.pyc.

Docstrings are stripped: the browser shows none, and they are a good part of both the
archive and the memory snapshot. In the place of each stands ".", because a dataclass without
a docstring computes one from its signature.
"""

import ast
import importlib.util
import marshal
from pathlib import Path
from types import CodeType

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


def without_signature_types(tree: ast.Module) -> ast.Module:
    """Return the tree without the annotations of parameters and results.

    Each annotated function would carry a second piece of code that gives them, and only
    ``functools.singledispatch`` asks. Those of a class's fields stay: dataclasses are made
    of them.
    """
    for node in ast.walk(tree):
        if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            continue
        if any(
            isinstance(part, ast.Attribute) and part.attr == "register"
            for decorator in node.decorator_list
            for part in ast.walk(decorator)
        ):
            continue
        node.returns = None
        given = node.args
        for one in (*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg):
            if one is not None:
                one.annotation = None
    return tree


def without_lines(code: CodeType) -> CodeType:
    """Return ``code`` without the table that leads from bytecode to line numbers."""
    inner = (without_lines(c) if isinstance(c, CodeType) else c for c in code.co_consts)
    return code.replace(co_linetable=b"", co_consts=tuple(inner))


for path in sorted(SOURCE.rglob("*.py")):
    inside = path.relative_to(SOURCE)
    source = path.read_bytes()
    tree = without_signature_types(without_docstrings(ast.parse(source, str(inside))))
    # 1: without assertions, which here only tell the type checker what is known.
    code = compile(tree, str(inside), "exec", dont_inherit=True, optimize=1)
    if inside.parts[0] != "pocketpump":  # a traceback need only tell the line in our own code
        code = without_lines(code)
    target = TARGET / inside.with_suffix(".pyc")
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(HEADER + importlib.util.source_hash(source) + marshal.dumps(code))
