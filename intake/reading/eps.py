"""EPS and PostScript → Artwork, where an interpreter is installed: made a PDF, then read as one."""

from __future__ import annotations

import shutil
import struct
import subprocess
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path

from config.settings import FileLimits
from intake.facts import Artwork, Pixels, PrintSize
from intake.reading import refusals
from intake.reading.opened import OpenArtwork
from tickets.problems import ArtworkRefused

_NAMES = ("gs", "gswin64c", "gswin32c")
_SECONDS = 40
_MADE_PDF = "The EPS was turned into a PDF to be looked at; PostScript has no transparency."
_MOST_BYTES = 200 << 20
_DOS_MAGIC = b"\xc5\xd0\xd3\xc6"
_MOST_PDF_BYTES = 400 << 20


class OpenEps:
    """An EPS file as the PDF that it was made into (intake.reading.opened.OpenArtwork)."""

    def __init__(self, inner: OpenArtwork, folder: tempfile.TemporaryDirectory[str]) -> None:
        self._inner = inner
        self._folder = folder
        notes = (_MADE_PDF, *(note.replace("PDF", "EPS") for note in inner.artwork.notes))
        self.artwork: Artwork = replace(inner.artwork, kind="EPS", notes=notes)

    def pixels_at(self, size: PrintSize) -> Pixels:
        """As the PDF's."""
        return self._inner.pixels_at(size)

    def close(self) -> None:
        """Let go of the file and of what it was made into."""
        self._inner.close()
        self._folder.cleanup()


@cache
def interpreter() -> str | None:
    """The path of the PostScript interpreter on this machine; None when there is none."""
    return next((found for name in _NAMES if (found := shutil.which(name))), None)


def open_eps(path: Path, page: int, limits: FileLimits) -> OpenEps:
    """Open an EPS; runs inside a sandboxed worker, and the interpreter inside its own safe mode.

    Raises ArtworkRefused: `kind-not-read` where no interpreter is installed, `file-damaged`, and whatever the
    PDF reader says.
    """
    from intake.reading.pdf import open_pdf

    program = interpreter()
    if program is None:
        raise refusals.kind_not_read(
            "a PostScript (EPS) file, for which no interpreter is installed here",
            "Please export it as a PDF with fonts embedded or as outlines, or as a PNG with transparency.",
        )
    if path.stat().st_size > _MOST_BYTES:
        raise ArtworkRefused(
            "file-too-large",
            f"The EPS file has more than {_MOST_BYTES >> 20} MB.",
            "Please export it as a PDF.",
        )
    folder = tempfile.TemporaryDirectory(prefix="filmdocket-", ignore_cleanup_errors=True)
    try:
        made = _convert(program, path, Path(folder.name))
        return OpenEps(open_pdf(made, page, limits), folder)
    except BaseException:
        folder.cleanup()
        raise


def _convert(program: str, path: Path, folder: Path) -> Path:
    """The EPS as a PDF of its bounding box: no files but these two, no pictures made coarser."""
    source, made = folder / "art.eps", folder / "art.pdf"
    source.write_bytes(postscript_of(path.read_bytes()))
    command = [
        *(program, "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-dEPSCrop", "-sDEVICE=pdfwrite"),
        *("-dAutoRotatePages=/None", "-dAutoFilterColorImages=false", "-dAutoFilterGrayImages=false"),
        *(
            "-dColorImageFilter=/FlateEncode",
            "-dGrayImageFilter=/FlateEncode",
            "-dDownsampleColorImages=false",
        ),
        *(
            "-dDownsampleGrayImages=false",
            "-dDownsampleMonoImages=false",
            "-sColorConversionStrategy=LeaveColorUnchanged",
        ),
        *(f"-sOutputFile={made}", str(source)),
    ]
    try:
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, capture_output=True, timeout=_SECONDS, cwd=folder, check=False
        )
    except subprocess.TimeoutExpired as error:
        raise ArtworkRefused(
            "file-too-slow",
            "Looking at the EPS file took longer than is allowed, so it was stopped.",
            "Please send a simpler version: flattened, or as a PNG at print size.",
        ) from error
    except OSError as error:
        raise refusals.not_readable(f"the interpreter does not start ({error.strerror})") from error
    if done.returncode != 0 or not made.is_file() or not 0 < made.stat().st_size <= _MOST_PDF_BYTES:
        raise refusals.damaged("EPS")
    return made


def postscript_of(data: bytes) -> bytes:
    """The PostScript inside a file with a binary header (a preview for old programs lies beside it)."""
    if not data.startswith(_DOS_MAGIC):
        return data
    if len(data) < 12:
        raise refusals.cut_short("it ends inside its header.")
    begins, length = struct.unpack_from("<II", data, 4)
    inside = data[begins : begins + length]
    if len(inside) < length or not inside.startswith(b"%!"):
        raise refusals.damaged("EPS")
    return inside
