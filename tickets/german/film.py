"""German: film, plans, runs, and sizes that would save some."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from tickets.german import numbers
from tickets.german.floor import listed, pieces, station_at
from tickets.german.numbers import percent
from tickets.wording_film import smaller_saves as smaller_saves

if TYPE_CHECKING:
    from tickets.film.keeping import FilmPlan
    from tickets.film.lots import Unlaid
    from tickets.film.model import Layout, StoredRun
    from tickets.film.planning import Plan
    from tickets.lookup.film_runs import FilmRunAnswer

WAYS = {
    "rows": "in Reihen",
    "boxes": "dicht, gerade Schnitte",
    "outlines": "nach Kontur",
    "finished": "nach Kontur",
}
_STANDINGS = {"planned": "geplant", "released": "freigegeben", "printed": "gedruckt", "dropped": "verworfen"}
_UNLAID = {"spares": "Reserve", "lost": "verloren"}


def nothing_for_film() -> tuple[str, str]:
    """No piece waits at the first station."""
    return (
        "Außerhalb von Filmläufen wartet nichts auf den Druck.",
        "Die Seiten „Fertigung“ und „Film“ ansehen.",
    )


def run_not_known(code: str) -> tuple[str, str]:
    """Nothing in the books is called so."""
    return (
        f"Einen Filmlauf {code} gibt es nicht.",
        "Den Code noch einmal lesen oder auf der Seite „Film“ suchen.",
    )


def run_not_planned(code: str) -> tuple[str, str]:
    """A run that stays as it is: released, printed or dropped."""
    return (
        f"Filmlauf {code} ist nicht mehr nur geplant: er ist freigegeben, gedruckt oder verworfen.",
        "Was nicht gedruckt ist, lässt sich verwerfen und neu planen.",
    )


def run_printed(code: str) -> tuple[str, str]:
    """A run that is on film already."""
    return f"Filmlauf {code} ist gedruckt.", "Weiterscannen, Ausschuss buchen oder den Scan zurücknehmen."


def run_dropped(code: str) -> tuple[str, str]:
    """A run that was given up."""
    return (
        f"Filmlauf {code} ist verworfen: nichts davon wird gedruckt.",
        "Seine Stücke warten auf den Druck; auf der Seite „Film“ neu planen.",
    )


def plan_overtaken(why: str) -> tuple[str, str]:
    """The books changed while a plan was made."""
    return f"Der Plan ist überholt: {why}. Nichts wurde gebucht.", "Neu planen."


def fewer_wait(code: str, wanted: int, there: int, station: str) -> str:
    """Why a plan is out of date: pieces have gone elsewhere meanwhile."""
    return f"von {wanted} geplanten Stück von {code} {_waits(there)} {station_at(station)} noch {there} frei"


def run_out_of_date(code: str, tickets: Sequence[str]) -> tuple[str, str]:
    """Pieces on a run are not to be printed any more."""
    return (
        f"Stücke im Filmlauf {code} sind inzwischen storniert oder angehalten: {listed(list(tickets))}.",
        "Neu planen, das nimmt sie heraus.",
    )


def ticket_not_for_film(code: str) -> tuple[str, str]:
    """No piece of it waits for film."""
    return (
        f"Von {code} wartet nichts auf den Druck, das gelegt werden darf.",
        "Unter „Wo ist es?“ nachsehen; was herausgenommen ist, auf der Seite „Film“ wieder zulassen.",
    )


def other_film(code: str, film: str, run: str, run_film: str) -> tuple[str, str]:
    """Kinds of film are never mixed."""
    return (
        f"{code} braucht Film „{film}“, der Lauf {run} ist „{run_film}“.",
        "Einen Lauf mit demselben Film wählen.",
    )


def does_not_fit_run(code: str, run: str, run_mm: float) -> tuple[str, str]:
    """A run can't take a ticket."""
    return (
        f"Von {code} passt nicht alles auf den Filmlauf {run}: er ist höchstens "
        f"{numbers.number(run_mm / 1000, 2, 0)} m lang.",
        "Erst einen anderen Laufzettel herausnehmen oder einen anderen Lauf wählen.",
    )


def lies_in_several(code: str, runs: Sequence[str]) -> tuple[str, str]:
    """A ticket that can't be pinned where it is."""
    if runs:
        return (
            f"{code} liegt in {listed(list(runs))}.",
            "Die Läufe festhalten oder den Laufzettel in einen legen.",
        )
    return f"{code} liegt in keinem geplanten Lauf.", "Ihn in einen Lauf legen."


def released(code: str) -> str:
    """A run's file is proved, and no plan changes it."""
    return f"Lauf {code} ist freigegeben: seine Datei ist geschrieben und geprüft, kein Plan legt ihn neu."


def no_run_file(code: str) -> tuple[str, str]:
    """A run whose file is not there."""
    return f"Zum Filmlauf {code} gibt es keine Datei.", "Den Lauf freigeben, das schreibt sie."


def dropped(code: str) -> str:
    """A run was given up."""
    return f"Lauf {code} ist verworfen; seine Stücke warten auf den Druck und lassen sich neu planen."


