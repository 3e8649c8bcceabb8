"""The guided fuzzer's own process: `guided_child NAME SHOP CORPUS [libFuzzer options]`."""

from __future__ import annotations

import importlib
import sys

FOLLOWED = ["intake", "tickets", "json", "zipfile", "pydantic"]  # modules whose branches guide it


def main() -> None:
    """Follow the branches of what is imported from now on, and never come back."""
    import atheris

    name, shop_folder, *rest = sys.argv[1:]
    with atheris.instrument_imports(include=FOLLOWED):
        deed = importlib.import_module("tests.bench.guided_target").TARGETS[name]
    atheris.Setup([sys.argv[0], *rest], lambda content: deed(content, shop_folder))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
