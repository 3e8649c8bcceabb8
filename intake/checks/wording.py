"""Every sentence of the findings, in one place, so that a shop may have them in its customers' language."""

from __future__ import annotations

from typing import NamedTuple

from intake.facts import Detail, Gamut, Vanishing
from tickets.languages import make_spoken

MANY = 40  # places are looked up no further than so


class Words(NamedTuple):
    """What is wrong, and what the customer should do."""

    says: str
    do: str


def length(value_mm: float) -> str:
    """A length of a line or gap, rounded as the value beside the sentence is."""
    return f"{round(value_mm, 3):.2f} mm"


def size(value_mm: float) -> str:
    """A length of a print."""
    return f"{value_mm:.1f} mm"


def _places(count: int) -> str:
    if count <= 1:
        return ""
    return f" There are {count} such places." if count < MANY else f" There are {MANY} such places or more."


def _about(uncertainty_mm: float) -> str:
    return f" (give or take {uncertainty_mm:.2f} mm)" if uncertainty_mm >= 0.02 else ""


def low_resolution(ppi: tuple[float, float], limit_ppi: float, *, shows: bool, what: str) -> Words:
    """Too few pixels an inch. `what`: the art or an image in it; `shows`: it is worth a query."""
    across, down = (_ppi(one) for one in ppi)
    told = across if across == down else f"{across} across and {down} down"
    effect = "edges will look soft or stepped" if shows else "fine detail may look a little soft"
    return Words(
        f"At the ordered size {what} has {told} pixels an inch; under {limit_ppi:.0f} {effect}.",
        "Send it with more pixels (not the same picture enlarged), or have it printed smaller."
        if shows
        else "It can be printed as it is; if you have it with more pixels, send that.",
    )


def _ppi(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}"


def whole_art() -> str:
    """The art, when all of it is one picture."""
    return "the artwork"


def placed_image(pixels: tuple[int, int], mask_ppi: float | None) -> str:
    """One image in a drawing, and its mask when that is finer or coarser."""
    mask = f"; its mask has {_ppi(mask_ppi)} an inch" if mask_ppi is not None else ""
    return f"a picture in the artwork ({pixels[0]} × {pixels[1]} pixels{mask})"


def placed_mask(pixels: tuple[int, int]) -> str:
    """A stencil or soft mask in a drawing."""
    return f"a one-colour or mask picture in the artwork ({pixels[0]} × {pixels[1]} pixels)"


def background_box(colour: str, share: float, *, sure: bool, has_enclosed: bool) -> Words:
    """A plain ground that would be printed as a box."""
    begin = "There is" if sure else "There seems to be"
    enclosed = " The same colour also lies inside the art." if has_enclosed else ""
    inside = " Tell us too whether that colour inside the art is to be printed." if has_enclosed else ""
    return Words(
        f"{begin} a {colour} background behind the art, over {share:.0%} of the picture: it would be "
        f"printed as a box.{enclosed}",
        f"Send it with a transparent background, or tell us that the box is meant.{inside}",
    )


def full_rectangle() -> Words:
    """An opaque picture without a plain ground: a photo."""
    return Words(
        "The picture has no transparent parts, so all of it is printed, as a full rectangle.",
        "If only part of it is meant, send it cut out on a transparent background.",
    )


def colour_name(colour: str) -> str:
    """A word for a colour given as '#rrggbb'."""
    red, green, blue = (int(colour[k : k + 2], 16) for k in (1, 3, 5))
    if min(red, green, blue) >= 240:
        return "white"
    if max(red, green, blue) <= 24:
        return "black"
    if max(red, green, blue) - min(red, green, blue) <= 12:
        return f"plain grey ({colour})"
    return f"plain coloured ({colour})"


def soft_parts(share: float, limit: float) -> Words:
    """Semi-transparent ink."""
    return Words(
        f"{share:.1%} of the ink is half transparent (a soft shadow, a glow, a faded edge); we ask from "
        f"{limit:.1%} on. White is printed under it, so it turns out as a milky patch or holds badly.",
        "Send it with solid colours, or a fade made of dots, or tell us to print it as it is.",
    )


