"""The faces that papers are set in: shipped ones, the shop's own, and East Asian ones of the system."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from pathlib import Path

import uharfbuzz as hb

from tickets import wording

# In order of preference; the first holds Latin, Greek and Cyrillic.
SHIPPED = (
    ("fontpkg_noto_sans", "NotoSans[wdth,wght].ttf"),
    ("fontpkg_noto_sans_arabic", "NotoSansArabic[wdth,wght].ttf"),
    ("fontpkg_heebo", "Heebo[wght].ttf"),
    ("fontpkg_noto_sans_devanagari", "NotoSansDevanagari[wdth,wght].ttf"),
    ("fontpkg_noto_sans_thai", "NotoSansThai[wdth,wght].ttf"),
)
# Where Linux, macOS and Windows keep fonts, and the usual files that hold Chinese, Japanese and Korean.
SYSTEM_FOLDERS = (
    *("/usr/share/fonts", "/usr/local/share/fonts", "/System/Library/Fonts", "/Library/Fonts"),
    "C:/Windows/Fonts",
)
EAST_ASIAN = (
    *("NotoSansCJK-Regular.ttc", "NotoSansCJKsc-Regular.otf", "NotoSansSC-Regular.otf", "SourceHanSans.ttc"),
    *("NotoSansJP-Regular.otf", "NotoSansKR-Regular.otf", "DroidSansFallbackFull.ttf", "wqy-microhei.ttc"),
    *("ipag.ttf", "NanumGothic.ttf", "Hiragino Sans GB.ttc", "AppleSDGothicNeo.ttc", "Arial Unicode.ttf"),
    *("YuGothM.ttc", "msyh.ttc", "msgothic.ttc", "malgun.ttf", "msjh.ttc"),
)
_NO_EMBEDDING = 0x0002  # OS/2 fsType: restricted licence, no embedding (OpenType specification)
# Not drawn and not missing: joiners, variation selectors, direction marks, soft hyphens.
_UNSEEN = frozenset(
    (
        *(0xAD, 0x034F, 0x061C, 0x180E, 0xFEFF, *range(0x200B, 0x2010), *range(0x202A, 0x202F)),
        *(*range(0x2060, 0x2070), *range(0xFE00, 0xFE10), *range(0xE0000, 0xE1000)),
    )
)


@dataclass(frozen=True)
class Style:
    """How a text is set, as far as its face can: heavy or not, narrow or not."""

    bold: bool = False
    narrow: bool = False

    def axes(self) -> dict[str, float]:
        """Places on the axes of a variable font (OpenType registered axes)."""
        return {"wght": 700.0 if self.bold else 420.0, "wdth": 76.0 if self.narrow else 100.0}

    def narrowed(self) -> Style:
        """The same, narrow."""
        return Style(self.bold, narrow=True)


PLAIN, BOLD = Style(), Style(bold=True)


@dataclass(eq=False)
class Face:
    """One font file (or one member of a collection), opened."""

    name: str
    hb_face: hb.Face
    outlines: str  # "glyf" or "CFF "
    _fonts: dict[Style, hb.Font] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._characters = self.hb_face.unicodes
        self._axes = {axis.tag: (axis.min_value, axis.max_value) for axis in self.hb_face.axis_infos}

    def covers(self, character: str) -> bool:
        """Whether the face draws it, composed or from its parts."""
        if ord(character) in self._characters:
            return True
        parts = unicodedata.normalize("NFD", character)
        return len(parts) > 1 and all(ord(part) in self._characters for part in parts)

    def axes(self, style: Style) -> dict[str, float]:
        """Where on this face's own axes a style lies."""
        wanted = {tag: at for tag, at in style.axes().items() if tag in self._axes}
        return {tag: min(max(at, self._axes[tag][0]), self._axes[tag][1]) for tag, at in wanted.items()}

    def font(self, style: Style) -> hb.Font:
        """The face in a style, for shaping."""
        if style not in self._fonts:
            font = hb.Font(self.hb_face)
            font.set_variations(self.axes(style))
            self._fonts[style] = font
        return self._fonts[style]


