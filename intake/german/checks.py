"""German: every sentence of the findings, what is wrong and what the customer should do."""

from __future__ import annotations

from intake.checks.wording import MANY, Words
from intake.facts import Detail
from intake.german.colours import (
    beyond_printer,
    colour_depth,
    colour_mode,
    colours,
    rim,
    vanishing,
)
from tickets.german.numbers import number, percent
from tickets.languages import retold

__all__ = ["beyond_printer", "colour_depth", "colour_mode", "colours", "rim", "vanishing"]


def length(value_mm: float) -> str:
    """A length of a line or gap, rounded as the value beside the sentence is."""
    return f"{number(round(value_mm, 3), 2)} mm"


def size(value_mm: float) -> str:
    """A length of a print."""
    return f"{number(value_mm, 1)} mm"


def _places(count: int) -> str:
    if count <= 1:
        return ""
    return (
        f" Es gibt {count} solche Stellen." if count < MANY else f" Es gibt {MANY} solche Stellen oder mehr."
    )


def _about(uncertainty_mm: float) -> str:
    return f" (± {number(uncertainty_mm, 2)} mm)" if uncertainty_mm >= 0.02 else ""


def low_resolution(ppi: tuple[float, float], limit_ppi: float, *, shows: bool, what: str) -> Words:
    """Too few pixels an inch. `what`: the art or an image in it; `shows`: it is worth a query."""
    across, down = (_ppi(one) for one in ppi)
    told = across if across == down else f"{across} quer und {down} hoch"
    effect = "werden Kanten weich oder stufig" if shows else "können feine Einzelheiten etwas weich werden"
    return Words(
        f"Im bestellten Maß hat {what} {told} Pixel je Zoll; unter {limit_ppi:.0f} {effect}.",
        "Bitte mit mehr Pixeln senden (nicht dasselbe Bild vergrößert), oder kleiner drucken lassen."
        if shows
        else "Es geht so; wenn es mit mehr Pixeln vorliegt, bitte dieses senden.",
    )


