"""The doctor: looks at everything that intake stands on, one line a thing, and says what to do next."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from config.settings import Settings, SettingsProblem, load_settings
from tickets.problems import ShopProblem
from tickets.wording_papers import program_missing

SHOP_FOLDERS = ("inbox", "originals", "refused", "outbox", "papers")
STALE_BEATS = 6  # so many heartbeats missed in a row, and the daemon counts as gone
RENEW_DAYS = 30  # before the end, so that it is renewed on a calm day
CLOCK_TOLERANCE_SECONDS = 5.0
WATCHES_WANTED = 8192
MAIL_SECONDS = 15.0  # a server that is slower is told as away


@dataclass(frozen=True, slots=True)
class Check:
    """One thing looked at: `do` is empty when it is well."""

    name: str
    ok: bool
    says: str
    do: str = ""


@dataclass(frozen=True, slots=True)
class DoctorReport:
    """All that was looked at, in order, and what to do next."""

    checks: tuple[Check, ...]

    @property
    def is_well(self) -> bool:
        """Whether nothing must be done."""
        return all(check.ok for check in self.checks)

    @property
    def next_step(self) -> str:
        """The first thing that must be done, or what a healthy shop does next."""
        return next(
            (check.do for check in self.checks if not check.ok),
            "Nothing must be done: drop order files and artwork into the inbox.",
        )

    def as_json(self) -> dict[str, Any]:
        """The document that `doctor --json` prints."""
        rows = [{"name": c.name, "ok": c.ok, "says": c.says, "do": c.do} for c in self.checks]
        return {"checks": rows, "next": self.next_step}

    def as_lines(self) -> list[str]:
        """A line a thing; the last line says what to do next."""
        lines = [f"{'well ' if c.ok else 'WRONG'}  {c.name}: {c.says}" for c in self.checks]
        return [*lines, f"Next: {self.next_step}"]


def examine_shop(folder: Path, clock: Callable[[], datetime] = lambda: datetime.now(UTC)) -> DoctorReport:
    """Look at one shop folder and the machine under it; only a probe file is made, and removed."""
    checks = [_python()]
    settings: Settings | None = None
    try:
        settings = load_settings(folder if folder.is_dir() else None)
        checks.append(Check("settings", True, _where_settings_came_from(settings)))
    except SettingsProblem as wrong:
        checks.append(Check("settings", False, str(wrong), f"Mend the settings in {folder / 'shop.toml'}."))
    looks: list[tuple[str, Callable[[], Iterator[Check]]]] = [("folder", lambda: _folder(folder))]
    if settings is not None:
        known = settings
        looks += [
            ("free space", lambda: _free_space(folder, known)),
            ("books", lambda: _books(folder, known, clock)),
            ("certificate", lambda: _certificate(folder, known, clock)),
            ("fonts", lambda: _fonts(known)),
            ("decoders", lambda: _decoders(known)),
            ("printer profile", lambda: _printer_profile(known)),
            ("messages", lambda: _templates(folder)),
            ("mail server", lambda: _mail_server(known)),
        ]
    looks += [("watch limits", _watch_limits), ("clocks", lambda: _clocks(folder))]
    for name, look in looks:
        checks.extend(_guarded(name, look))
    return DoctorReport(tuple(checks))


def _guarded(name: str, look: Callable[[], Iterator[Check]]) -> list[Check]:
    """One thing that cannot be looked at is a finding of its own, and never hides the rest."""
    found: list[Check] = []
    try:
        found.extend(look())
    except ShopProblem as problem:
        found.append(Check(name, False, problem.says, problem.do or f"See {problem.slug} in the README."))
    except OSError as error:
        found.append(
            Check(name, False, f"cannot be looked at: {error}.", f"Make {name} readable for this user.")
        )
    return found


def _python() -> Check:
    version = ".".join(str(n) for n in sys.version_info[:3])
    return Check(
        "python",
        sys.version_info >= (3, 11),
        version,
        "" if sys.version_info >= (3, 11) else "Install Python 3.11 or newer.",
    )


def _where_settings_came_from(settings: Settings) -> str:
    sources = sorted(set(settings.origins.values()))
    return f"read; changed in {', '.join(sources)}" if sources else "read; all as shipped"


def _folder(folder: Path) -> Iterator[Check]:
    missing = [name for name in SHOP_FOLDERS if not (folder / name).is_dir()]
    if missing or not (folder / "shop.toml").is_file():
        lacks = ", ".join([*missing, *([] if (folder / "shop.toml").is_file() else ["shop.toml"])])
        yield Check("folder", False, f"{folder} lacks {lacks}.", f"Run: filmdocket init {folder}")
        return
    yield Check("folder", True, f"{folder} is complete")
    closed = [name for name in (".", *SHOP_FOLDERS) if not _can_write(folder / name)]
    do = f"Let this user write in {', '.join(closed)} under {folder}." if closed else ""
    says = f"no file can be made in {', '.join(closed)}" if closed else "files can be made in every folder"
    yield Check("permissions", not closed, says, do)
    yield from _marker(folder)


def _can_write(folder: Path) -> bool:
    # The name begins with a dot: the daemon's rule for such names keeps it from being taken for artwork.
    try:
        with tempfile.NamedTemporaryFile(dir=folder, prefix=".filmdocket-probe-"):
            return True
    except OSError:
        return False


def _marker(folder: Path) -> Iterator[Check]:
    from intake.shop import MARKER

    there = (folder / "inbox" / MARKER).is_file()
    do = "" if there else f"Mount or bring back the right inbox; for a new one run: filmdocket init {folder}"
    says = (
        "carries the shop's mark" if there else "does not carry the shop's mark: is the right folder mounted?"
    )
    yield Check("inbox", there, says, do)


def _free_space(folder: Path, settings: Settings) -> Iterator[Check]:
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    wanted = settings.intake.min_free_mb
    do = "" if free_mb >= wanted else f"Free at least {wanted - free_mb} MB on the disk of {folder}."
    yield Check("free space", free_mb >= wanted, f"{free_mb} MB free, {wanted} MB wanted", do)


def _books(folder: Path, settings: Settings, clock: Callable[[], datetime]) -> Iterator[Check]:
    from sqlalchemy import text

    from tickets.models import Heartbeat
    from tickets.store import open_store

    if not (folder / "shop.toml").is_file():
        return
    store = open_store(settings, folder)
    try:
        with store.reading() as session:
            says, ok = _database(session, store.dialect, text)
            yield Check(
                "books", ok, says, "" if ok else "Stop intake and restore the last backup of the books."
            )
            if store.dialect == "postgresql":
                yield _server_clock(session, clock())
            beat = session.get(Heartbeat, "intake")
            yield _heartbeat(beat, settings, clock())
            yield from _printer(session.get(Heartbeat, "printer"), settings)
            yield from _names_can_be_printed(session, settings)
    finally:
        store.close()


def _database(session: Any, dialect: str, text: Any) -> tuple[str, bool]:
    if dialect != "sqlite":
        return f"{dialect}, {session.exec(text('select version()')).scalar()}".split(" on ")[0], True
    found = session.exec(text("PRAGMA quick_check(5)")).scalars().all()
    journal = session.exec(text("PRAGMA journal_mode")).scalar()
    level = session.exec(text("PRAGMA synchronous")).scalar()
    ok = found == ["ok"] and journal == "wal" and level == 2
    return (
        f"SQLite, whole and safe (journal {journal}, synchronous full)"
        if ok
        else f"SQLite, not whole or not safe: {'; '.join(found)}; journal {journal}, synchronous {level}"
    ), ok


def _server_clock(session: Any, now: datetime) -> Check:
    from sqlalchemy import text

    apart = abs((session.exec(text("select now()")).scalar() - now).total_seconds())
    ok = apart <= CLOCK_TOLERANCE_SECONDS
    return Check(
        "database clock",
        ok,
        f"{apart:.1f} s apart from this machine's",
        "" if ok else "Set the clocks of both machines.",
    )


def _certificate(folder: Path, settings: Settings, clock: Callable[[], datetime]) -> Iterator[Check]:
    if not settings.pages.certificate:
        return
    from intake.certificates import days_left

    days = days_left(folder / settings.pages.certificate, clock())
    do = "" if days >= RENEW_DAYS else "Renew it (with one of the shop's own: filmdocket certificate)."
    yield Check("certificate", not do, f"that of the pages is good for {max(0, days)} days", do)


def _heartbeat(beat: Any, settings: Settings, now: datetime) -> Check:
    if beat is None:
        return Check("heartbeat", False, "intake has never run here", "Start the intake: filmdocket watch")
    age = now - beat.at
    fresh = age <= timedelta(seconds=STALE_BEATS * settings.intake.heartbeat_seconds)
    says = (
        f"intake last seen {_in_words(age)} ago on {beat.holder or 'this machine'}: {beat.says or 'watching'}"
    )
    return Check("heartbeat", fresh, says, "" if fresh else "Start the intake again: filmdocket watch")


def _printer(beat: Any, settings: Settings) -> Iterator[Check]:
    """Nothing where tickets are printed by hand."""
    command = settings.papers.print_command
    if not command:
        return
    if shutil.which(command[0]) is None:
        do = "Install it, or mend papers.print_command in shop.toml; then start filmdocket watch again."
        yield Check("printer", False, program_missing(command[0]), do)
        return
    says = beat.says if beat else ""
    do = "Look after the printer; what waits is printed by itself then." if says else ""
    yield Check("printer", not says, says or f"no ticket waits for {command[0]}", do)


def _in_words(age: timedelta) -> str:
    seconds = max(0, int(age.total_seconds()))
    for size, word in ((86400, "day"), (3600, "hour"), (60, "minute")):
        if seconds >= size:
            count = seconds // size
            return f"{count} {word}{'s' if count > 1 else ''}"
    return f"{seconds} s"


def _names_can_be_printed(session: Any, settings: Settings) -> Iterator[Check]:
    from sqlmodel import select

    from tickets.models import Order
    from tickets.paper import load_fonts, missing_characters

    fonts = load_fonts(settings.papers.font_files)
    names = session.exec(select(Order.customer_name).order_by(Order.id.desc()).limit(500)).all()  # type: ignore[union-attr]
    missing = sorted(set().union(*(missing_characters(name, fonts) for name in names)))
    do = "" if not missing else "Name a font file that has them in shop.toml, papers.font_files."
    says = (
        f"no font for {' '.join(missing[:20])} in customers' names"
        if missing
        else "customers' names can all be printed"
    )
    yield Check("names", not missing, says, do)


def _fonts(settings: Settings) -> Iterator[Check]:
    from tickets.paper import load_fonts

    fonts = load_fonts(settings.papers.font_files)
    found = f"{len(fonts.names)} faces found: {', '.join(fonts.names)}"
    do = "Mend papers.font_files in shop.toml." if fonts.problems else ""
    yield Check("fonts", not fonts.problems, " ".join(fonts.problems) or found, do)


def _decoders(settings: Settings) -> Iterator[Check]:
    from intake.preflight import PreflightJob
    from intake.sandbox import Sandbox
    from intake.specimens import write_specimens

    with tempfile.TemporaryDirectory() as folder, Sandbox(settings.sandbox) as sandbox:
        failed = []
        specimens = write_specimens(Path(folder))
        for path in specimens:
            job = PreflightJob(
                path=path, name=path.name, width_mm=20.0, limits=settings.limits, film=settings.film
            )
            answer = sandbox.preflight(job)
            if answer.slug:
                failed.append(path.suffix.lstrip(".").upper())
    read = ", ".join(p.suffix.lstrip(".").upper() for p in specimens)
    do = f"Install filmdocket again; {', '.join(failed)} cannot be read here." if failed else ""
    yield Check(
        "decoders",
        not failed,
        f"cannot read {', '.join(failed)}" if failed else f"read in the sandbox: {read}",
        do,
    )


def _printer_profile(settings: Settings) -> Iterator[Check]:
    """Nothing where the shop names none; one that cannot be used raises, and is told under this name."""
    named = settings.film.printer_profile
    if not named:
        return
    import numpy as np

    from intake.reading.gamut import gamut_of

    gamut_of(np.full((1, 1, 4), 255, np.uint8), Path(named), 1.0)
    yield Check("printer profile", True, f"{named} can be used")


def _templates(folder: Path) -> Iterator[Check]:
    """Every kind of message put into words about specimens."""
    from intake.letters.templating import try_templates

    trials = try_templates(folder)
    wrong = [trial.problem for trial in trials if trial.problem is not None]
    own = sum(trial.template.is_own for trial in trials)
    says = (
        " ".join(problem.says for problem in wrong) or f"all {len(trials)} can be written, {own} in own words"
    )
    yield Check("messages", not wrong, says, wrong[0].do if wrong else "")


def _mail_server(settings: Settings) -> Iterator[Check]:
    """Nothing where the shop names none: it sends by hand."""
    smtp = settings.smtp
    if not smtp.host:
        return
    from intake.letters.sending import try_server

    wrong = try_server(smtp, MAIL_SECONDS)
    says = wrong or f"{smtp.host} lets us in"
    yield Check("mail server", not wrong, says, "Mend [smtp] in shop.toml, or the server." if wrong else "")


def _watch_limits() -> Iterator[Check]:
    path = Path("/proc/sys/fs/inotify/max_user_watches")
    if not path.is_file():
        yield Check("watch limits", True, "none on this system; the inbox is scanned in any case")
        return
    watches = int(path.read_text())
    ok = watches >= WATCHES_WANTED
    do = (
        ""
        if ok
        else f"As root: sysctl fs.inotify.max_user_watches={WATCHES_WANTED}; scanning goes on meanwhile."
    )
    yield Check("watch limits", ok, f"{watches} folders may be watched; the inbox is scanned in any case", do)


def _clocks(folder: Path) -> Iterator[Check]:
    inbox = folder / "inbox"
    if not inbox.is_dir():
        return
    with tempfile.NamedTemporaryFile(dir=inbox, prefix=".filmdocket-probe-") as probe:
        apart = abs(os.fstat(probe.fileno()).st_mtime - time.time())
    ok = apart <= CLOCK_TOLERANCE_SECONDS
    do = (
        ""
        if ok
        else "Set the clock of the machine that holds the inbox; intake itself does not depend on it."
    )
    yield Check("clocks", ok, f"the inbox's clock is {apart:.1f} s apart from this machine's", do)