@dataclass(frozen=True, eq=False)
class Fonts:
    """All faces in order of preference; `problems`: a sentence for each named file not used."""

    faces: tuple[Face, ...]
    problems: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The names of the faces, in order of preference."""
        return tuple(face.name for face in self.faces)

    def face_for(self, cluster: str, before: Face | None = None) -> Face | None:
        """The face that draws a character with its marks; None when none has the character itself.

        Signs, digits and spaces stay in the face of what stands `before` them when that has them.
        """
        drawn = [c for c in cluster if not is_unseen(c)]
        if not drawn:
            return before or self.faces[0]
        if before is not None and not cluster[0].isalpha() and all(map(before.covers, drawn)):
            return before
        whole = next((face for face in self.faces if all(map(face.covers, drawn))), None)
        return whole or next((face for face in self.faces if face.covers(drawn[0])), None)


def is_unseen(character: str) -> bool:
    """Whether a character has no shape of its own: joiners, direction marks and the like."""
    return ord(character) in _UNSEEN


def is_control(character: str) -> bool:
    """Whether a character is none that text is made of: a control, or a byte that was no text."""
    return unicodedata.category(character) in ("Cc", "Cs")


def missing_characters(text: str, fonts: Fonts) -> set[str]:
    """The characters of `text` that no face has; spaces and line ends are never missing."""
    kept = {c for c in text if not c.isspace() and not is_unseen(c)}
    return {c for c in kept if not any(face.covers(c) for face in fonts.faces)}


def load_fonts(font_files: Sequence[str] = ()) -> Fonts:
    """Open the shipped faces, then those that the shop names (`papers.font_files`), then the system's.

    A named file that can't be used is left out and told of in `problems`; papers are printed all the same.
    Of a collection (`.ttc`) the first member is used, or the one after `#`: `msgothic.ttc#1`.
    """
    return _load(tuple(font_files))


@lru_cache(maxsize=8)
def _load(font_files: tuple[str, ...]) -> Fonts:
    faces = [_open_face(_shipped_path(package, name), 0) for package, name in SHIPPED]
    problems = []
    for named in font_files:
        try:
            path, _, member = named.partition("#")
            faces.append(_open_face(Path(path).expanduser(), int(member or 0)))
        except (ValueError, OSError) as error:
            problems.append(wording.font_not_used(named, str(error)))
    system = (_open_quietly(path) for path in _system_files())
    return Fonts((*faces, *(face for face in system if face)), tuple(problems))


def _shipped_path(package: str, name: str) -> Path:
    return Path(str(files(package))) / "files" / name


def _open_face(path: Path, member: int) -> Face:
    """Raises ValueError that says why the file is no font for papers."""
    try:
        face = hb.Face(hb.Blob.from_file_path(str(path)), member)
    except hb.HarfBuzzError as error:
        raise ValueError("it cannot be opened") from error
    outlines = next((tag for tag in ("glyf", "CFF ", "CFF2") if tag in face.table_tags), None)
    if not face.glyph_count or outlines is None:
        raise ValueError("it is no TrueType or OpenType font with outlines")
    header = bytes(face.reference_table("OS/2").data or b"")
    if len(header) >= 10 and int.from_bytes(header[8:10], "big") & 0x000F == _NO_EMBEDDING:
        raise ValueError("its licence forbids embedding it in a document")
    name = face.get_name(hb.OTNameIdPredefined.FONT_FAMILY) or path.stem
    return Face(name, face, "glyf" if outlines == "glyf" else "CFF ")


def _open_quietly(path: Path) -> Face | None:
    try:
        return _open_face(path, 0)
    except (ValueError, OSError):
        return None


def _system_files() -> Iterator[Path]:
    """East Asian files that are there, the most complete first."""
    found: dict[str, Path] = {}
    for folder in map(Path, SYSTEM_FOLDERS):
        try:
            found |= {p.name: p for p in sorted(folder.rglob("*")) if p.name in EAST_ASIAN}
        except OSError:
            continue
    yield from (found[name] for name in EAST_ASIAN if name in found)
