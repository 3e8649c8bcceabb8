"""German: repairs, what each would do to an artwork, and why one can't."""

from __future__ import annotations

from tickets.german.numbers import number, percent


def trimmed(margins_mm: tuple[float, float, float, float], size_mm: tuple[float, float]) -> str:
    """Margins cut off: left, top, right, bottom in mm of the print before; size in mm after."""
    left, top, right, bottom = (number(one, 1) for one in margins_mm)
    return (
        f"Der leere Rand fällt weg (links {left} mm, oben {top}, rechts {right}, unten {bottom}); das Motiv "
        f"selbst misst dann {number(size_mm[0], 1)} × {number(size_mm[1], 1)} mm."
    )


def hardened(area_mm2: float, level: float, change: float) -> str:
    """Half transparent parts made solid or clear. `change`: of the ink, as a share."""
    return (
        f"{number(area_mm2, 1)} mm² halb durchsichtige Farbe werden ab {percent(level)} "
        "deckend, darunter klar: "
        f"{percent(abs(change), 1)} {'mehr' if change > 0 else 'weniger'} Farbe."
    )


def specks_gone(count: int, limit_mm: float, letters: int) -> str:
    """Small dots taken away. `letters`: small pieces that are too long for dots, and stay."""
    pieces = (
        "längeres kleines Stück bleibt: es könnte ein Buchstabe sein"
        if letters == 1
        else "längere kleine Stücke bleiben: sie könnten Buchstaben sein"
    )
    stay = f" {letters} {pieces}." if letters else ""
    dots = "Ein einzelner Punkt" if count == 1 else f"{count} einzelne Punkte"
    return f"{dots} unter {number(limit_mm, 2)} mm {'fällt' if count == 1 else 'fallen'} weg.{stay}"


def background_gone(colour: str, share: float, enclosed: int, takes_enclosed: bool) -> str:
    """A ground taken away. `enclosed`: parts of its colour that ink encloses and that stay."""
    says = f"Der einfarbige Grund ({colour}) hinter dem Motiv fällt weg, {percent(share)} des Bildes."
    if takes_enclosed:
        return f"{says} Auch Stellen dieser Farbe im Motiv fallen weg."
    if enclosed:
        parts = "bleibt eine Stelle" if enclosed == 1 else f"bleiben {enclosed} Stellen"
        return f"{says} Von dieser Farbe {parts} im Motiv, wenn nichts anderes verlangt ist."
    return says


def thickened(limit_mm: float, area_mm2: float) -> str:
    """Lines grown."""
    return f"Linien unter {number(limit_mm, 2)} mm werden so stark: {number(area_mm2, 1)} mm² mehr Farbe."


def converted_press(has_profile: bool) -> str:
    """CMYK brought to sRGB."""
    how = "mit dem eigenen Profil" if has_profile else "mit einem allgemeinen Profil, ein eigenes fehlt,"
    return f"Die Druckfarben (CMYK) werden {how} nach sRGB umgerechnet: bitte ansehen, ob sie gefallen."


def converted_profile() -> str:
    """Another RGB or grey space brought to sRGB."""
    return "Die Farben werden über das Profil in der Datei nach sRGB umgerechnet."


def nothing_to_do(name: str) -> str:
    """A repair that finds nothing."""
    return {
        "srgb": "Die Farben sind schon sRGB.",
        "background": "Hinter dem Motiv ist kein einfarbiger Grund.",
        "harden": "Nichts ist halb durchsichtig.",
        "specks": "Kein Punkt liegt unter der Grenze.",
        "trim": "Es gibt keinen leeren Rand.",
        "thicken": "Keine Linie liegt unter der Grenze.",
    }[name]


def too_small(least_px: int) -> tuple[str, str]:
    """A picture that has hardly any pixels."""
    return (
        f"Ein Bild mit einer Seite unter {least_px} Pixeln lässt sich nicht ausbessern.",
        "Bitte das Motiv mit mehr Pixeln senden.",
    )


def too_large(megapixels: float, most: float) -> tuple[str, str]:
    """A picture that is too large to be repaired here."""
    return (
        f"Das Motiv hat {megapixels:.0f} Megapixel; hier ausbessern lassen sich höchstens {most:.0f}.",
        "Bitte im Programm ausbessern, in dem es entstanden ist.",
    )
