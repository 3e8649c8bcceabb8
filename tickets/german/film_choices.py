"""German: choices of a plan, film of other sizes, whole jobs, costs, and stopping early."""

from __future__ import annotations

from tickets.german.numbers import money_said, number, percent, short


def bad_roll(roll_mm: float, least_mm: float, most_mm: float) -> tuple[str, str]:
    """A roll that does not go into this printer."""
    return (
        f"Eine Rolle von {short(roll_mm)} mm passt nicht in diesen Drucker: {short(least_mm)} bis "
        f"{short(most_mm)} mm gehen.",
        "Die Breite der eingelegten Rolle angeben; die breiteste ist film.width_mm der Werkstatt.",
    )


def bad_sheet(sheet: str, widest_mm: float) -> tuple[str, str]:
    """A sheet that nobody can print."""
    return (
        f"Auf Bogen von „{sheet.strip()[:40]}“ lässt sich kein Film legen.",
        f"Zwei Seiten in mm angeben, eine höchstens {short(widest_mm)} und beide länger als die Ränder: "
        "600x460; oder A3.",
    )


def whole_jobs_cost(whole_mm: float, parted_mm: float) -> str:
    """What it costs that no ticket lies across two runs."""
    more_mm = whole_mm - parted_mm
    if more_mm <= 0.5:
        return "Kein Laufzettel liegt über zwei Läufe verteilt, und das kostet nicht mehr Film."
    share = more_mm / parted_mm if parted_mm else 0.0
    return (
        "Kein Laufzettel liegt über zwei Läufe verteilt: das braucht "
        f"{number(more_mm / 1000, 2)} m mehr Film "
        f"({percent(share, 1)})."
    )


def parted_jobs_cost(whole_mm: float, parted_mm: float) -> str:
    """What it would cost."""
    more_mm = whole_mm - parted_mm
    if more_mm <= 0.5:
        return "Ganze Laufzettel in einem Lauf bräuchten nicht mehr Film: so wählen."
    more = f"{number(more_mm / 1000, 2)} m mehr Film ({percent(more_mm / parted_mm, 1)})"
    return f"Ganze Laufzettel in einem Lauf bräuchten {more}."


def plan_costs(total: str, each: str, saved: str) -> str:
    """What a plan's film, ink, powder, machine and cutting cost; `saved` "": no less than rows."""
    less = f", {money_said(saved)} weniger als in einfachen Reihen" if saved else ""
    return f"Drucken und Schneiden kosten {money_said(total)}{less}: {money_said(each)} je Stück."


def stopped_early() -> str:
    """Somebody stopped the planning."""
    return "Angehalten: das ist der beste Plan bisher."


def planning(share: float, length_mm: float, rows_mm: float) -> str:
    """How far planning is, on one line that is written over."""
    best = f"{number(length_mm / 1000, 2)} m, einfache Reihen {number(rows_mm / 1000, 2)} m"
    return f"Plane {percent(share)}: {best} (Ctrl-C behält den besten bisher)"


def finishing(code: str, seconds: int) -> str:
    """What takes a while."""
    return f"Suche {seconds} s lang eine kürzere Anordnung von Lauf {code}. Ctrl-C lässt ihn, wie er ist."


def finished(code: str, before_mm: float, length_mm: float) -> str:
    """What came of it."""
    before = number(before_mm / 1000, 2)
    if length_mm >= before_mm:
        return f"Lauf {code} bleibt, wie er war, {before} m: nichts Kürzeres, das sich lohnt, wurde gefunden."
    saved = f"{number((before_mm - length_mm) / 1000, 2)} m weniger"
    return f"Lauf {code} ist jetzt {number(length_mm / 1000, 2)} m lang, {saved}: nach Umrissen gelegt."