def _ppi(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else number(value, 1)


def whole_art() -> str:
    """The art, when all of it is one picture."""
    return "das Motiv"


def placed_image(pixels: tuple[int, int], mask_ppi: float | None) -> str:
    """One image in a drawing, and its mask when that is finer or coarser."""
    mask = f"; seine Maske hat {_ppi(mask_ppi)} je Zoll" if mask_ppi is not None else ""
    return f"ein Bild im Motiv ({pixels[0]} × {pixels[1]} Pixel{mask})"


def placed_mask(pixels: tuple[int, int]) -> str:
    """A stencil or soft mask in a drawing."""
    return f"ein einfarbiges Bild oder eine Maske im Motiv ({pixels[0]} × {pixels[1]} Pixel)"


def background_box(colour: str, share: float, *, sure: bool, has_enclosed: bool) -> Words:
    """A plain ground that would be printed as a box."""
    begin = "Hinter dem Motiv liegt" if sure else "Hinter dem Motiv liegt anscheinend"
    enclosed = " Dieselbe Farbe liegt auch im Motiv." if has_enclosed else ""
    inside = " Bitte auch angeben, ob diese Farbe im Motiv gedruckt werden soll." if has_enclosed else ""
    return Words(
        f"{begin} ein Hintergrund ({colour}), auf {percent(share)} des Bildes: er würde als Kasten "
        f"gedruckt.{enclosed}",
        f"Bitte mit durchsichtigem Hintergrund senden, oder angeben, dass der Kasten gewollt ist.{inside}",
    )


def full_rectangle() -> Words:
    """An opaque picture without a plain ground: a photo."""
    return Words(
        "Das Bild hat keine durchsichtigen Stellen; es wird ganz gedruckt, als volles Rechteck.",
        "Ist nur ein Teil gemeint, bitte freigestellt auf durchsichtigem Hintergrund senden.",
    )


def colour_name(colour: str) -> str:
    """A word for a colour given as '#rrggbb'."""
    red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    if min(red, green, blue) >= 240:
        return "weiß"
    if max(red, green, blue) <= 24:
        return "schwarz"
    if max(red, green, blue) - min(red, green, blue) <= 12:
        return f"einfarbig grau, {colour}"
    return f"einfarbig, {colour}"


def soft_parts(share: float, limit: float) -> Words:
    """Semi-transparent ink."""
    return Words(
        f"{percent(share, 1)} der Farbe sind halb durchsichtig (weicher Schatten, Schein, "
        "Verlauf); wir fragen "
        f"ab {percent(limit, 1)}. Darunter wird Weiß gedruckt, so entsteht ein milchiger Fleck, "
        "oder es hält schlecht.",
        "Bitte mit vollen Farben senden, oder den Verlauf als Punktraster, oder angeben, dass "
        "es so bleiben soll.",
    )


def thin_line(value_mm: float, limit_mm: float, uncertainty_mm: float, count: int) -> Words:
    """A printed line under the limit."""
    return Words(
        f"Die dünnste Linie misst {length(value_mm)}{_about(uncertainty_mm)}; unter "
        f"{length(limit_mm)} geht das "
        f"Weiß darunter verloren, und sie hält nicht auf dem Textil.{_places(count)}",
        f"Diese Linien mindestens {length(limit_mm)} stark machen, oder größer drucken lassen.",
    )


def hairline(limit_mm: float, count: int) -> Words:
    """A line that is drawn with no width at all."""
    return Words(
        "Eine Linie ist ohne Stärke gezeichnet (Haarlinie): sie wird so dünn, wie der Drucker "
        "kann, und unter "
        f"{length(limit_mm)} hält nichts auf dem Textil.{_places(count)}",
        f"Diesen Linien eine Stärke von mindestens {length(limit_mm)} geben.",
    )


def tapering_line(value_mm: float, limit_mm: float) -> Words:
    """Lines that run out into a point."""
    return Words(
        f"Linien laufen in Spitzen von {length(value_mm)} aus; unter {length(limit_mm)} kann "
        "das äußerste Ende "
        "auf dem Textil fehlen.",
        "Nichts, wenn kürzere Spitzen nicht stören; sonst die Enden stumpf machen.",
    )


def thin_gap(value_mm: float, limit_mm: float, uncertainty_mm: float, count: int) -> Words:
    """A gap under the limit."""
    return Words(
        f"Die engste Lücke misst {length(value_mm)}{_about(uncertainty_mm)}; unter "
        f"{length(limit_mm)} setzt sie "
        f"sich mit Pulver zu.{_places(count)}",
        f"Diese Lücken auf mindestens {length(limit_mm)} weiten, oder schließen.",
    )


def small_islands(value_mm: float, limit_mm: float, count: int) -> Words:
    """Separate dots under the limit."""
    dots = "Ein einzelner Punkt ist" if count == 1 else f"{count} einzelne Punkte sind"
    least = f"er misst {length(value_mm)}" if count == 1 else f"der kleinste {length(value_mm)}"
    return Words(
        f"{dots} kleiner als {length(limit_mm)} ({least}): so wenig Pulver hält daran, dass es abgeht.",
        "Solche Punkte entfernen, vergrößern oder mit dem Motiv verbinden.",
    )


def white_lost(area_mm2: float, share: float, choke_mm: float) -> Words:
    """Colour without white under it."""
    return Words(
        f"{number(area_mm2, 1)} mm² des Motivs ({percent(share, 1)} der Farbe) sind so schmal, "
        "dass kein Weiß "
        f"darunter bleibt, weil es um {length(choke_mm)} zurückgenommen wird: auf dunklem "
        "Textil wirkt die Farbe "
        "dort stumpf.",
        "Diese Stellen breiter machen, oder angeben, dass es so bleiben darf.",
    )


def screened(*, is_fine: bool, limit_mm: float) -> Words:
    """Halftone, line screen or noise."""
    begin = "Das Motiv enthält ein Punkt- oder Linienraster oder Körnung; gemessen sind nur Stichproben."
    if not is_fine:
        return Words(begin, "Nichts: es ist grob genug, um zu halten.")
    return Words(
        f"{begin} Seine Punkte oder Lücken liegen teils unter {length(limit_mm)}: manche gehen "
        "ab, andere laufen "
        "zusammen.",
        "Bitte mit gröberem Raster oder vollen Farben senden, oder angeben, dass es so bleiben soll.",
    )


def wrong_shape(ordered: tuple[float, float], shape: float, off: float) -> Words:
    """Ordered width and height do not agree with the artwork's shape."""
    wide, high = ordered
    return Words(
        f"Bestellt sind {size(wide)} × {size(high)}, das Motiv hat aber ein anderes Seitenverhältnis "
        f"({percent(off, 1)} Abweichung): {size(wide)} breit ist es {size(wide / shape)} hoch, "
        f"{size(high)} hoch ist es {size(high * shape)} breit.",
        "Bitte angeben, was zählt, Breite oder Höhe; das andere folgt aus dem Motiv.",
    )


def too_wide(width_mm: float, height_mm: float, printable_mm: float, *, ink_would_fit: bool) -> Words:
    """Does not fit on the film either way."""
    trim = " Ohne den leeren Rand ginge es: bitte beschnitten senden." if ink_would_fit else ""
    return Words(
        f"Der Druck misst {size(width_mm)} × {size(height_mm)}; quer auf den Film passen höchstens "
        f"{size(printable_mm)}, und gedreht passt er auch nicht.",
        f"Höchstens {size(printable_mm)} breit oder hoch bestellen, oder in Teilen.{trim}",
    )


def too_long(length_mm: float, longest_mm: float) -> Words:
    """Longer than one stretch of film."""
    return Words(
        f"Der Druck ist {size(length_mm)} lang; an einem Stück gehen höchstens {size(longest_mm)}.",
        "Kürzer bestellen, oder in Teilen.",
    )


def laid_turned(width_mm: float, printable_mm: float) -> Words:
    """Fits on the film only turned by a quarter."""
    return Words(
        f"Mit {size(width_mm)} ist es breiter als die {size(printable_mm)} des Films und wird "
        "gedreht gedruckt.",
        "Nichts: beim Pressen wird es zurückgedreht.",
    )


def empty_margins(ink_mm: float, ordered_mm: float, way: str) -> Words:
    """The ink is smaller than what was ordered. `way`: "wide" or "high"."""
    side = "breit" if way == "wide" else "hoch"
    return Words(
        f"Das Motiv selbst ist {size(ink_mm)} {side}; die übrigen {size(ordered_mm - ink_mm)} der bestellten "
        f"{size(ordered_mm)} sind leerer Rand.",
        f"Dürfen wir den Rand abschneiden, damit das Motiv selbst {size(ordered_mm)} {side} "
        "ist, oder stimmt es so?",
    )


def nothing_inked() -> Words:
    """No ink at all."""
    return Words(
        "Es gibt nichts zu drucken: das ganze Bild ist durchsichtig.",
        "Die Datei auf farbigem Grund ansehen und neu senden; vielleicht ist das Motiv auf "
        "einer verborgenen Ebene.",
    )


def several_pages(pages: int, page: int, kind: str) -> Words:
    """A file of several pages, and the order names none."""
    return Words(
        f"Die Datei ({kind}) hat {pages} Seiten, und im Auftrag steht nicht, welche gedruckt "
        "werden; angesehen "
        f"ist Seite {page}.",
        "Bitte angeben, welche Seiten gedruckt werden sollen.",
    )


def remark(note: str) -> Words:
    """What the reader could not tell, or did on the way."""
    return Words(retold(note), "Nichts, wenn das Bild des Motivs stimmt; sonst neu senden.")


def little_detail(detail: Detail, ppi: float, limit_ppi: float) -> Words:
    """Pixels enough, but little detail in them."""
    off = max(5, 5 * round(detail.ppi * detail.error / 5))
    about = f"etwa {detail.ppi:.0f} Pixeln je Zoll (± {off})"
    has = f"Die Datei hat im bestellten Maß {ppi:.0f} Pixel je Zoll, ihre Schärfe entspricht aber {about}"
    ask = "Bitte das Bild senden, wie es vor dem Vergrößern war, oder die Zeichnung, aus der es entstand"
    if detail.kind == "blocks":
        return Words(
            f"{has}: es besteht aus Quadraten von {_times(detail.factor)} Pixeln, wie nach dem "
            "Vergrößern eines "
            f"kleinen Bildes × {_times(detail.factor)}. Man sieht sie als Stufen.",
            f"{ask}; oder angeben, dass die Quadrate gewollt sind.",
        )
    if detail.kind == "enlarged":
        return Words(
            f"{has}: es trägt die Spuren einer Vergrößerung × {_times(detail.factor)}, Kanten "
            "wirken weich; wir "
            f"fragen unter {limit_ppi:.0f}.",
            f"{ask}; oder angeben, dass es so bleiben soll.",
        )
    if detail.is_photo:
        return Words(
            f"{has}. Es ist vielleicht vergrößert oder etwas unscharf; feine Einzelheiten werden weich.",
            "Es geht so; wenn es schärfer oder in der ersten Größe vorliegt, bitte dieses senden.",
        )
    return Words(
        f"{has}: selbst die schärfsten Kanten sind weich. Es ist anscheinend vergrößert oder "
        "unscharf; wir fragen "
        f"unter {limit_ppi:.0f}.",
        f"{ask}; oder angeben, dass es so bleiben soll.",
    )


def _times(factor: float) -> str:
    return number(factor, 1, 0)


def stray_dots(count: int, largest_mm: float, area_mm2: float) -> Words:
    """Dirt."""
    few = "Ein winziger Punkt liegt" if count == 1 else f"{count} winzige Punkte liegen"
    looks = "er sieht" if count == 1 else "sie sehen"
    would = "würde mit Weiß darunter gedruckt" if count == 1 else "würden mit Weiß darunter gedruckt"
    most = f"{length(largest_mm)} groß" if count == 1 else f"bis {length(largest_mm)} groß"
    return Words(
        f"{few} abseits vom Rest des Motivs ({most}, zusammen {number(max(area_mm2, 0.01), 2)} mm² Farbe): "
        f"{looks} nach Schmutz oder Radierresten aus und {would}.",
        "Entfernen, was nicht gemeint ist, oder angeben, dass es bleiben soll; so klein kann es abgehen.",
    )


def mirrored() -> Words:
    """The order says so."""
    return Words(
        "Laut Auftrag kommt das Motiv gespiegelt an: es wird gedruckt, wie es ist, und nicht "
        "noch einmal gespiegelt.",
        "Nichts, wenn Schrift im Bild verkehrt herum läuft; sonst bitte melden.",
    )


def live_text(fonts: list[str], x_mm: float | None, size_pt: float | None, limit: float) -> Words:
    """Missing fonts, small letters, or both."""
    says, do = [], []
    if fonts:
        named = f"{', '.join(fonts[:4])}{', …' if len(fonts) > 4 else ''}"
        few = f"die Schrift {fonts[0]}" if len(fonts) == 1 else f"{len(fonts)} Schriften ({named})"
        which = "die" if len(fonts) == 1 else "welche"
        says.append(
            f"Der Text verwendet {few}, {which} die Datei nicht enthält: andere treten an die Stelle."
        )
        do.append("Die Schriften einbetten oder den Text in Pfade umwandeln")
    hard = "ist er schwer zu lesen, und seine Teile halten schlecht."
    if x_mm is not None:
        says.append(
            f"Im kleinsten Text sind Kleinbuchstaben {length(x_mm)} hoch; unter {length(limit)} {hard}"
        )
    elif size_pt is not None:
        says.append(f"Der kleinste Text hat {number(size_pt, 1)} pt; unter {limit:.0f} pt {hard}")
    if size_pt is not None:
        do.append("den kleinen Text größer setzen" if do else "Den kleinen Text größer setzen")
    return Words(" ".join(says), f"{' und '.join(do)}; oder angeben, dass es so bleiben soll.")
