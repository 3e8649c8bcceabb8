"""The small picture of each artwork, for tickets and reports; it can be made again from the original."""

from __future__ import annotations

from pathlib import Path

from intake.durable import write_whole
from intake.inbox.claiming import original_path
from intake.preflight import PreflightJob
from intake.sandbox import Sandbox
from intake.shop import Shop

PICTURE_MM = 100.0  # the picture has the same pixels at every print size


def picture_path(shop: Shop, sha256: str, page: int | None) -> Path:
    """Where the picture of one page of an original lies."""
    return shop.derived / f"{sha256}-{page or 1}.png"


def keep_picture(shop: Shop, sha256: str, page: int | None, picture_png: bytes) -> None:
    """Keep a picture that the check has made; a file that could not be opened has none."""
    path = picture_path(shop, sha256, page)
    if picture_png and not path.is_file():
        write_whole(path, picture_png)


def picture_of(shop: Shop, sha256: str, page: int | None) -> bytes:
    """The picture as PNG; b"" when the original cannot be opened. Made in the sandbox when it is missing."""
    path = picture_path(shop, sha256, page)
    if path.is_file():
        return path.read_bytes()
    original = original_path(shop, sha256)
    if not original.is_file():
        return b""
    settings = shop.settings
    job = PreflightJob(original, sha256, settings.limits, settings.film, page=page, width_mm=PICTURE_MM)
    with Sandbox(settings.sandbox) as sandbox:
        picture = sandbox.preflight(job).picture_png
    keep_picture(shop, sha256, page, picture)
    return picture
