"""What kind of file this is, by the bytes at its beginning and never by its name."""

from __future__ import annotations

import re
import zlib
from enum import StrEnum
from pathlib import PurePath

from intake.reading import refusals
from intake.reading.bmp import HEADER_SIZES
from tickets.problems import ArtworkRefused

HEAD_BYTES = 4096
_PDF_HEADER_WITHIN = (
    1024  # readers of PDF accept a header so far in (ISO 32000-1, annex H, implementation note 13)
)


class Kind(StrEnum):
    """The kinds that are read."""

    PNG = "PNG"
    JPEG = "JPEG"
    TIFF = "TIFF"
    WEBP = "WebP"
    GIF = "GIF"
    BMP = "BMP"
    PDF = "PDF"
    SVG = "SVG"
    PSD = "PSD"
    HEIC = "HEIC"
    AVIF = "AVIF"
    EPS = "EPS"


_ENDINGS = {
    Kind.PNG: {".png", ".apng"},
    Kind.JPEG: {".jpg", ".jpeg", ".jpe", ".jfif"},
    Kind.TIFF: {".tif", ".tiff"},
    Kind.WEBP: {".webp"},
    Kind.GIF: {".gif"},
    Kind.BMP: {".bmp", ".dib"},
    Kind.PDF: {".pdf", ".ai"},
    Kind.SVG: {".svg", ".svgz"},
    Kind.PSD: {".psd", ".psb"},
    Kind.HEIC: {".heic", ".heif", ".hif"},
    Kind.AVIF: {".avif"},
    Kind.EPS: {".eps", ".epsf", ".ps", ".ai"},
}
_KNOWN_ENDINGS = set().union(*_ENDINGS.values()) | {".txt", ".zip"}

_SEND_PNG = (
    "Please export it as a PNG with transparency, at the size it is to be printed and 300 pixels an inch."
)
_SEND_PDF = (
    "Please export it as a PDF (with the fonts embedded or as outlines), or as a PNG with transparency."
)
_SEND_ART = "Please send the artwork itself, as a PNG with transparency or as a PDF."

# First bytes → what it is, and what to do. The longer one of two that fit comes first.
_NOT_READ: tuple[tuple[bytes, str, str], ...] = (
    (b"gimp xcf", "a GIMP document", _SEND_PNG),
    (b"\x1f\x8b", "a gzip-compressed file", "Please unpack it and send the artwork in it."),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "an office document", _SEND_PDF),
    (b"{\\rtf", "a text document (RTF)", _SEND_ART),
    (b"Rar!\x1a\x07", "a RAR archive", "Please unpack it and send the artwork in it."),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", "Please unpack it and send the artwork in it."),
    (b"\x00\x00\x00\x0cjP  \r\n\x87\n", "a JPEG 2000 picture", _SEND_PNG),
    (b"\xff\x4f\xff\x51", "a JPEG 2000 picture", _SEND_PNG),
    (b"\xff\x0a", "a JPEG XL picture", _SEND_PNG),
    (b"\x00\x00\x00\x0cJXL \r\n\x87\n", "a JPEG XL picture", _SEND_PNG),
    (b"\x76\x2f\x31\x01", "an OpenEXR picture", _SEND_PNG),
    (b"#?RADIANCE", "a Radiance HDR picture", _SEND_PNG),
    (b"DDS ", "a DDS texture", _SEND_PNG),
    (b"\x00\x00\x01\x00", "a Windows icon", _SEND_PNG),
    (b"SQLite format 3\x00", "a database (of a drawing program, perhaps)", _SEND_PDF),
    (b"MZ", "a program", _SEND_ART),
    (b"\x7fELF", "a program", _SEND_ART),
    (b"II\x1a\x00\x00\x00HEAPCCDR", "a raw photo of a camera", _SEND_PNG),
    (b"ID3", "a sound file", _SEND_ART),
    (b"OggS", "a sound or film file", _SEND_ART),
    (b"\x1a\x45\xdf\xa3", "a film", _SEND_ART),
)
# Brands of ISO base media files (ISO/IEC 23008-12, annex B; AV1 Image File Format, 8).
_AVIF_BRANDS = {b"avif", b"avis"}
_HEIC_BRANDS = {b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"hevm", b"hevs"}
_PICTURE_BRANDS = {b"mif1", b"msf1"}  # of either; the others named decide
_GZIP = b"\x1f\x8b"
_PROLOG = re.compile(r"\s+|<\?.*?\?>|<!--.*?-->", re.DOTALL)
_SVG_ROOT = re.compile(r"<(?:[\w.-]+:)?svg[\s/>]")
_SVG_DOCTYPE = re.compile(r"<!DOCTYPE\s+(?:[\w.-]+:)?svg\b")