def thin_line(value_mm: float, limit_mm: float, uncertainty_mm: float, count: int) -> Words:
    """A printed line under the limit."""
    return Words(
        f"The thinnest line is {length(value_mm)}{_about(uncertainty_mm)}; under {length(limit_mm)} the "
        f"white beneath it is lost and it does not hold on the garment.{_places(count)}",
        f"Make these lines at least {length(limit_mm)} thick, or have the design printed larger.",
    )


def hairline(limit_mm: float, count: int) -> Words:
    """A line that is drawn with no width at all."""
    return Words(
        "A line is drawn without any thickness (a hairline): it comes out as thin as the printer can make "
        f"it, and under {length(limit_mm)} nothing holds on the garment.{_places(count)}",
        f"Give these lines a thickness of at least {length(limit_mm)}.",
    )


def tapering_line(value_mm: float, limit_mm: float) -> Words:
    """Lines that run out into a point."""
    return Words(
        f"Lines run out into points as thin as {length(value_mm)}; under {length(limit_mm)} the very end may "
        "be missing on the garment.",
        "Nothing, if shorter points do no harm; else make the ends blunt.",
    )


def thin_gap(value_mm: float, limit_mm: float, uncertainty_mm: float, count: int) -> Words:
    """A gap under the limit."""
    return Words(
        f"The narrowest gap is {length(value_mm)}{_about(uncertainty_mm)}; under {length(limit_mm)} it fills "
        f"with powder and closes.{_places(count)}",
        f"Widen these gaps to at least {length(limit_mm)}, or close them.",
    )


def small_islands(value_mm: float, limit_mm: float, count: int) -> Words:
    """Separate dots under the limit."""
    dots = "One separate dot is" if count == 1 else f"{count} separate dots are"
    least = f"it is {length(value_mm)}" if count == 1 else f"the smallest {length(value_mm)}"
    return Words(
        f"{dots} smaller than {length(limit_mm)} ({least}): so little powder holds on it that it comes off.",
        "Remove such dots, make them larger, or join them to the art.",
    )


def white_lost(area_mm2: float, share: float, choke_mm: float) -> Words:
    """Colour without white under it."""
    return Words(
        f"{area_mm2:.1f} mm² of the art ({share:.1%} of the ink) are so narrow that no white is left under "
        f"them, as it is pulled in by {length(choke_mm)}: there the colour looks dull on a dark garment.",
        "Make these parts wider, or tell us that it may stay.",
    )


def screened(*, is_fine: bool, limit_mm: float) -> Words:
    """Halftone, line screen or noise."""
    begin = "The art holds a screen of dots or lines, or a grainy texture; it was measured in samples only."
    if not is_fine:
        return Words(begin, "Nothing: it is coarse enough to hold.")
    return Words(
        f"{begin} Its dots or gaps are partly under {length(limit_mm)}: some come off, others run together.",
        "Send it with a coarser screen or solid colours, or tell us to print it as it is.",
    )


def wrong_shape(ordered: tuple[float, float], shape: float, off: float) -> Words:
    """Ordered width and height do not agree with the artwork's shape."""
    wide, high = ordered
    return Words(
        f"Ordered are {size(wide)} × {size(high)}, but the artwork has another shape ({off:.1%} off): "
        f"{size(wide)} wide it is {size(wide / shape)} high, "
        f"{size(high)} high it is {size(high * shape)} wide.",
        "Tell us which of the two counts, width or height; the other follows from the artwork.",
    )


def too_wide(width_mm: float, height_mm: float, printable_mm: float, *, ink_would_fit: bool) -> Words:
    """Does not fit on the film either way."""
    trim = " Without its empty margins it would fit: send it trimmed." if ink_would_fit else ""
    return Words(
        f"The print is {size(width_mm)} × {size(height_mm)}; at most {size(printable_mm)} fit across the "
        "film, and it does not fit turned either.",
        f"Order it at most {size(printable_mm)} wide or high, or in parts.{trim}",
    )