def pinned(code: str, *, is_pinned: bool) -> str:
    """Planning again leaves it where it is, or not any more."""
    if is_pinned:
        return f"{code} ist festgehalten: neues Planen lässt es, wie es ist."
    return f"{code} ist frei: neues Planen darf es anders legen."


def moved(code: str, run: str, length_mm: float) -> str:
    """A ticket lies in another run now."""
    return (
        f"{code} liegt im Lauf {run}, der jetzt {numbers.number(length_mm / 1000, 2)} m lang ist. "
        "Dort bleibt es."
    )


def taken_out(code: str) -> str:
    """A ticket is in no run, and stays out."""
    return f"{code} ist herausgenommen; kein Plan legt es, bis es wieder zugelassen ist."


def kept_as_planned(plan: FilmPlan, moved_pieces: int, gone: int) -> list[str]:
    """What planning again left as it was."""
    stays = [run.code for run in plan.runs if not run.is_changed]
    said = [f"{listed(stays)} {'bleibt' if len(stays) == 1 else 'bleiben'} wie geplant."] if stays else []
    if moved_pieces or gone:
        said.append(f"{moved_pieces} Stück liegen anders als zuvor, {gone} sind weg.")
    return said


def film_size(run: StoredRun | Layout) -> str:
    """How much film a run is."""
    if run.is_sheet:
        return f"ein Bogen von {numbers.short(run.length_mm)} mm Länge"
    return f"{numbers.number(run.length_mm / 1000, 2)} m"


def run_line(answer: FilmRunAnswer) -> str:
    """One run in a list."""
    run = answer.run
    own = sum(not p.spare for p in run.pieces)
    spares = f" + {len(run.pieces) - own} Reserve" if len(run.pieces) > own else ""
    pin = ", festgehalten" if run.is_pinned else ""
    where = ", ".join(f"{count} {station_at(place)}" for place, count in answer.waiting.items())
    return (
        f"{run.code}  {_STANDINGS[run.standing]}{pin}, {run.film}, "
        f"{film_size(run)}, "
        f"{pieces(own)}{spares}" + (f": {where}" if where else "")
    )


def no_runs() -> str:
    """No run waits."""
    return "Kein Filmlauf ist geplant, freigegeben oder in der Fertigung."


def ticket_on_run(code: str, order: str, artwork: str, counts: Mapping[str, int]) -> str:
    """What of one ticket lies on a run."""
    more = "".join(f", {counts[k]} {_UNLAID[k]}" for k in ("spares", "lost") if counts[k])
    return f"  {code}  {order}  {artwork}: {counts['pieces']}{more}"


def run_not_released(code: str) -> tuple[str, str]:
    """The shop prints nothing whose file was not proved."""
    return (
        f"Filmlauf {code} ist nicht freigegeben.",
        "Erst freigeben, auf der Seite „Film“ (so will es film.laying.only_released).",
    )


def plan_in_short(plan: Plan, tickets: int) -> str:
    """The whole plan in a sentence."""
    less = (
        f", {percent(plan.saved_share)} weniger als in einfachen Reihen" if plan.saved_share >= 0.005 else ""
    )
    is_sheets = bool(plan.layouts) and all(run.is_sheet for run in plan.layouts)
    one, many = ("Bogen", "Bogen") if is_sheets else ("Lauf", "Läufe")
    runs = f"1 {one}" if len(plan.layouts) == 1 else f"{len(plan.layouts)} {many}"
    return (
        f"{pieces(plan.pieces)} von {tickets} {'Laufzettel' if tickets == 1 else 'Laufzetteln'} "
        f"auf {numbers.number(plan.metres, 2)} m Film{less}: {runs}, "
        f"{percent(plan.inked_share)} des Films genutzt, {plan.minutes:.0f} Minuten Schneiden."
    )


def run_in_short(number: int, layout: Layout, code: str) -> str:
    """One run of a plan: its code once it has one, what lies on it."""
    lies = ", ".join(f"{ticket} × {count}" for ticket, count in layout.counts().items())
    return f"Lauf {code or number}, {layout.film}, {film_size(layout)}, {WAYS[layout.way]}: {lies}"


def not_laid(unlaid: Sequence[Unlaid]) -> list[str]:
    """The jobs that no run can take."""
    return [f"{one.job.code} lässt sich nicht legen: {one.why}." for one in unlaid]


def laid(codes: Sequence[str], *, is_booked: bool, is_changing: bool) -> str:
    """Whether the plan is booked, and what follows."""
    if not is_changing:
        return "Alles ist schon so gebucht."
    if is_booked:
        return (
            f"Gebucht: {', '.join(codes)}. Ein Scan des Laufcodes beim Drucken, Pulvern und Aushärten bewegt "
            "jetzt alle seine Stücke."
        )
    return "Noch ist nichts gebucht: erst das Buchen gibt jedem Lauf einen Code."


def _waits(count: int) -> str:
    return "wartet" if count == 1 else "warten"


def run_not_finished(code: str, most: int) -> tuple[str, str]:
    """A run that the finisher does not take."""
    return (
        f"Lauf {code} ist ein Bogen, oder er hat mehr als {most} Stück: der wird nicht enger gelegt.",
        "Stattdessen mit mehr Zeit neu planen: filmdocket film plan --seconds 60 --lay.",
    )