def sniff(head: bytes) -> Kind:
    """The kind of file that begins with `head` (its first 4,096 bytes, or all of a shorter one).

    Raises ArtworkRefused (`file-empty`, `kind-not-read`) for everything that is not read.
    """
    if not head:
        raise refusals.empty()
    if kind := _read_kind(head):
        return kind
    if b"%PDF-" in head[:_PDF_HEADER_WITHIN]:
        return Kind.PDF
    raise _refusal(head)


def ending_note(name: str, kind: str) -> str | None:
    """A sentence when the file's name says another kind than its bytes; None when it does not."""
    ending = PurePath(name).suffix.lower()
    if ending not in _KNOWN_ENDINGS or ending in _ENDINGS.get(Kind(kind), set()):
        return None
    return f"The file is called {ending} but is a {kind}; it was read as a {kind}."


def _read_kind(head: bytes) -> Kind | None:
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return Kind.PNG
    if head.startswith(b"\xff\xd8\xff"):
        return Kind.JPEG
    if head[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return Kind.TIFF
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return Kind.WEBP
    if head[:6] in (b"GIF87a", b"GIF89a"):
        return Kind.GIF
    if head[:2] == b"BM" and int.from_bytes(head[14:18], "little") in HEADER_SIZES:
        return Kind.BMP
    if head.startswith((b"8BPS\0\x01", b"8BPS\0\x02")):
        return Kind.PSD
    if head.startswith((b"%!PS", b"\xc5\xd0\xd3\xc6")):
        return Kind.EPS
    if head[4:8] == b"ftyp":
        return _iso_kind(head)
    if head.startswith(b"%PDF-"):
        return Kind.PDF
    return Kind.SVG if _is_svg(head) else None


def _iso_kind(head: bytes) -> Kind | None:
    """HEIC or AVIF by its brands: the major one decides, else the first compatible one that tells."""
    length = min(int.from_bytes(head[:4], "big"), 256, len(head))
    for brand in (head[8:12], *(head[k : k + 4] for k in range(16, length - 3, 4))):
        if brand in _AVIF_BRANDS:
            return Kind.AVIF
        if brand in _HEIC_BRANDS:
            return Kind.HEIC
        if brand not in _PICTURE_BRANDS and brand == head[8:12]:
            return None
    return Kind.HEIC if head[8:12] in _PICTURE_BRANDS else None


def _is_svg(head: bytes) -> bool:
    """Whether the root of this XML, gzip-compressed or not, is `svg`."""
    if head.startswith(_GZIP):
        try:
            head = zlib.decompressobj(31).decompress(head, HEAD_BYTES)
        except zlib.error:
            return False
    text = _as_text(head)
    if text is None or not text.startswith("<"):
        return False
    at = 0
    while found := _PROLOG.match(text, at):
        at = found.end()
    return _SVG_ROOT.match(text, at) is not None or _SVG_DOCTYPE.match(text, at) is not None


def _refusal(head: bytes) -> ArtworkRefused:
    if head[4:8] == b"ftyp":
        if head[8:12] == b"crx ":
            return refusals.kind_not_read("a raw photo of a camera", _SEND_PNG)
        return refusals.kind_not_read("a film", _SEND_ART)
    if head.startswith(b"PK\x03\x04"):
        return _zip_refusal(head)
    for magic, what, do in _NOT_READ:
        if head.startswith(magic):
            return refusals.kind_not_read(what, do)
    return _text_refusal(head)


def _zip_refusal(head: bytes) -> ArtworkRefused:
    if b"[Content_Types].xml" in head or b"mimetypeapplication/vnd.oasis" in head:
        return refusals.kind_not_read("an office document", _SEND_PDF)
    if b"mimetypeapplication/vnd.adobe" in head or b"mimetypeimage/openraster" in head:
        return refusals.kind_not_read("a document of a drawing program", _SEND_PDF)
    return refusals.kind_not_read("a zip archive", "Please unpack it and send the artwork in it.")


def _text_refusal(head: bytes) -> ArtworkRefused:
    text = _as_text(head)
    if text is None:
        return refusals.kind_not_read("no kind of picture that is known here", _SEND_ART)
    low = text.lower()
    if low.startswith(("<!doctype html", "<html")):
        return refusals.kind_not_read("a web page, not the picture on it", _SEND_ART)
    if low.startswith(("<?xml", "<")):
        return refusals.kind_not_read("an XML file", _SEND_ART)
    return refusals.kind_not_read("a text file", _SEND_ART)


def _as_text(head: bytes) -> str | None:
    """The beginning as text, or None when these are no letters."""
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if head.startswith(mark):
            return head.decode(encoding, "replace").lstrip()
    if b"\0" in head:
        return None
    text = head.decode("utf-8", "replace")
    strange = sum(c == "\ufffd" or (c < " " and c not in "\t\n\r\f\x1b") for c in text)
    return text.lstrip() if strange <= len(text) // 20 else None
