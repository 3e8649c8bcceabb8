"""The rules of the house as functions: each looks at one module's source and names what breaks it."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterator

from tests.sources import Source, belongs

# What each package may import of the project. Never upwards.
ARROWS = {
    "config": {"config"},
    "tickets": {"config", "tickets"},
    "intake": {"config", "tickets", "intake"},
    "hotfolder_demo": {"config", "tickets", "intake", "hotfolder_demo"},
    "tests": {"config", "tickets", "intake", "hotfolder_demo", "tests"},
}

# Plain values in, plain values out: no files, no database, no clock, no environment.
PURE = (
    "tickets.route",
    "tickets.pieces",
    "tickets.standing",
    "tickets.search.terms",
    "tickets.search.question",
    "tickets.places",
    "tickets.plans",
    "tickets.folding",
    "tickets.wording_floor",
    "tickets.wording_books",
    "tickets.wording_change",
    "tickets.wording_drop",
    "tickets.wording_dispatch",
    "tickets.layouts",
    "tickets.wording_people",
    "tickets.wording_progress",
    "tickets.wording_papers",
    "tickets.wording_promise",
    "tickets.wording_risk",
    "tickets.wording_route",
    "tickets.german",
    "tickets.wording_mends",
    "tickets.wording_messages",
    "tickets.packing",
    "tickets.wording_packing",
    "tickets.wording_parcels",
    "tickets.parcels",
    "tickets.sscc",
    "tickets.wording_telling",
    "intake.letters.specimens",
    "tickets.wording_pages",
    "tickets.wording_history",
    "tickets.wording_where",
    "tickets.order_facts",
    "tickets.search.slips",
    "tickets.codes",
    "tickets.problems",
    "tickets.wording",
    "tickets.requests",
    "tickets.forecast",
    "tickets.film",
    "tickets.cost",
    "tickets.wording_cost",
    "tickets.wording_film",
    "tickets.wording_film_choices",
    "tickets.wording_film_file",
    "tickets.wording_film_pages",
    "tickets.wording_film_spoiling",
    "tickets.wording_sizes",
    "intake.facts",
    "intake.order",
    "intake.order.draft",
    "intake.order.errors",
    "intake.order.fields",
    "intake.order.text",
    "intake.inbox.ignoring",
    "intake.inbox.matching",
    "intake.naming",
    "intake.inbox.settling",
    "intake.checks",
    "intake.measure",
    "intake.repairs",
    "intake.german",
)
# Settings are plain frozen values; those who load them are not.
PURE_MAY_ALSO_IMPORT = (
    "config.settings",
    "config.settings_cost",
    "config.settings_line",
    "config.currencies",
    "tickets.languages",  # it loads nothing but the words of a language that is spoken
)
LOADERS = {"load_settings", "find_shop_dir", "fault_point"}
IMPURE = {
    *(
        "os",
        "pathlib",
        "shutil",
        "tempfile",
        "glob",
        "io",
        "mmap",
        "fcntl",
        "sqlite3",
        "sqlalchemy",
        "sqlmodel",
    ),
    *(
        "alembic",
        "psycopg",
        "time",
        "sched",
        "signal",
        "subprocess",
        "multiprocessing",
        "threading",
        "asyncio",
    ),
    *(
        "concurrent",
        "socket",
        "ssl",
        "urllib",
        "http",
        "smtplib",
        "logging",
        "secrets",
        "platform",
        "getpass",
    ),
    *("sys", "ctypes", "psutil", "filelock", "watchdog", "typer", "rich", "importlib"),
}
# Bands are looked at while the next is decoded: threads share the work, and what goes in and out is plain.
SHARES_WORK = {"intake.measure": {"threading", "concurrent", "queue"}}
# The values of these modules are plain; only what touches the world is kept out.
PURE_NAMES = {"pathlib": {"PurePath", "PurePosixPath", "PureWindowsPath"}, "io": {"BytesIO", "StringIO"}}
WORLDLY_CALLS = r"^(open|input|print|exec|eval)$|(^|\.)(datetime|date)\.(now|utcnow|today)$"

ENVIRONMENT = ("config.settings", "config.settings_messages", "config.bootstrap")
CONNECTS = ("tickets.store", "tickets.migrations")
SEARCH_WRITES = ("tickets.search.index", "tickets.search.schema")  # the index, for the ledger
WRITES = ("tickets.ledger", "tickets.store", "tickets.migrations", *SEARCH_WRITES)

DECODERS = {
    "PIL",
    "cv2",
    "pypdf",
    "pypdfium2",
    "pyvips",
    "tifffile",
    "imageio",
    "skia",
    "pi_heif",
    "resvg_py",
    "pikepdf",
}
MAY_DECODE = {
    "intake.reading": "the one place where strangers' files are opened, inside the sandbox",
    "intake.measure": "OpenCV's arithmetic on arrays; it opens no file",
    "intake.repairs": "OpenCV's arithmetic on arrays, as the measuring; it opens no file",
    "tickets.film.outlining": "OpenCV's arithmetic on arrays of coverage; it opens no file",
    "intake.chart": "draws the soft ramp of the test print; it opens no file",
    "intake.preflight": "encodes the small picture of the art, inside the sandbox",
    "intake.report": "draws findings over that small picture, which the project itself encoded",
    "intake.specimens": "draws the specimens that doctor and the tests have opened",
    "tickets.paper": "places that small picture on the ticket, and draws the QR code",
    "hotfolder_demo": "draws artwork and renders the tickets to be looked at",
    "tests": "draws test files and opens what was made, to see that it is right",
}
MEASURING_IMPORTS = {"numpy", "cv2", "scipy"}

MOST_LINES, MOST_FUNCTION_LINES, DEEPEST_NESTING = 400, 50, 3
VAGUE_NAMES = {
    "utils",
    "util",
    "helpers",
    "helper",
    "common",
    "manager",
    "misc",
    "data",
    "info",
    "process",
    "handle",
}

Rule = Callable[[Source], Iterator[str]]


def breaks_an_arrow(source: Source) -> Iterator[str]:
    """Imports of a package that this one must not know."""
    own = source.module.partition(".")[0]
    for found in source.imports:
        if found.top in ARROWS and found.top not in ARROWS[own]:
            yield f"{source.path}:{found.line} imports {found.module}: {own} must not know {found.top}"


def is_impure(source: Source) -> Iterator[str]:
    """What a pure module must not touch."""
    if not belongs(source.module, PURE):
        return
    shared = {top for room, tops in SHARES_WORK.items() if belongs(source.module, (room,)) for top in tops}
    for found in source.runtime_imports:
        if found.top in IMPURE - shared and found.name not in PURE_NAMES.get(found.module, ()):
            yield f"{source.path}:{found.line} is pure and imports {found.module} {found.name}"
        inside = f"{found.module}.{found.name}"
        if found.top in ARROWS and not belongs(inside, (*PURE, *PURE_MAY_ALSO_IMPORT)):
            yield f"{source.path}:{found.line} is pure and imports {inside}, which is not"
        if found.name in LOADERS:
            yield f"{source.path}:{found.line} is pure and loads settings"
    has_dice = any(found.module == "random" and not found.name for found in source.runtime_imports)
    for name, call in source.calls():
        is_thrown = has_dice and re.match(r"random\.(?!Random$)", name)  # dice are handed in
        if is_thrown or re.search(WORLDLY_CALLS, name):
            yield f"{source.path}:{call.lineno} is pure and calls {name}()"


def reads_the_environment(source: Source) -> Iterator[str]:
    """The environment is read by the settings and the bootstrap; everybody else is handed what it says."""
    if belongs(source.module, (*ENVIRONMENT, "tests")):
        return
    for name, line in source.names():
        if re.fullmatch(r"(os\.)?(environb?|getenvb?|putenv)", name):
            yield f"{source.path}:{line} reads the environment ({name})"


def connects(source: Source) -> Iterator[str]:
    """Only the store opens a database."""
    if belongs(source.module, (*CONNECTS, "tests")):
        return
    for name, call in source.calls():
        if re.search(
            r"(^|\.)(create_engine|engine_from_config|create_async_engine)$|^(sqlite3|psycopg)\.", name
        ):
            yield f"{source.path}:{call.lineno} connects by itself ({name})"
    for found in source.runtime_imports:
        if found.top in ("sqlite3", "psycopg"):
            yield f"{source.path}:{found.line} imports {found.top}"


def writes_the_books(source: Source) -> Iterator[str]:
    """Only the ledger changes a job."""
    if belongs(source.module, (*WRITES, "tests")):
        return
    for found in source.runtime_imports:
        if found.top in ("sqlalchemy", "sqlmodel") and found.name in ("insert", "update", "delete"):
            yield f"{source.path}:{found.line} imports {found.name} of {found.module}"
    for name, call in source.calls():
        if re.search(r"session\.(add|add_all|delete|merge|commit|flush|bulk_\w+)$", name, re.I):
            yield f"{source.path}:{call.lineno} writes: {name}()"
    for text, line in source.strings():
        if re.match(r"\s*(INSERT INTO|REPLACE INTO|UPDATE \w+ SET|DELETE FROM|DROP|ALTER|CREATE) ", text):
            yield f"{source.path}:{line} writes SQL: {text.strip()[:40]}"


def opens_pictures(source: Source) -> Iterator[str]:
    """Decoders meet strangers' files in the sandbox and nowhere else."""
    if belongs(source.module, MAY_DECODE):
        return
    for found in source.imports:
        if found.top in DECODERS and not found.only_for_types:
            yield f"{source.path}:{found.line} imports {found.top}"


