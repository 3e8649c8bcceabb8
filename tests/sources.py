"""The project's own source files as syntax trees, for the tests that keep the house in order."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("config", "tickets", "intake", "hotfolder_demo", "tests")


@dataclass(frozen=True)
class Import:
    """One imported name: its `module` and, for `from module import name`, that `name`."""

    module: str
    name: str
    line: int
    only_for_types: bool

    @property
    def top(self) -> str:
        """The package that it comes from: "os" for `os.path`."""
        return self.module.partition(".")[0]


@dataclass(frozen=True)
class Source:
    """One module: its dotted name, its path in the project, its text and its tree."""

    module: str
    path: str
    text: str

    @property
    def tree(self) -> ast.Module:
        """The syntax tree, parsed once."""
        return _parse(self.text)

    @property
    def imports(self) -> tuple[Import, ...]:
        """Every import, wherever in the module it stands."""
        return _imports(self.text, self.module, self.path.endswith("__init__.py"))

    @property
    def runtime_imports(self) -> tuple[Import, ...]:
        """The imports that happen when the module runs, those for type checking left out."""
        return tuple(i for i in self.imports if not i.only_for_types)

    def calls(self) -> Iterator[tuple[str, ast.Call]]:
        """Every call with the dotted name of what is called, as far as that is written out."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Call):
                yield dotted(node.func), node

    def names(self) -> Iterator[tuple[str, int]]:
        """Every dotted name that is read or called, with its line: "os.environ" among them."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Attribute | ast.Name):
                yield dotted(node), node.lineno

    def strings(self) -> Iterator[tuple[str, int]]:
        """Every string that is no docstring, with its line."""
        docs = {id(d) for d in _docstrings(self.tree)}
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
                yield node.value, node.lineno


def dotted(node: ast.AST) -> str:
    """`a.b.c` as it is written; an unnamed beginning, such as a call, is left out: `.c`."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}"
    return ""


@cache
def all_sources(*packages: str) -> tuple[Source, ...]:
    """The modules of these packages (all when none is named), in order of their paths."""
    found = (p for name in packages or PACKAGES for p in sorted((ROOT / name).rglob("*.py")))
    return tuple(read_source(p) for p in found if "__pycache__" not in p.parts)


def read_source(path: Path) -> Source:
    """One module of the project by its path."""
    inside = path.relative_to(ROOT)
    parts = inside.with_suffix("").parts
    module = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
    return Source(module, inside.as_posix(), path.read_text("utf-8"))


def belongs(module: str, rooms: tuple[str, ...] | dict[str, str]) -> bool:
    """Whether a module is one of these or lies inside one of them."""
    return any(module == room or module.startswith(f"{room}.") for room in rooms)


@cache
def _parse(text: str) -> ast.Module:
    return ast.parse(text)


@cache
def _imports(text: str, module: str, is_package: bool) -> tuple[Import, ...]:
    tree = _parse(text)
    for_types = {id(n) for block in ast.walk(tree) if _is_for_types(block) for n in ast.walk(block)}
    found: list[Import] = []
    for node in ast.walk(tree):
        late = id(node) in for_types
        if isinstance(node, ast.Import):
            found += [Import(alias.name, "", node.lineno, late) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            origin = _origin(node, module, is_package)
            found += [Import(origin, alias.name, node.lineno, late) for alias in node.names]
    return tuple(found)


def _is_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and dotted(node.test) in ("TYPE_CHECKING", "typing.TYPE_CHECKING", "MYPY")


def _origin(node: ast.ImportFrom, module: str, is_package: bool) -> str:
    if not node.level:
        return node.module or ""
    base = module.split(".")[: len(module.split(".")) - node.level + is_package]
    return ".".join([*base, *([node.module] if node.module else [])])


def _docstrings(tree: ast.Module) -> Iterator[ast.Constant]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield first.value
