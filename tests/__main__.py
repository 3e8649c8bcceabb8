"""`python -m tests [pytest arguments]`: runs all tests that this machine can, and names the others."""

from __future__ import annotations

import sys

from config import bootstrap


def run(arguments: list[str]) -> int:
    """Run pytest on all cores unless told otherwise, and answer its exit status."""
    import pytest  # only here: up to this point there may be nothing but the standard library

    in_line = any(a.startswith(("-n", "--numprocesses", "--dist", "--pdb")) for a in arguments)
    return int(pytest.main([*([] if in_line else ["-n", "auto", "--dist", "worksteal"]), *arguments]))


if __name__ == "__main__":
    bootstrap.enter("tests", ("dev",))
    sys.exit(run(sys.argv[1:]))
