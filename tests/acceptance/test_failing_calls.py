"""The Nth system call on the shop folder fails, SQLite's own included, and nothing is lost or taken twice.

The method is SQLite's own (sqlite.org/testing.html, 3.2 to 3.4): let the first call fail, then the second,
and so on until a pass is clean. Here a sample of the calls; all with `python -m tests.bench calls`.
"""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from intake.shop import make_shop, open_shop
from tests.acceptance.campaign import SETTINGS
from tests.intake.shops import as_file, order, png
from tickets.ledger.audit import audit
from tickets.lookup import list_orders

SOURCE = Path(__file__).with_name("failing_calls.c")
ERRNOS = (errno.EIO, errno.ENOSPC, errno.EACCES)
WORDS_FOR_A_BUG = "unexpected: filmdocket has met"


@dataclass(frozen=True)
class Pass:
    """What became of one pass: the exit status, what was said, how many calls there were."""

    status: int
    said: str
    calls: int


class Trial:
    """One shop with one order in its inbox, and a daemon whose calls fail as told."""

    def __init__(self, shim: Path, folder: Path) -> None:
        self.folder, self._shim = folder, shim
        make_shop(folder)
        (folder / "shop.toml").write_text(SETTINGS, encoding="utf-8")
        item = {"artwork": "art.png", "width_mm": 2, "quantity": 4}
        self._files = {"art.png": png(3, 24), "order.json": as_file(order("IO-1", items=[item]))}
        for name, content in self._files.items():
            (folder / "inbox" / name).write_bytes(content)

    def run(self, nth: int, number: int = 0, *, lasts: bool = False) -> Pass:
        """One `watch --once`; the Nth call fails (0: none), and with `lasts` every later one."""
        count = self.folder.parent / f"{self.folder.name}.count"
        told = {"FAIL_UNDER": str(self.folder), "FAIL_NTH": str(nth), "FAIL_ERRNO": str(number)}
        told |= {"FAIL_LASTS": str(int(lasts)), "FAIL_COUNT": str(count), "LD_PRELOAD": str(self._shim)}
        done = subprocess.run(
            [sys.executable, "-m", "intake.cli", "watch", "--once", "--shop", str(self.folder)],
            env={**os.environ, **told},
            capture_output=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
        return Pass(done.returncode, done.stdout + done.stderr, int(count.read_text() or 0))

    def audit_bytes(self) -> None:
        """Promise 1: what was dropped lies in the inbox, or whole in originals."""
        for name, content in self._files.items():
            sha256 = hashlib.sha256(content).hexdigest()
            places = (self.folder / "inbox" / name, self.folder / "originals" / sha256[:2] / sha256)
            whole = [p for p in places if p.is_file() and p.read_bytes() == content]
            assert whole, f"{name} is lost"

    def audit_books(self) -> None:
        """Promises 2 and 5: the order is there once, with one ticket and its paper."""
        with open_shop(self.folder) as shop:
            assert audit(shop.store) == []
            (found,) = list_orders(shop.store, shop.settings)
        (ticket,) = found.as_json()["tickets"]
        assert (self.folder / "papers" / "IO-1" / f"{ticket['code']}.pdf").is_file()


@pytest.fixture(scope="session")
def shim(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library that makes calls fail, compiled here."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if not sys.platform.startswith("linux") or compiler is None:
        pytest.skip("making system calls fail needs Linux and a C compiler")
    built = tmp_path_factory.mktemp("shim") / "failing_calls.so"
    subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", str(built), str(SOURCE), "-ldl"], check=True)
    return built


@pytest.fixture(scope="session")
def calls(shim: Path, tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many calls a pass in peace makes."""
    counted = Trial(shim, tmp_path_factory.mktemp("counting") / "shop").run(0).calls
    assert counted > 50
    return counted


def try_call(shim: Path, folder: Path, nth: int, *, lasts: bool) -> Pass:
    """One failing call, then a pass in peace; every promise audited. Answers with the failing pass."""
    trial = Trial(shim, folder)
    failed = trial.run(nth, ERRNOS[nth % len(ERRNOS)], lasts=lasts)
    trial.audit_bytes()
    assert WORDS_FOR_A_BUG not in failed.said, failed.said
    healed = trial.run(0)
    assert healed.status == 0, healed.said
    trial.audit_bytes()
    trial.audit_books()
    return failed


@pytest.mark.slow
@pytest.mark.parametrize("lasts", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("share", [at / 12 for at in range(12)])
def test_whichever_call_fails_nothing_is_lost_and_the_next_pass_finishes(
    shim: Path, calls: int, tmp_path: Path, share: float, lasts: bool
) -> None:
    """EIO, ENOSPC or EACCES: said in words, no byte lost, and in peace the order gets its ticket."""
    try_call(shim, tmp_path / "shop", 1 + int(share * calls), lasts=lasts)