def measures_with_more_than_arrays(source: Source) -> Iterator[str]:
    """Measuring knows arrays, the standard library and the facts, and no decoder."""
    if not belongs(source.module, ("intake.measure", "intake.repairs")):
        return
    for found in source.runtime_imports:
        foreign = found.top not in MEASURING_IMPORTS and _is_installed_package(found.top)
        if foreign or (found.module == "cv2" and found.name.startswith("im")):
            yield f"{source.path}:{found.line} imports {found.module} {found.name}"
    for name, call in source.calls():
        if name.startswith("cv2.im"):
            yield f"{source.path}:{call.lineno} calls {name}(): files are opened by reading"


def _is_installed_package(top: str) -> bool:
    return top not in sys.stdlib_module_names and top not in ARROWS


def is_too_long(source: Source) -> Iterator[str]:
    """Modules stop at 400 lines, functions at 50."""
    lines = source.text.count("\n")
    if lines > MOST_LINES:
        yield f"{source.path} has {lines} lines, {MOST_LINES} at most"
    for node in ast.walk(source.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            length = (node.end_lineno or 0) - node.lineno + 1
            if length > MOST_FUNCTION_LINES:
                most = MOST_FUNCTION_LINES
                yield f"{source.path}:{node.lineno} {node.name}() has {length} lines, {most} at most"


def is_too_deep(source: Source) -> Iterator[str]:
    """Nesting stops at three."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            depth = _depth(node)
            if depth > DEEPEST_NESTING:
                most = DEEPEST_NESTING
                yield f"{source.path}:{node.lineno} {node.name}() nests {depth} deep, {most} at most"


def _depth(node: ast.AST) -> int:
    """How deep blocks stand inside one another; `elif` is as deep as its `if`, inner functions count anew."""
    deepest = 0
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef | ast.Lambda):
            continue
        is_block = isinstance(child, ast.If | ast.For | ast.While | ast.With | ast.Try | ast.Match)
        is_elif = isinstance(node, ast.If) and isinstance(child, ast.If) and node.orelse == [child]
        deepest = max(deepest, _depth(child) + (is_block and not is_elif))
    return deepest


def is_vague(source: Source) -> Iterator[str]:
    """No room is named after nothing, and each opens with what it is."""
    vague = VAGUE_NAMES & set(source.module.split("."))
    if vague and source.path != "tests/data/__init__.py":
        yield f"{source.path} is named {vague.pop()}"
    has_code = any(not isinstance(n, ast.Expr) for n in source.tree.body)
    if has_code and not ast.get_docstring(source.tree):
        yield f"{source.path} does not open with a docstring"


RULES: tuple[Rule, ...] = (
    breaks_an_arrow,
    is_impure,
    reads_the_environment,
    connects,
    writes_the_books,
    opens_pictures,
    measures_with_more_than_arrays,
    is_too_long,
    is_too_deep,
    is_vague,
)
