"""Every sentence about repairs, in one place, so that a shop may have them in its customers' language."""

from __future__ import annotations

from tickets.languages import make_spoken


def trimmed(margins_mm: tuple[float, float, float, float], size_mm: tuple[float, float]) -> str:
    """Margins cut off: left, top, right, bottom in mm of the print before; size in mm after."""
    left, top, right, bottom = margins_mm
    return (
        f"The empty margins are cut off ({left:.1f} mm left, {top:.1f} above, {right:.1f} right, "
        f"{bottom:.1f} below); the art itself is then {size_mm[0]:.1f} × {size_mm[1]:.1f} mm."
    )


def hardened(area_mm2: float, level: float, change: float) -> str:
    """Half transparent parts made solid or clear. `change`: of the ink, as a share."""
    return (
        f"{area_mm2:.1f} mm² of half transparent ink become solid from {level:.0%} on and clear below it: "
        f"{abs(change):.1%} {'more' if change > 0 else 'less'} ink."
    )


def specks_gone(count: int, limit_mm: float, letters: int) -> str:
    """Small dots taken away. `letters`: small pieces that are too long for dots, and stay."""
    pieces = "piece stays: it may be a letter" if letters == 1 else "pieces stay: they may be letters"
    stay = f" {letters} longer small {pieces}." if letters else ""
    dots = "One separate dot" if count == 1 else f"{count} separate dots"
    return f"{dots} smaller than {limit_mm:.2f} mm {'is' if count == 1 else 'are'} taken away.{stay}"


def background_gone(colour: str, share: float, enclosed: int, takes_enclosed: bool) -> str:
    """A ground taken away. `enclosed`: parts of its colour that ink encloses and that stay."""
    says = f"The plain ground ({colour}) behind the art is taken away, {share:.0%} of the picture."
    if takes_enclosed:
        return f"{says} Parts of that colour inside the art are taken away too."
    if enclosed:
        parts = "one part stays" if enclosed == 1 else f"{enclosed} parts stay"
        return f"{says} Of that colour inside the art {parts}, unless asked for."
    return says


def thickened(limit_mm: float, area_mm2: float) -> str:
    """Lines grown."""
    return f"Lines thinner than {limit_mm:.2f} mm are grown to it: {area_mm2:.1f} mm² more ink."


def converted_press(has_profile: bool) -> str:
    """CMYK brought to sRGB."""
    how = "its own profile" if has_profile else "a general profile, for want of its own"
    return f"The colours of a printing press (CMYK) are converted to sRGB with {how}: see that they please."


def converted_profile() -> str:
    """Another RGB or grey space brought to sRGB."""
    return "The colours are converted to sRGB through the profile in the file."


def nothing_to_do(name: str) -> str:
    """A repair that finds nothing."""
    return {
        "srgb": "The colours are sRGB already.",
        "background": "There is no plain ground behind the art.",
        "harden": "Nothing is half transparent.",
        "specks": "There are no dots smaller than the limit.",
        "trim": "There are no empty margins.",
        "thicken": "No line is thinner than the limit.",
    }[name]


def too_small(least_px: int) -> tuple[str, str]:
    """A picture that has hardly any pixels."""
    says = f"A picture with a side of fewer than {least_px} pixels cannot be repaired."
    return says, "Please send the artwork with more pixels."


def too_large(megapixels: float, most: float) -> tuple[str, str]:
    """A picture that is too large to be repaired here."""
    says = f"The artwork has {megapixels:.0f} megapixels; at most {most:.0f} can be repaired here."
    return says, "Please mend it in the program that it was made in."


make_spoken(__name__, de="intake.german.repairs")
