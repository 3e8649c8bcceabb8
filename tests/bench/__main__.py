"""`python -m tests.bench NAME [options]`: one measurement; without a name, the list of them."""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Sequence
from pathlib import Path


def measurements() -> dict[str, str]:
    """Every measurement by name, with its first line."""
    found = {}
    for module in pkgutil.iter_modules([str(Path(__file__).parent)]):
        if module.name.startswith("_"):
            continue
        room = importlib.import_module(f"tests.bench.{module.name}")
        if hasattr(room, "run"):
            found[module.name] = (room.__doc__ or "").strip().splitlines()[0]
    return found


def main(argv: Sequence[str]) -> int:
    """Run one measurement; 2 for a name that is none."""
    name = argv[0] if argv else ""
    known = measurements()
    if name not in known:
        sys.stderr.write("python -m tests.bench NAME [options]\n\n")
        sys.stderr.writelines(f"  {known_name:<10} {what}\n" for known_name, what in known.items())
        return 0 if not name or name in ("-h", "--help") else 2
    importlib.import_module(f"tests.bench.{name}").run(argv[1:])
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
