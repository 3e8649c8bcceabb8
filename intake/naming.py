"""Names of customers' files and orders: made safe for every file system, shown to people, and compared."""

from __future__ import annotations

import hashlib
import re
import unicodedata

MOST_BYTES = (
    120  # of a safe name: leaves room for `.txt`, temporary suffixes and Windows' 260 characters a path
)
HASH_CHARACTERS = 8
# Windows: device names are reserved with any extension (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])\s*(\.|$)", re.IGNORECASE)
_FORBIDDEN = frozenset('<>:"/\\|?*')
_LOOKS_CHANGED = re.compile(rf"~[0-9a-f]{{{HASH_CHARACTERS}}}(\.[^.]*)?$")
_EXTENSION = re.compile(r"\.[A-Za-z0-9]{1,10}$")


def safe_name(text: str) -> str:
    """A file or folder name that every file system takes, close to `text`; other texts get other names.

    Kept as it is when nothing is wrong with it. Otherwise what cannot stand is replaced by `_` and a short
    hash of the original goes before the extension, so that `a:b.png` and `a?b.png` stay two files. A name
    that looks as if it had been changed gets a hash too, so that nobody can aim at another's name. Names that
    differ only in upper and lower case stay as they are: a file system that folds case takes them for one.
    """
    name = unicodedata.normalize("NFC", text)
    name = "".join("_" if _is_unsafe(c) else c for c in name).rstrip(". ")
    if name.startswith((".", " ", "~")):
        name = "_" + name[1:]
    if _DEVICES.match(name):
        name = "_" + name
    name = name or "_"
    if name == text and len(name.encode()) <= MOST_BYTES and not _LOOKS_CHANGED.search(name):
        return name
    mark = hashlib.sha256(text.encode("utf-8", "surrogatepass"))
    return _with_mark(name, mark.hexdigest()[:HASH_CHARACTERS])


def _is_unsafe(character: str) -> bool:
    # Cc and Cf: controls and bidi marks that make a name read as another; Cs: undecodable bytes; Zl, Zp: line
    # ends.
    return character in _FORBIDDEN or unicodedata.category(character) in (
        "Cc",
        "Cf",
        "Cs",
        "Co",
        "Cn",
        "Zl",
        "Zp",
    )


def _with_mark(name: str, mark: str) -> str:
    found = _EXTENSION.search(name)
    extension = found.group() if found else ""
    stem = name[: len(name) - len(extension)].encode()
    room = MOST_BYTES - len(extension) - len(mark) - 1
    return f"{stem[:room].decode('utf-8', 'ignore').rstrip('. ')}~{mark}{extension}"


def shown_path(path: str) -> str:
    """A path for people: as it is, with what cannot be shown (bytes that are no text, controls) escaped."""
    return "".join(_shown(c) for c in path)


def _shown(character: str) -> str:
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # how Python carries a byte that is no UTF-8
        return f"\\x{code - 0xDC00:02x}"
    # Joiners belong to names in Persian and Indic scripts; every other format character can hide a name.
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp") and code not in (0x200C, 0x200D):
        return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"
    return character


def in_log(text: str) -> str:
    """A customer's words as a log line may carry them: quoted, ASCII only, nothing that starts a line."""
    return ascii(text)


def composed(name: str) -> str:
    """NFC: Macs write names decomposed, order files mostly composed."""
    return unicodedata.normalize("NFC", name)


def folded(name: str) -> str:
    """How names are compared last: composed, and without regard to upper and lower case."""
    return composed(composed(name).casefold())
