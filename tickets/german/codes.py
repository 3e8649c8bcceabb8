"""What is wrong with a typed or scanned code, in German."""

from __future__ import annotations

from collections.abc import Sequence

SCAN_ONE = "Scanne einen nach dem anderen."
NO_CODE_THERE = "Im Getippten ist kein Code."
TYPE_CODE = "Scanne den QR-Code, oder tipp die großen Zeichen daneben, wie sie dastehen."


def several_codes(codes: Sequence[str]) -> str:
    """More than one code came in at once."""
    return f"Es kamen mehrere Codes auf einmal: {', '.join(codes)}."


def code_has_strange(typed: str, strange: Sequence[str]) -> str:
    """The text has characters that no code has."""
    shown = " ".join(strange[:5])
    return f"„{typed}“ ist kein Code: {shown} {'kommt' if len(strange) == 1 else 'kommen'} in keinem vor."


def code_length(typed: str, length: int, wanted: int) -> str:
    """The text is too short or too long."""
    short = "kurz" if length < wanted else "lang"
    which = "der eines Zettels hat" if wanted == 7 else "der eines Filmlaufs mindestens"
    return f"„{typed}“ ist zu {short} für einen Code: es hat {length} Zeichen, {which} {wanted}."


def code_fails_check(code: str) -> str:
    """The check character doesn't fit."""
    return f"Ein Zeichen von {code} ist falsch, oder zwei sind vertauscht: das Prüfzeichen passt nicht."
