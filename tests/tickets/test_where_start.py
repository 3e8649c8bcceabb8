"""`filmdocket where` answers without loading what it does not need."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from intake.shop import make_shop

HEAVY = {
    *("numpy", "cv2", "PIL", "pypdf", "pypdfium2", "pyvips", "reportlab", "qrcode", "uharfbuzz", "scipy"),
    *(
        "rich",
        "watchdog",
        "psutil",
        "alembic",
        "psycopg",
        "starlette",
        "uvicorn",
        "jinja2",
        "multiprocessing",
    ),
    *(
        "sqlmodel",
        "sqlalchemy.orm",
        "tickets.models",
        "tickets.ledger",
        "tickets.paper",
        "tickets.web",
        "tickets.lookup.due",
    ),
    *("intake.reading", "intake.measure", "intake.daemon", "intake.doctor"),
}
ASK = """
import json, sys
from intake.cli import main
status = main(["where", "otter", "bank", "--json", "--shop", sys.argv[1]])
print(json.dumps([status, sorted(sys.modules)]), file=sys.stderr)
"""


def test_where_loads_nothing_that_opens_measures_prints_or_serves(tmp_path: Path) -> None:
    """No numpy, OpenCV, PDF or web module, nor the tables' classes: the desk asks thirty times a day."""
    make_shop(tmp_path / "shop")
    done = subprocess.run(
        [sys.executable, "-c", ASK, str(tmp_path / "shop")], capture_output=True, text=True, check=True
    )
    status, modules = json.loads(done.stderr.splitlines()[-1])
    assert status == 0
    assert json.loads(done.stdout)["orders"] == []
    assert not HEAVY & set(modules)
