"""What the guided fuzzer calls with each input: it must end in an answer or in a refusal in words."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from config.settings import Settings, load_settings
from intake.inbox.zipping import is_zip_name, unpack
from intake.naming import in_log, safe_name, shown_path
from intake.order import read_order
from intake.shop import Shop, open_shop
from tests.intake.shops import NOON, as_file, order, zipped
from tickets.codes import read_code
from tickets.problems import OrderRefused, ShopProblem


@cache
def _settings() -> Settings:
    return load_settings(None, {})


@cache
def _shop(folder: str) -> Shop:
    return open_shop(Path(folder))


def _order(content: bytes, _shop_folder: str) -> None:
    try:
        document = read_order(content, _settings(), NOON)
    except OrderRefused as refused:
        _expect(bool(refused.errors) and bool(str(refused)), "a refusal without words")
    else:
        json.loads(document.canonical())
        _expect(len(document.sha256()) == 64, "no hash")


def _scan(content: bytes, _shop_folder: str) -> None:
    try:
        code = read_code(content.decode("utf-8", "surrogateescape"))
    except ShopProblem as refused:
        _expect(refused.slug == "code-not-read", refused.slug)
    else:
        _expect(read_code(code.lower()) == code, "read twice, it is another code")


def _name(content: bytes, _shop_folder: str) -> None:
    text = content.decode("utf-8", "surrogateescape")
    name = safe_name(text)
    _expect(bool(name), "name")
    _expect(name not in (".", ".."), "name")
    _expect(len(name.encode("utf-8")) <= 255, "len")
    _expect(not set(name) & set('/\\:*?"<>|\0\n\r'), "not")
    _expect(in_log(text).isascii(), "in_log")
    _expect(len(in_log(text).splitlines()) == 1, "len")
    _expect(len(shown_path(text).splitlines()) <= 1, "len")
    is_zip_name(text)


def _zip(content: bytes, shop_folder: str) -> None:
    shop = _shop(shop_folder)
    with TemporaryDirectory(dir=shop_folder) as aside:
        archive = Path(aside) / "all.zip"
        archive.write_bytes(content)
        try:
            unpack(shop, archive, lambda: None)
        except ShopProblem as refused:
            _expect(bool(refused.slug), "a refusal without a name")
    inside = {path.name for path in shop.folder.iterdir()}
    _expect(not {"outside.png", "evil"} & inside, "not")


def _expect(is_so: bool, what: str) -> None:
    if not is_so:
        raise AssertionError(what)


TARGETS: dict[str, Callable[[bytes, str], None]] = {
    "order": _order,
    "scan": _scan,
    "name": _name,
    "zip": _zip,
}


def seeds(target: str) -> list[bytes]:
    """What the fuzzer begins with."""
    customer = {"name": "Otter", "email": "a@b.example", "phone": "+44 1632 960123"}
    whole = as_file(order("OB-1", customer=customer, due="2026-12-04", notes="two long", rush=True))
    if target == "order":
        return [
            whole,
            b"\xef\xbb\xbf" + whole,
            whole.decode().encode("utf-16"),
            b"[]",
            b'{"order": NaN}',
            b"{",
        ]
    if target == "scan":
        return [b"]Q1http://shop.example/t/7K3Q9XZ\r\n", b"7k3-q9xz", b"R7K3Q9X\t", "７Ｋ３".encode()]
    if target == "name":
        return [b"logo.png", b"CON.txt", b"a\nb", "\u202egnp.exe".encode(), b"x" * 260, b"\xff\xfe", b" . "]
    content = zipped(order__json=whole, crest__png=b"\x89PNG\r\n\x1a\n" + bytes(40))
    hostile = zipped(**{"../outside__png": b"x", "a": zipfile.ZipFile.__name__.encode() * 99})
    return [content, hostile, content[:60], content + hostile]
