"""Books in PostgreSQL are dumped by PostgreSQL's own program, where it is installed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

from sqlalchemy import make_url

from config.settings import child_environment
from tickets.problems import SetupProblem

PROGRAM = "pg_dump"


def dump_postgresql(url: str, file: Path) -> None:
    """Write a dump of the whole database, as it is at one moment, in the custom form that `pg_restore` reads.

    The password goes by the environment: arguments of programs can be seen by every user of the machine.
    Raises SetupProblem `no-pg-dump`, `pg-dump-failed`.
    """
    program = shutil.which(PROGRAM)
    if program is None:
        raise SetupProblem(
            "no-pg-dump",
            f"The books are in PostgreSQL, and its program {PROGRAM} is not on this machine.",
            "Install PostgreSQL's client programs (of the server's version or newer) and run it again.",
        )
    address = make_url(url)
    plain = address.set(drivername="postgresql", password=None).render_as_string(hide_password=False)
    own = {"PGPASSWORD": address.password} if address.password else {}
    command = [program, "--format=custom", "--no-password", f"--file={file}", f"--dbname={plain}"]
    done = subprocess.run(
        command,
        env=child_environment(own),
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    if done.returncode:
        said = " ".join(done.stderr.split())[:500]
        raise SetupProblem(
            "pg-dump-failed",
            f"{PROGRAM} could not dump the books: {said}",
            "Mend what it names; it must be of the server's version or newer.",
        )
