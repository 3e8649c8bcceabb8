"""Scans that came through another keyboard than the scanner is set to: read by their check character.

A hand scanner is a keyboard: it presses keys, and the computer makes characters of them by its own layout.
Where the two are set to different ones, digits, letters and the marks of an address arrive as others. The
layouts are national ones, written down from memory; a test holds them against those of xkeyboard-config.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from tickets.codes import MOST_TYPED, Code, codes_in

# Each row of keys, without Shift and with it: ` 1 … 0 - =, then q …, a …, z …
_US = (
    "`1234567890-=qwertyuiop[]\\asdfghjkl;'zxcvbnm,./",
    '~!@#$%^&*()_+QWERTYUIOP{}|ASDFGHJKL:"ZXCVBNM<>?',
)
# Only layouts that move letters or digits: elsewhere a code arrives whole, and `codes` forgives the marks.
_LAYOUTS = {
    "German": (
        "^1234567890ß´qwertzuiopü+#asdfghjklöäyxcvbnm,.-",
        "°!\"§$%&/()=?`QWERTZUIOPÜ*'ASDFGHJKLÖÄYXCVBNM;:_",
    ),
    "Swiss": (
        "§1234567890'^qwertzuiopü¨$asdfghjklöäyxcvbnm,.-",
        '°+"*ç%&/()=?`QWERTZUIOPè!£ASDFGHJKLéàYXCVBNM;:_',
    ),
    "Slovene or Croatian": (
        "¸1234567890'+qwertzuiopšđžasdfghjklčćyxcvbnm,.-",
        '¨!"#$%&/()=?*QWERTZUIOPŠĐŽASDFGHJKLČĆYXCVBNM;:_',
    ),
    "Hungarian": (
        "0123456789öüóqwertzuiopőúűasdfghjkléáyxcvbnm,.-",
        "§'\"+!%/=()ÖÜÓQWERTZUIOPŐÚŰASDFGHJKLÉÁYXCVBNM?:_",
    ),
    "Czech": (
        ";+ěščřžýáíé=´qwertzuiopú)¨asdfghjklů§yxcvbnm,.-",
        "°1234567890%ˇQWERTZUIOP/('ASDFGHJKL\"!YXCVBNM?:_",
    ),
    "Slovak": (
        ";+ľščťžýáíé=´qwertzuiopúäňasdfghjklô§yxcvbnm,.-",
        '°1234567890%ˇQWERTZUIOP/()ASDFGHJKL"!YXCVBNM?:_',
    ),
    "French": (
        "²&é\"'(-è_çà)=azertyuiop^$*qsdfghjklmùwxcvbn,;:!",
        "~1234567890°+AZERTYUIOP¨£µQSDFGHJKLM%WXCVBN?./§",
    ),
    "Belgian": (
        "²&é\"'(§è!çà)-azertyuiop^$µqsdfghjklmùwxcvbn,;:=",
        "³1234567890°_AZERTYUIOP¨*£QSDFGHJKLM%WXCVBN?./+",
    ),
    "Lithuanian": (
        "`ąčęėįšųū90-žqwertyuiop[]\\asdfghjkl;'zxcvbnm,./",
        '~ĄČĘĖĮŠŲŪ()_ŽQWERTYUIOP{}|ASDFGHJKL:"ZXCVBNM<>?',
    ),
    "Turkish": (
        '"1234567890*-qwertyuıopğü,asdfghjklşizxcvbnmöç.',
        "é!'^+%&/()=?_QWERTYUIOPĞÜ;ASDFGHJKLŞİZXCVBNMÖÇ:",
    ),
    "Greek": (
        "`1234567890-=;ςερτυθιοπ[]\\ασδφγηξκλ΄'ζχψωβνμ,./",
        '~!@#$%^&*()_+:΅ΕΡΤΥΘΙΟΠ{}|ΑΣΔΦΓΗΞΚΛ¨"ΖΧΨΩΒΝΜ<>?',
    ),
    "Russian": (
        "ё1234567890-=йцукенгшщзхъ\\фывапролджэячсмитьбю.",
        'Ё!"№;%:?*()_+ЙЦУКЕНГШЩЗХЪ/ФЫВАПРОЛДЖЭЯЧСМИТЬБЮ,',
    ),
    "Ukrainian": (
        "'1234567890-=йцукенгшщзхї\\фівапролджєячсмитьбю.",
        '₴!"№;%:?*()_+ЙЦУКЕНГШЩЗХЇ/ФІВАПРОЛДЖЄЯЧСМИТЬБЮ,',
    ),
    "Dvorak": (
        "`1234567890[]',.pyfgcrl/=\\aoeuidhtns-;qjkxbmwvz",
        '~!@#$%^&*(){}"<>PYFGCRL?+|AOEUIDHTNS_:QJKXBMWVZ',
    ),
    "Colemak": (
        "`1234567890-=qwfpgjluy;[]\\arstdhneio'zxcvbkm,./",
        '~!@#$%^&*()_+QWFPGJLUY:{}|ARSTDHNEIO"ZXCVBKM<>?',
    ),
}

# `]` of `]Q1` needs a third level of keys on many layouts, and may arrive as anything, or not at all.
_PREFIX = re.compile(r"^(?:\WQ[0-6](?=\w{4})|Q[0-6](?=\w{7}|HTTP))", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Reading:
    """A code that was read by another layout; `keyboards`: which may be meant beside the US one."""

    code: Code
    keyboards: tuple[str, ...]


def layouts() -> tuple[str, ...]:
    """The names of all layouts that are tried."""
    return tuple(_LAYOUTS)


def typed_through(text: str, layout: str, *, is_scanners: bool = False) -> str:
    """What arrives of `text` from a US scanner at a computer set to `layout`; `is_scanners`: the reverse."""
    return text.translate(_between(layout, to_us=is_scanners))


def read_by_layout(text: str) -> Reading | None:
    """The one code in a mangled scan; None when no layout gives one, or two give different ones."""
    found: dict[Code, dict[str, None]] = {}
    for layout, candidate in _candidates(text[:MOST_TYPED]):
        for code in codes_in(candidate):
            found.setdefault(code, {})[layout] = None
    if len(found) != 1:
        return None
    [(code, keyboards)] = found.items()
    return Reading(code, tuple(keyboards))


def _candidates(text: str) -> Iterator[tuple[str, str]]:
    """The text as it was scanned, by each layout and each way round, where that makes a difference."""
    for layout in _LAYOUTS:
        for to_us in (True, False):
            candidate = text.translate(_between(layout, to_us=to_us))
            if candidate != text:
                yield layout, _PREFIX.sub("", candidate)


@cache
def _between(layout: str, *, to_us: bool) -> dict[int, str]:
    """From the characters of a layout to those of the US one on the same keys, or back."""
    pairs = {
        own: us
        for row, us_row in zip(_LAYOUTS[layout], _US, strict=True)
        for own, us in zip(row, us_row, strict=True)
    }
    pairs = pairs if to_us else {us: own for own, us in pairs.items()}
    return {ord(typed): meant for typed, meant in pairs.items()}