def too_long(length_mm: float, longest_mm: float) -> Words:
    """Longer than one stretch of film."""
    return Words(
        f"The print is {size(length_mm)} long; at most {size(longest_mm)} can be printed in one piece.",
        "Order it shorter, or in parts.",
    )


def laid_turned(width_mm: float, printable_mm: float) -> Words:
    """Fits on the film only turned by a quarter."""
    return Words(
        f"At {size(width_mm)} it is wider than the {size(printable_mm)} of film, so it is printed turned.",
        "Nothing: it is turned back on the press.",
    )


def empty_margins(ink_mm: float, ordered_mm: float, way: str) -> Words:
    """The ink is smaller than what was ordered. `way`: "wide" or "high"."""
    return Words(
        f"The art itself is {size(ink_mm)} {way}; the other {size(ordered_mm - ink_mm)} of the ordered "
        f"{size(ordered_mm)} are empty margin.",
        f"May we trim the margin, so that the art itself is {size(ordered_mm)} {way}, or is it right so?",
    )


def nothing_inked() -> Words:
    """No ink at all."""
    return Words(
        "There is nothing to print: the whole picture is transparent.",
        "Look at the file on a coloured background and send it again; the art may be on a hidden layer.",
    )


def several_pages(pages: int, page: int, kind: str) -> Words:
    """A file of several pages, and the order names none."""
    return Words(
        f"The {kind} has {pages} pages and the order does not say which to print; page {page} was looked at.",
        "Tell us which pages are to be printed.",
    )


def remark(note: str) -> Words:
    """What the reader could not tell, or did on the way."""
    return Words(note, "Nothing, if the picture of your artwork looks as you meant it; else send it again.")


def little_detail(detail: Detail, ppi: float, limit_ppi: float) -> Words:
    """Pixels enough, but little detail in them."""
    off = max(5, 5 * round(detail.ppi * detail.error / 5))
    about = f"about {detail.ppi:.0f} pixels an inch (give or take {off})"
    has = f"The file has {ppi:.0f} pixels an inch at the ordered size, but its detail equals {about}"
    ask = "Send the picture as it was before it was enlarged, or the drawing that it was made from"
    if detail.kind == "blocks":
        return Words(
            f"{has}: it is made of squares of {_times(detail.factor)} pixels, as after enlarging a small "
            f"picture × {_times(detail.factor)}. They show as steps.",
            f"{ask}; or tell us that the squares are meant.",
        )
    if detail.kind == "enlarged":
        return Words(
            f"{has}: it shows the traces of one enlarged × {_times(detail.factor)}, so edges look soft; "
            f"we ask under {limit_ppi:.0f}.",
            f"{ask}; or tell us to print it as it is.",
        )
    if detail.is_photo:
        return Words(
            f"{has}. It may have been enlarged, or be a little out of focus; fine detail will look soft.",
            "It can be printed as it is; if you have it sharper or in its first size, send that.",
        )
    return Words(
        f"{has}: even its sharpest edges are soft. It was enlarged, it seems, or is out of focus; we ask "
        f"under {limit_ppi:.0f}.",
        f"{ask}; or tell us to print it as it is.",
    )


def _times(factor: float) -> str:
    return f"{factor:.1f}".removesuffix(".0")


def stray_dots(count: int, largest_mm: float, area_mm2: float) -> Words:
    """Dirt."""
    few = "One tiny dot lies" if count == 1 else f"{count} tiny dots lie"
    looks, them = ("it looks", "it") if count == 1 else ("they look", "them")
    most = f"{length(largest_mm)} across" if count == 1 else f"up to {length(largest_mm)} across"
    return Words(
        f"{few} alone, away from the rest of the art ({most}, {max(area_mm2, 0.01):.2f} mm² of ink in all): "
        f"{looks} like dirt or a slip of the eraser, and would be printed with white under {them}.",
        "Remove what is not meant, or tell us that it is; so small it may come off.",
    )


