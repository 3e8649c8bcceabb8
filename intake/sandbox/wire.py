"""What goes over the pipes between the shop and a worker: frames of JSON and raw bytes, nothing pickled."""

from __future__ import annotations

import json
import math
import struct
from dataclasses import asdict, fields
from pathlib import Path
from typing import IO, Any

from config.settings import Film, Limits
from intake.facts import Finding, Level, Place, Preflight, RepairOrder, RepairTold, Verdict
from intake.film.work import FilmTask, FilmWork
from intake.preflight import PreflightJob
from tickets.film.model import Ring

_HEAD = struct.Struct(">II")
MOST_JSON_BYTES = 16 << 20
MOST_RAW_BYTES = 64 << 20
_PNG = b"\x89PNG\r\n\x1a\n"


class BrokenFrame(Exception):
    """What came over the pipe is not what was agreed."""


def write_frame(stream: IO[bytes], document: dict[str, Any], raw: bytes = b"") -> None:
    """Send one document with its raw bytes. Raises OSError when nobody reads any more."""
    text = json.dumps(document, allow_nan=False).encode("ascii")
    stream.write(_HEAD.pack(len(text), len(raw)) + text + raw)
    stream.flush()


def read_frame(stream: IO[bytes]) -> tuple[dict[str, Any], bytes] | None:
    """The next document and its raw bytes; None at the end of the stream. Raises BrokenFrame."""
    head = stream.read(_HEAD.size)
    if not head:
        return None
    if len(head) < _HEAD.size:
        raise BrokenFrame("it ends inside a frame")
    json_bytes, raw_bytes = _HEAD.unpack(head)
    if json_bytes > MOST_JSON_BYTES or raw_bytes > MOST_RAW_BYTES:
        raise BrokenFrame("the frame is too long")
    text, raw = stream.read(json_bytes), stream.read(raw_bytes)
    if len(text) < json_bytes or len(raw) < raw_bytes:
        raise BrokenFrame("it ends inside a frame")
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise BrokenFrame("no JSON") from error
    if not isinstance(document, dict):
        raise BrokenFrame("no JSON object")
    return document, raw


def job_as_json(job: PreflightJob) -> dict[str, Any]:
    """The job as plain values; undecodable bytes of a file name go over as lone surrogates."""
    document = {f.name: getattr(job, f.name) for f in fields(job)}
    document["path"] = str(job.path)
    document["limits"] = job.limits.model_dump(mode="json")
    document["film"] = job.film.model_dump(mode="json")
    document["repair"] = asdict(job.repair) if job.repair is not None else None
    document["film_work"] = asdict(job.film_work) if job.film_work is not None else None
    return document


def job_from_json(document: dict[str, Any]) -> PreflightJob:
    """The job out of plain values (from the shop's own side, so trusted)."""
    values = dict(document)
    values["path"] = Path(document["path"])
    values["limits"] = Limits.model_validate(document["limits"])
    values["film"] = Film.model_validate(document["film"])
    if document["repair"] is not None:
        values["repair"] = RepairOrder(**{**document["repair"], "names": tuple(document["repair"]["names"])})
    if document["film_work"] is not None:
        work = document["film_work"]
        values["film_work"] = FilmWork(**{**work, "task": FilmTask(work["task"])})
    return PreflightJob(**values)


def answer_as_json(answer: Preflight) -> dict[str, Any]:
    """The answer as plain values; its picture travels beside it, raw."""
    document = {**answer.as_json(), "slug": answer.slug, "outline": answer.outline}
    if answer.repaired is not None:
        document["repaired"] = answer_as_json(answer.repaired)
    return document


def answer_from_json(document: dict[str, Any], raw: bytes) -> Preflight:
    """The answer, every value checked, for its writer read a hostile file. Raises BrokenFrame."""
    try:
        if raw and not raw.startswith(_PNG):
            raise ValueError("the picture is no PNG")
        print_mm, repaired = document["print_mm"], document.get("repaired")
        return Preflight(
            file=_text(document["file"]),
            verdict=Verdict(document["verdict"]),
            print_mm=(_number(print_mm[0]), _number(print_mm[1])) if print_mm is not None else None,
            measures={_text(k): _plain(v) for k, v in document["measures"].items()},
            findings=tuple(_finding(f) for f in document["findings"]),
            picture_png=raw,
            slug=_text(document["slug"]),
            repairs=tuple(_repair(r) for r in document.get("repairs") or ()),
            outline=_rings(document.get("outline")),
            repaired=answer_from_json(repaired, b"") if repaired is not None else None,
        )
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        raise BrokenFrame(f"the answer is not as agreed: {error}") from error


def _rings(rings: Any) -> tuple[Ring, ...] | None:
    if rings is None:
        return None
    return tuple(tuple((_number(x), _number(y)) for x, y in ring) for ring in rings)


def _finding(document: dict[str, Any]) -> Finding:
    unit = document["unit"]
    return Finding(
        check=_text(document["check"]),
        level=Level(document["level"]),
        says=_text(document["says"]),
        do=_text(document["do"]),
        measured=_number_or_none(document["measured"]),
        limit=_number_or_none(document["limit"]),
        unit=_text(unit) if unit is not None else None,
        places=tuple(
            _place(*one) for one in zip(document["places_mm"], document["worst_at_mm"], strict=True)
        ),
    )


def _repair(document: dict[str, Any]) -> RepairTold:
    return RepairTold(
        repair=_text(document["repair"]),
        mends=_text(document["mends"]),
        applies=document["applies"] is True,
        done=document["done"] is True,
        says=_text(document["says"]),
        places=tuple(_place(p) for p in document["places_mm"]),
    )


def _place(box: list[Any], at: list[Any] | None = None) -> Place:
    x, y, width, height = (_number(v) for v in box)
    return Place(x, y, width, height, (_number(at[0]), _number(at[1])) if at is not None else None)


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is no text")
    return value


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError(f"{value!r} is no number")
    return value


def _number_or_none(value: Any) -> float | None:
    return None if value is None else _number(value)


def _plain(value: Any) -> object:
    """A measure: a text, a number, nothing, or a flat list of numbers."""
    if value is None or isinstance(value, str):
        return value
    return [_number(v) for v in value] if isinstance(value, list) else _number(value)
