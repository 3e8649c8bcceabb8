"""Every sentence of the test chart, its form and the limits taken from it."""

from __future__ import annotations

from collections.abc import Sequence

TITLE = "Test print"
FORM_TITLE = "What survived"
ABOUT = (
    "Print the first page at its real size with your usual white and choke; powder, cure, press and wash it "
    "as you do for customers."
)
RULER = "This line is 100 mm long. If it is not, the page was scaled: print it again at 100 %."
LINES, GAPS, DOTS = "Lines, mm", "Gaps, mm", "Dots, mm across"
TYPE, REVERSED, RAMPS = "Type, points", "Type left open in ink", "Soft ink, share of coverage"
SAMPLE = "Harbour 3580"  # without dotted letters: their dots would be smaller than the chart's own
FIELDS = ("Date", "By", "Film", "Powder", "Garment", "Press: heat, time, pressure", "Washes and their heat")
HOW = (
    "Tick what is still whole after each step: a line or dot that is all there and holds, a gap "
    "that is open. The smallest size with all its ticks is your limit."
)
SMALLEST = "Smallest that survived all"
STEP_NAMES = {"print": "printed", "powder": "powdered", "cure": "cured", "press": "pressed", "wash": "washed"}
TYPED = "Then type what survived, and the check works with your own limits:"
COMMAND = "filmdocket limits --line-mm ____ --gap-mm ____ --dot-mm ____"
SOFT = "Soft ink: from this share of coverage on it holds and looks as meant"
TEXT = "Type: the smallest that is read without effort"


def remark(day: str) -> str:
    """The comment beside a limit that a test print gave."""
    return f"from our own test print, {day}"


def changed(key: str, was: float, now: float, is_own: bool) -> str:
    """One limit that was set anew."""
    before = "your own" if is_own else "as shipped"
    if was == now:
        return f"{key}: {now:g}, as before."
    return f"{key}: {now:g} from now on, was {was:g} ({before})."


def stands(key: str, value: float, source: str) -> str:
    """One limit as it stands."""
    return f"{key} = {value:g} ({source})"


def no_survivors(kinds: Sequence[str]) -> tuple[str, str]:
    """A filled form without any usable number."""
    says = f"The form names no size that survived: it needs a number under {', '.join(kinds)}."
    return says, 'Fill in for example {"line_mm": 0.25, "gap_mm": 0.4, "dot_mm": 0.45} and run it again.'


def not_edited(path: str, lines: Sequence[str]) -> tuple[str, str]:
    """A limits file of a shape that is not changed by itself."""
    says = f"{path} is written in a way that is not changed automatically; nothing was changed."
    return says, f"Set these yourself: {'; '.join(lines)}."
