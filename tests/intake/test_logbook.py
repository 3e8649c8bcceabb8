"""The log: one line an event, each with its order, item or file, whatever a customer or a decoder wrote."""

from __future__ import annotations

import ast
import logging
import re
from pathlib import Path

import pytest

from intake import judging
from intake.judging import Judges
from intake.logbook import Line, about, kept_log
from tests.intake.shops import Bench, as_file, order, png
from tests.intake.test_daemon import StubSandbox, wait_for
from tests.sources import ROOT

HOSTILE = 'crest"\n2026-01-01 level=INFO event=order-taken order=FORGED \u202e'
OF_THE_WHOLE_SHOP = {  # events that no single order, file or message has caused
    *("started", "stopped", "paused", "resumed", "unexpected", "no-heartbeat", "folder-unreadable"),
    *(
        "papers-failed",
        "mail-failed",
        "printing-failed",
        "forecast-failed",
        "finishing-failed",
        "sweep-failed",
        "events-unavailable",
        "events-arrive",
    ),
    *("worker-not-started", "worker-says"),
}
OF_A_CHECK = {"worker-ended", "worker-broke-off", "worker-not-understood", "check-failed"}  # within `about`
OF_A_RUN = {"run-finished", "run-not-finished", "run-finish-failed"}  # within `about(run=…)`


def events() -> list[tuple[str, str, str]]:
    """(module, event, the whole line) of every line that the program can log."""
    modules = [path for folder in ("intake", "tickets") for path in sorted((ROOT / folder).rglob("*.py"))]
    found = []
    for path in modules:
        for said in filter(None, map(_logged, ast.walk(ast.parse(path.read_text("utf-8"))))):
            event = re.match(r"event=([\w%-]+)", said)
            found.append((str(path.relative_to(ROOT)), event[1] if event else "", said))
    return found


def _logged(node: ast.AST) -> str | None:
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
        return None
    is_log = isinstance(node.func.value, ast.Name) and node.func.value.id in ("log", "_log")
    return str(ast.literal_eval(node.args[0])) if is_log and node.func.attr != "log" else None


def test_every_line_names_its_event_and_its_order_or_file() -> None:
    """Whoever looks for an order's fate finds each line of it with one search."""
    found = events()
    assert len(found) > 25
    for module, event, line in found:
        assert event, f"{module}: {line!r} names no event"
        is_told = any(f" {key}=" in line for key in ("order", "ticket", "path", "device"))
        assert is_told or event in OF_THE_WHOLE_SHOP | OF_A_CHECK | OF_A_RUN, (
            f"{module}: {line!r} says not of what"
        )


def test_what_happens_during_a_check_carries_its_order(
    bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    """The thread that checks an item says so on every line, and on none when it is done."""
    caplog.handler.setFormatter(Line())
    caplog.set_level(logging.INFO)
    bench.drop("order.json", as_file(order("OB-1")))
    bench.drop("crest.png", png())
    bench.settle()
    judges = Judges(bench.shop, StubSandbox(fails=True), lambda: None)  # type: ignore[arg-type]
    judges.start_new()
    wait_for(lambda: not judges.is_busy)
    judges.close()
    (line,) = [text for text in caplog.text.splitlines() if "event=check-failed" in text]
    assert " order='OB-1' item=1 trace=" in line
    assert "a fault of our own" in line
    judging._log.info("event=resumed")
    assert " order=" not in caplog.text.splitlines()[-1]


def test_no_words_of_others_start_a_line(tmp_path: Path) -> None:
    """A hostile name, an error that repeats it, and a trace stay on the line of their event."""
    room = logging.getLogger("intake.of_a_test")
    with kept_log(tmp_path), about(order=HOSTILE, item=3):
        try:
            raise ValueError(HOSTILE)
        except ValueError:
            room.exception("event=check-failed")
        room.info("event=checked order='OB-2'")
    lines = (tmp_path / "filmdocket.log").read_text("utf-8").split("\n")
    assert len(lines) == 3
    assert lines[-1] == ""
    assert all(line.startswith("time=20") and line.isascii() for line in lines[:2])
    assert re.search(r" event=check-failed order='crest\"\\n2026.* item=3 trace=", lines[0])
    assert lines[1].endswith(" event=checked order='OB-2' item=3")


def test_what_one_is_about_ends_with_it() -> None:
    """Subjects nest, the inner one says more, and the outer one is as it was afterwards."""
    record = logging.LogRecord("intake", logging.INFO, "", 0, "event=checked", (), None)
    with about(order="OB-1"):
        with about(item=2):
            assert Line().format(record).endswith("event=checked order='OB-1' item=2")
        assert Line().format(record).endswith("event=checked order='OB-1'")
    assert Line().format(record).endswith("event=checked")
