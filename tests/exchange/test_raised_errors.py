"""A public function that raises an error by itself names it in its docstring."""

import ast
import builtins
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "pocketpump"
ROOMS = ("core", "record", "exchange", "cli")
TREES = {
    path.relative_to(PACKAGE.parent).as_posix(): ast.parse(path.read_text())
    for room in ROOMS
    for path in sorted((PACKAGE / room).rglob("*.py"))
}
NODES = [node for tree in TREES.values() for node in ast.walk(tree)]


def last_name(node: ast.AST | None) -> str:
    """Return "Error" of ``Error``, ``Error(…)`` and ``module.Error(…)``."""
    node = node.func if isinstance(node, ast.Call) else node
    return getattr(node, "id", getattr(node, "attr", ""))


BASES = {
    node.name: [last_name(base) for base in node.bases]
    for node in NODES
    if isinstance(node, ast.ClassDef)
}
MADE_BY = {
    node.name: last_name(node.returns)
    for node in NODES
    if isinstance(node, ast.FunctionDef) and last_name(node.returns).endswith("Error")
}


def with_ancestors(name: str) -> set[str]:
    if name in BASES:
        return {name}.union(*map(with_ancestors, BASES[name]))
    known = getattr(builtins, name, None)
    return {cls.__name__ for cls in known.__mro__} if isinstance(known, type) else {name}


def caught(handler: ast.ExceptHandler) -> set[str]:
    if any(isinstance(node, ast.Raise) and node.exc is None for node in ast.walk(handler)):
        return set()
    kinds = handler.type.elts if isinstance(handler.type, ast.Tuple) else [handler.type]
    return {last_name(kind) for kind in kinds}


def escaping(node: ast.AST) -> set[str]:
    """Return the names of the errors raised at or under ``node`` and not caught there."""
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda | ast.ClassDef):
        return set()
    if isinstance(node, ast.Raise):
        name = last_name(node.exc)
        name = MADE_BY.get(name, name)
        return {name} if name[:1].isupper() else set()
    if isinstance(node, ast.Try):
        held = set[str]().union(*map(caught, node.handlers))
        tried = set[str]().union(*map(escaping, node.body))
        beside = [*node.handlers, *node.orelse, *node.finalbody]
        return {name for name in tried if not with_ancestors(name) & held}.union(
            *map(escaping, beside)
        )
    return set[str]().union(*map(escaping, ast.iter_child_nodes(node)))


def public_functions(node: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for child in ast.iter_child_nodes(node):
        public = not getattr(child, "name", "_").startswith("_")
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef) and public:
            yield child
        elif isinstance(child, ast.If) or (isinstance(child, ast.ClassDef) and public):
            yield from public_functions(child)


def unnamed(source: ast.AST) -> dict[str, set[str]]:
    return {
        function.name: missing
        for function in public_functions(source)
        if (
            missing := {
                name
                for name in set[str]().union(*map(escaping, function.body))
                if name not in (ast.get_docstring(function) or "")
            }
        )
    }


def test_every_error_that_a_public_function_raises_is_named_in_its_docstring():
    missing = {path: unnamed(tree) for path, tree in TREES.items()}
    assert {path: found for path, found in missing.items() if found} == {}


def test_what_counts_as_raised():
    source = '''
def named():
    """Raises `InputError`."""
    raise InputError("")
def by_base():
    try:
        raise InputError("")
    except ValueError:
        return
def said():
    try:
        raise InputError("")
    except ValueError:
        raise BackupError("") from None
def again():
    try:
        raise errors.InputError("")
    except ValueError:
        raise
def outer():
    def reader():
        raise InputError("")
def _own():
    raise InputError("")
class _Own:
    def act(self):
        raise InputError("")
class Shown:
    def act(self):
        raise refused(error)
'''
    assert unnamed(ast.parse(source)) == {
        "said": {"BackupError"},
        "again": {"InputError"},
        "act": {"RecordError"},
    }
