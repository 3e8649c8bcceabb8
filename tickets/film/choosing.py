"""What a person chooses of one plan: a narrower roll, or sheets, and whether jobs lie whole in a run."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from config.settings import Film
from tickets.film.model import Layout, Rules
from tickets.film.rules import rules_of
from tickets.wording_film_choices import bad_roll, bad_sheet

LEAST_ROLL_MM = 100.0
SHEETS = {"A3": (297.0, 420.0), "A4": (210.0, 297.0), "A2": (420.0, 594.0)}  # ISO 216
_SIDES = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*(?:x|×|X|\*)\s*(\d+(?:[.,]\d+)?)\s*(?:mm)?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class FilmChoice:
    """Of this plan: `roll_mm` wide (None: the shop's roll); `sheet`: "A3" or "600x460" ("": off the roll).

    `whole_jobs`: no ticket across two runs, save one longer than a run (None: as the shop has it set).
    """

    roll_mm: float | None = None
    sheet: str = ""
    whole_jobs: bool | None = None


AS_SET = FilmChoice()


def chosen_rules(film: Film, choice: FilmChoice) -> Rules:
    """The rules that this plan is laid by. Raises ShopProblem `bad-roll`, `bad-sheet`."""
    if choice.sheet.strip():
        across_mm, along_mm = _sides(choice.sheet, film)
        rules = rules_of(film, width_mm=across_mm, sheet_mm=along_mm)
        if min(rules.printable_mm, rules.room_mm) <= 0:
            raise bad_sheet(choice.sheet, film.width_mm)
    elif choice.roll_mm is not None:
        if not LEAST_ROLL_MM <= choice.roll_mm <= film.width_mm:
            raise bad_roll(choice.roll_mm, LEAST_ROLL_MM, film.width_mm)
        rules = rules_of(film, width_mm=choice.roll_mm)
    else:
        rules = rules_of(film)
    return rules if choice.whole_jobs is None else replace(rules, whole_jobs=choice.whole_jobs)


def rules_for_run(film: Film, layout: Layout) -> Rules:
    """The rules by which a run was laid that may lie on another roll or on a sheet."""
    rules = rules_of(film)
    if layout.is_sheet:
        return replace(rules, printable_mm=layout.width_mm, run_mm=layout.length_mm, is_sheet=True)
    return replace(rules, printable_mm=layout.width_mm)


def _sides(sheet: str, film: Film) -> tuple[float, float]:
    """Across the printer and along it: as it was told, or turned where only that way it goes in."""
    told = _SIDES.fullmatch(sheet)
    if told is not None:
        across_mm, along_mm = (float(side.replace(",", ".")) for side in told.groups())
    elif sheet.strip().upper() in SHEETS:
        across_mm, along_mm = SHEETS[sheet.strip().upper()]
    else:
        raise bad_sheet(sheet, film.width_mm)
    if across_mm > film.width_mm:
        across_mm, along_mm = along_mm, across_mm
    if across_mm > film.width_mm or along_mm > film.laying.run_mm:
        raise bad_sheet(sheet, film.width_mm)
    return across_mm, along_mm
