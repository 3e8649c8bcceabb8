"""What leaves the house, for those who pack: slips, parcels and their labels, the shelf; and their JSON."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, BackgroundTasks, Form, Request
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from tickets.lookup.acted import desk_document
from tickets.lookup.naming import name_thing
from tickets.lookup.packing import find_parcel, order_parcels, order_slips
from tickets.parcels import parcel_change
from tickets.problems import NotFound, ShopProblem
from tickets.requests import ParcelMade
from tickets.web.acting import Scanned, take_scan
from tickets.web.desk_page import show_order_with
from tickets.web.door import Web, WebDep
from tickets.web.showing import actor_named, go_to, person_of

router = APIRouter()
Words = Annotated[str, Form(max_length=1000)]
Short = Annotated[str, Form(max_length=20)]
Text = Annotated[str, Field(max_length=1000)]
Document = dict[str, Any]


class _Asked(BaseModel):
    model_config = ConfigDict(extra="forbid")
    order: Text
    by: Text = ""


class ParcelAsked(_Asked):
    """A parcel to be noted, or with its number one to be changed."""

    parcel: Annotated[int, Field(ge=1, le=999_999)] | None = None
    weight_kg: float | None = None
    consignment: Text | None = None


class RemoveAsked(_Asked):
    """A parcel to be taken out."""

    parcel: Annotated[int, Field(ge=1, le=999_999)]


class ShelfAsked(_Asked):
    """Where an order lies; "" takes it off."""

    place: Text


@router.get("/packing/{number}.pdf")
def show_slip(web: WebDep, number: int, order: str) -> Response:
    """A packing slip as it is now."""
    return Response(web.folders.packing_slip(order, number), media_type="application/pdf")


@router.get("/parcels/label.pdf")
def show_label(web: WebDep, order: str, parcel: int) -> Response:
    """A parcel's label."""
    found = find_parcel(web.store, order, parcel)
    return Response(web.folders.parcel_label(found), media_type="application/pdf")


@router.post("/packing/act")
def act(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    order: Words,
    act: Short,
    parcel: Short = "",
    weight: Short = "",
    consignment: Words = "",
    place: Words = "",
    collected_by: Words = "",
    part: Short = "",
    why: Words = "",
) -> Response:
    """Note, change or take out a parcel, say where the order lies, or send what is ready."""
    by = person_of(request)
    number = int(parcel) if parcel.isdecimal() else 0
    try:
        if act == "shelf":
            says = web.ledger.put_on_shelf(order, place, by)
        elif act == "parcel":
            says = web.ledger.add_parcel(order, parcel_change(weight, consignment), by).says
        elif act == "change-parcel":
            says = web.ledger.change_parcel(order, number, parcel_change(weight, consignment), by).says
        elif act == "dispatch":
            last = web.settings.station[-1].name
            ask = Scanned(order, last, by=by, collected_by=collected_by, part=bool(part), why=why)
            says = take_scan(web, ask).says
        elif act == "remove-parcel":
            says = web.ledger.remove_parcel(order, number, by).says
        else:
            raise NotFound("no-such-act", f"There is no act {act!r}.", "Load the page again.")
    except ShopProblem as problem:
        return show_order_with(request, web, order, problem)
    later.add_task(web.folders.write_due_papers)
    response = go_to(request, f"/orders/{quote(order)}#dispatches", says)
    response.background = later
    return response


@router.get("/api/packing")
def packing(web: WebDep, order: str) -> Document:
    """What the packing slips of an order list, as `packing --json` says it."""
    return {"order": order, "slips": [slip.as_json() for slip in order_slips(web.store, order)]}


@router.get("/api/parcels")
def parcels(web: WebDep, order: str) -> Document:
    """As `parcel list --json`."""
    return {"order": order, "parcels": [parcel.as_json() for parcel in order_parcels(web.store, order)]}


@router.post("/api/parcels")
def note_parcel(request: Request, web: WebDep, later: BackgroundTasks, asked: ParcelAsked) -> Document:
    """As `parcel add --json`; with the number of a parcel as `parcel change --json`."""
    named = name_thing(web.store, asked.order, orders=True)
    change, by = parcel_change(asked.weight_kg, asked.consignment), actor_named(request, web, asked.by)
    if asked.parcel is None:
        made = web.ledger.add_parcel(named, change, by)
    else:
        made = web.ledger.change_parcel(named, asked.parcel, change, by)
    later.add_task(web.folders.write_due_papers)
    return _told(web, made)


@router.post("/api/parcels/remove")
def remove_parcel(request: Request, web: WebDep, later: BackgroundTasks, asked: RemoveAsked) -> Document:
    """As `parcel remove --json`."""
    named = name_thing(web.store, asked.order, orders=True)
    made = web.ledger.remove_parcel(named, asked.parcel, actor_named(request, web, asked.by))
    later.add_task(web.folders.write_due_papers)
    return {"order": made.order, "parcel": made.number, "says": made.says}


@router.post("/api/shelf")
def shelf(request: Request, web: WebDep, asked: ShelfAsked) -> Document:
    """As `shelf --json`."""
    named = name_thing(web.store, asked.order, orders=True)
    says = web.ledger.put_on_shelf(named, asked.place, actor_named(request, web, asked.by))
    return desk_document(web.store, web.settings, named, says)


def _told(web: Web, made: ParcelMade) -> Document:
    return {**find_parcel(web.store, made.order, made.number).as_json(), "says": made.says}
