"""Serial shipping container codes: GS1's eighteen digits for a parcel, with their check digit.

Extension digit, GS1 company prefix (4 to 12 digits) and serial reference are 17 digits together, the check
digit is the eighteenth (GS1 General Specifications, "SSCC" and "Standard check digit calculations"; from
memory). A number must not be given again within a year of its first use; here it never is.
"""

from __future__ import annotations

from tickets.problems import ShopProblem

DIGITS = 18
APPLICATION_IDENTIFIER = "00"


def check_digit(digits: str) -> str:
    """The GS1 check digit (mod 10): weights 3 and 1 in turn, 3 at the last digit."""
    total = sum(int(digit) * (3 if at % 2 == 0 else 1) for at, digit in enumerate(reversed(digits)))
    return str(-total % 10)


def make_sscc(extension: int, company_prefix: str, serial: int) -> str:
    """The code of a serial number. Raises ShopProblem `sscc-used-up` when the prefix has no such serial."""
    room = DIGITS - 2 - len(company_prefix)
    if serial >= 10**room:
        raise ShopProblem(
            "sscc-used-up",
            f"All {10**room:,} serial numbers of GS1 prefix {company_prefix} and extension digit {extension} "
            "have been given.",
            "Set another packing.sscc_extension in shop.toml: each has as many numbers again.",
        )
    body = f"{extension}{company_prefix}{serial:0{room}d}"
    return body + check_digit(body)


def is_sscc(text: str) -> bool:
    """Whether a text is eighteen digits, the last of which is right."""
    return len(text) == DIGITS and text.isascii() and text.isdecimal() and check_digit(text[:-1]) == text[-1]
