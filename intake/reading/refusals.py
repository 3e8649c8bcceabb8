"""The sentences of files that cannot be opened as artwork: one function a slug, the same for every reader."""

from __future__ import annotations

from tickets.problems import ArtworkRefused


def empty() -> ArtworkRefused:
    """The file holds no bytes."""
    return ArtworkRefused("file-empty", "The file is empty.", "Please send it again.")


def cut_short(reason: str) -> ArtworkRefused:
    """The file stops before its end; `reason` is a sentence that says how that was seen."""
    return ArtworkRefused(
        "file-cut-short",
        f"The file is not complete: {reason}",
        "The upload probably stopped half way. Please send it again.",
    )


def damaged(what: str) -> ArtworkRefused:
    """The file is of a kind that is read, but its contents cannot be decoded; `what` names the kind."""
    return ArtworkRefused(
        "file-damaged",
        f"The {what} file is damaged: its picture cannot be decoded.",
        "Please export it again from the program it was made in, and send that.",
    )


def too_many_pixels(width: int, height: int, largest_megapixels: float) -> ArtworkRefused:
    """The header states more pixels than the shop opens."""
    return ArtworkRefused(
        "too-many-pixels",
        f"The file says that it has {width:,} × {height:,} pixels; at most {largest_megapixels:g} million.",
        "Please send it at the size it is to be printed, at 300 pixels an inch.",
    )


def no_picture(what: str) -> ArtworkRefused:
    """The file holds no page, frame or pixel at all."""
    return ArtworkRefused(
        "no-picture",
        f"There is no picture in the {what} file: it has no page, frame or pixel.",
        "Please export the artwork again and look at the file before sending it.",
    )


def page_not_there(page: int, pages: int) -> ArtworkRefused:
    """A page was ordered that the file does not have."""
    has = "1 page" if pages == 1 else f"{pages} pages"
    return ArtworkRefused(
        "page-not-there",
        f"Page {page} was ordered, but the file has {has}.",
        f"Please name a page from 1 to {pages}."
        if pages > 1
        else "Please order page 1, or send the whole file.",
    )


def kind_not_read(what: str, do: str) -> ArtworkRefused:
    """A kind of file that is not opened as artwork; `what` begins with an article."""
    return ArtworkRefused("kind-not-read", f"This is {what}, which cannot be printed from.", do)


def variant_not_read(what: str) -> ArtworkRefused:
    """A file of a kind that is read, written in a way that the decoder does not know."""
    return ArtworkRefused(
        "kind-not-read",
        f"This {what} is written in a way that cannot be read here (a rare compression or bit depth).",
        "Please save it in a plain way, or send a PNG.",
    )


def not_readable(reason: str) -> ArtworkRefused:
    """The operating system does not let the file be read."""
    return ArtworkRefused(
        "file-not-readable", f"The file cannot be read: {reason}.", "Check that it is there and may be read."
    )