def rim(ground: str, share: float, *, is_hidden: bool) -> Words:
    """What cutting out has left."""
    tone = "light" if ground == "white" else "dark"
    hides = f" On a {tone} garment it hardly shows." if is_hidden else ""
    return Words(
        f"A {tone} rim seems to run round the cut-out art, over about {share:.0%} of the edges looked at: "
        f"traces of a {ground} background that it was cut out from.{hides}",
        "Nothing, unless you have it cut out more cleanly."
        if is_hidden
        else "Cut it out a little further inside, or take the rim's colour out; or tell us that it may stay.",
    )


def vanishing(gone: Vanishing, garment: str, *, is_alone: bool, has_box: bool) -> Words:
    """Ink in about the garment's colour."""
    share = gone.area_mm2 / gone.ink_mm2
    part = "All of the art" if share >= 0.995 else f"{_share(share)} of the art ({gone.area_mm2:.0f} mm²)"
    same = f"{part} has nearly the colour of the garment ({gone.colour} on {garment})"
    if has_box:
        return Words(
            f"{same}. On its background it shows; without the background it would all but vanish.",
            "Bear it in mind if the background is to go.",
        )
    if not is_alone:
        return Words(
            f"{same}, so there the cloth seems to show between the other colours.",
            "Nothing, if that is how it is meant; else send these parts in another colour.",
        )
    count = gone.alone_count
    where = f" {'One such part stands' if count == 1 else f'{count} such parts stand'} alone."
    return Words(
        f"{same} and all but vanishes on it.{where}",
        "Send these parts in a colour that shows, choose another garment, or tell us that it is meant.",
    )


def _share(share: float) -> str:
    return f"{share:.0%}" if share >= 0.1 else f"{share:.1%}"


COLOUR_WORDS = ("colour profile", "Spot colours", "(CMYK)", "Overprint")
FONT_WORDS = ("does not carry its fonts",)


def colour_mode(mode: str) -> str:
    """A file that is not in RGB."""
    return f"The colours are kept as {mode}; they were brought to RGB to be looked at and printed."


def colour_depth(bits: int) -> str:
    """More than 8 bits."""
    return f"It has {bits} bits a channel; it is printed with 8, which nobody sees."


def colours(said: list[str]) -> Words:
    """Remarks on colours, gathered."""
    return Words(
        " ".join(said),
        "Nothing, if the colours of the picture are as you meant them; else export it as sRGB and send that.",
    )


def beyond_printer(gamut: Gamut, *, is_query: bool) -> Words:
    """Colours that the shop's printer cannot make."""
    part = "All of the ink" if gamut.share >= 0.995 else f"{_share(gamut.share)} of the ink"
    return Words(
        f"{part} has colours that our printer cannot make, by its profile: they come out duller. "
        f"{gamut.wanted} will look about like {gamut.printed}.",
        "Choose duller colours, or tell us that it may be printed as near as it comes."
        if is_query
        else "Nothing, if a little less bright will do.",
    )


def mirrored() -> Words:
    """The order says so."""
    return Words(
        "The order says that the art arrives mirrored: it is printed as it is and not mirrored again.",
        "Nothing, if writing in the picture reads backwards; else tell us.",
    )


def live_text(fonts: list[str], x_mm: float | None, size_pt: float | None, limit: float) -> Words:
    """Missing fonts, small letters, or both."""
    says, do = [], []
    if fonts:
        few = f"the font {fonts[0]}" if len(fonts) == 1 else f"{len(fonts)} fonts ({', '.join(fonts[:4])}"
        few += "" if len(fonts) == 1 else ", …)" if len(fonts) > 4 else ")"
        says.append(f"The text uses {few}, which the file does not carry: other letters take their place.")
        do.append("Embed the fonts or turn the text into outlines")
    if x_mm is not None:
        says.append(
            f"The smallest text has lower-case letters {length(x_mm)} high; under {length(limit)} it is hard "
            "to read and its parts hold badly."
        )
    elif size_pt is not None:
        says.append(
            f"The smallest text is {size_pt:.1f} pt; under {limit:.0f} pt it is hard to read and its "
            "parts hold badly."
        )
    if size_pt is not None:
        do.append("set the small text larger" if do else "Set the small text larger")
    return Words(" ".join(says), f"{', and '.join(do)}; or tell us to print it as it is.")


make_spoken(__name__, de="intake.german.checks")
