"""What left the house, for the desk: packing slips to be printed again."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import Response

from tickets.lookup.packing import order_slips
from tickets.web.door import WebDep

router = APIRouter()


@router.get("/packing/{number}.pdf")
def show_slip(web: WebDep, number: int, order: str) -> Response:
    """A packing slip as it is now."""
    return Response(web.folders.packing_slip(order, number), media_type="application/pdf")


@router.get("/api/packing")
def packing(web: WebDep, order: str) -> dict[str, object]:
    """What the packing slips of an order list, as `packing --json` says it."""
    return {"order": order, "slips": [slip.as_json() for slip in order_slips(web.store, order)]}
