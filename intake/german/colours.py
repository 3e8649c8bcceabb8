"""German: the sentences of the findings about colours and what was cut out."""

from __future__ import annotations

from intake.checks.wording import Words
from intake.facts import Gamut, Vanishing
from tickets.german.numbers import percent
from tickets.languages import retold

_TONES = {"white": "weißen", "black": "schwarzen"}


def rim(ground: str, share: float, *, is_hidden: bool) -> Words:
    """What cutting out has left."""
    is_light = ground == "white"
    hides = f" Auf {'hellem' if is_light else 'dunklem'} Textil sieht man ihn kaum." if is_hidden else ""
    return Words(
        "Um das freigestellte Motiv läuft anscheinend ein "
        f"{'heller' if is_light else 'dunkler'} Rand, an etwa "
        f"{percent(share)} der geprüften Kanten: Spuren eines {_TONES.get(ground, ground)} "
        "Hintergrunds, aus dem "
        f"es freigestellt wurde.{hides}",
        "Nichts, außer es liegt sauberer freigestellt vor."
        if is_hidden
        else "Etwas weiter innen freistellen, oder die Farbe des Rands herausnehmen; oder angeben, dass er "
        "bleiben darf.",
    )


def vanishing(gone: Vanishing, garment: str, *, is_alone: bool, has_box: bool) -> Words:
    """Ink in about the garment's colour."""
    share = gone.area_mm2 / gone.ink_mm2
    part = "Das ganze Motiv" if share >= 0.995 else f"{_share(share)} des Motivs ({gone.area_mm2:.0f} mm²)"
    has = "hat" if share >= 0.995 else "haben"
    same = f"{part} {has} fast die Farbe des Textils ({gone.colour} auf {garment})"
    if has_box:
        return Words(
            f"{same}. Auf dem Hintergrund sieht man es; ohne ihn verschwände es nahezu.",
            "Daran denken, wenn der Hintergrund wegfallen soll.",
        )
    if not is_alone:
        return Words(
            f"{same}; dort scheint der Stoff zwischen den anderen Farben durchzukommen.",
            "Nichts, wenn es so gemeint ist; sonst diese Stellen in einer anderen Farbe senden.",
        )
    count = gone.alone_count
    where = f" {'Eine solche Stelle steht' if count == 1 else f'{count} solche Stellen stehen'} allein."
    return Words(
        f"{same} und {'verschwindet' if share >= 0.995 else 'verschwinden'} nahezu darauf.{where}",
        "Diese Stellen in einer sichtbaren Farbe senden, ein anderes Textil wählen, oder angeben, dass es so "
        "gemeint ist.",
    )


def _share(share: float) -> str:
    return percent(share) if share >= 0.1 else percent(share, 1)


def colour_mode(mode: str) -> str:
    """A file that is not in RGB."""
    return f"Die Farben sind als {mode} gespeichert; zum Ansehen und Drucken wurden sie nach RGB gebracht."


def colour_depth(bits: int) -> str:
    """More than 8 bits."""
    return f"Sie hat {bits} Bit je Kanal; gedruckt wird mit 8, was niemand sieht."


def colours(said: list[str]) -> Words:
    """Remarks on colours, gathered."""
    return Words(
        " ".join(retold(one) for one in said),
        "Nichts, wenn die Farben des Bildes stimmen; sonst als sRGB exportieren und neu senden.",
    )


def beyond_printer(gamut: Gamut, *, is_query: bool) -> Words:
    """Colours that the shop's printer cannot make."""
    whole = gamut.share >= 0.995
    part = "Die ganze Farbe" if whole else f"{_share(gamut.share)} der Farbe"
    return Words(
        f"{part} {'liegt' if whole else 'liegen'} außerhalb dessen, was unser Drucker nach "
        "seinem Profil kann: sie "
        f"{'wird' if whole else 'werden'} stumpfer. {gamut.wanted} sieht etwa aus wie {gamut.printed}.",
        "Stumpfere Farben wählen, oder angeben, dass so nah wie möglich gedruckt werden darf."
        if is_query
        else "Nichts, wenn etwas weniger leuchtend genügt.",
    )
