"""How people name and weigh parcels: OB-1042/2, and kilograms with a point or a comma."""

from __future__ import annotations

import re

from tickets.requests import ParcelChange
from tickets.wording_parcels import bad_weight, which_parcel

_NAMED = re.compile(r"(?P<order>.+)/(?P<number>[0-9]{1,6})")
HEAVIEST_G = 1_000_000


def parse_parcel(named: str) -> tuple[str, int]:
    """The order and the number in a name such as OB-1042/2. Raises BadInput `which-parcel`."""
    found = _NAMED.fullmatch(named.strip())
    if found is None:
        raise which_parcel(named[:80])
    return found["order"], int(found["number"])


def parcel_change(weight_kg: float | str | None, consignment: str | None) -> ParcelChange:
    """What is said of a parcel, its weight in grams; None or an empty weight: not said.

    Raises BadInput `bad-weight` for what is no number, nothing, or more than a tonne.
    """
    if weight_kg is None or not str(weight_kg).strip():
        return ParcelChange(None, consignment)
    try:
        grams = float(str(weight_kg).strip().replace(",", ".")) * 1000
    except ValueError as error:
        raise bad_weight(HEAVIEST_G) from error
    if not 0.5 <= grams <= HEAVIEST_G:  # no number at all fails here too
        raise bad_weight(HEAVIEST_G)
    return ParcelChange(round(grams), consignment)
