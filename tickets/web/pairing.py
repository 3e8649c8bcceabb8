"""The pages that let a device in, and the owner's page of all devices."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import Response

from tickets.ledger.devices import OWNER
from tickets.problems import NotFound
from tickets.web.door import DeviceDep, WebDep, require_owner
from tickets.web.gate import COOKIE, COOKIE_SECONDS
from tickets.web.qr_picture import draw_qr_picture
from tickets.web.showing import go_to, set_cookie, show

router = APIRouter()
owner = APIRouter(dependencies=[Depends(require_owner)])


@router.get("/pair")
@router.get("/pair/{code}")
def ask_for_code(request: Request, code: str = "") -> Response:
    """Where a code is typed, or, from a link, only the device named: looking at a link uses nothing up."""
    return show(request, "pair.html", problem=None, code=code)


@router.post("/pair")
def let_in(
    request: Request,
    web: WebDep,
    code: Annotated[str, Form(max_length=200)] = "",
    name: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Use the code up, and give the device its cookie."""
    address = request.client.host if request.client else ""
    web.tries.require_left(address)
    try:
        token, device = web.devices.let_in(code, name)
    except NotFound as problem:
        web.tries.note_wrong(address)
        return show(request, "pair.html", problem.http_status, problem=problem, code="")
    response = go_to(request, "/devices" if device.role == OWNER else "/")
    set_cookie(request, response, COOKIE, token, COOKIE_SECONDS)
    return response


@router.get("/root-certificate.crt")
def send_root(web: WebDep) -> Response:
    """The root for a device to install; no secret, and needed before the device is let in."""
    root = web.folders.root_certificate()
    if not root:
        raise NotFound(
            "no-root-yet", "The shop has no certificate of its own.", "Run: filmdocket certificate"
        )
    return Response(root, media_type="application/x-x509-ca-cert")


@owner.get("/devices")
def list_devices(request: Request, web: WebDep) -> Response:
    """Every device, and how another one is let in."""
    return show(request, "devices.html", devices=web.devices.devices(), code="", link="", qr="")


@owner.post("/devices/add")
def add_device(
    request: Request,
    web: WebDep,
    role: Annotated[str, Form()],
    name: Annotated[str, Form(max_length=200)] = "",
) -> Response:
    """Show a pairing code, as text and as QR code."""
    code = web.devices.new_code(role, name)
    link = f"{web.address or str(request.base_url).rstrip('/')}/pair/{code}"
    devices, qr = web.devices.devices(), draw_qr_picture(link)
    return show(request, "devices.html", devices=devices, code=code, link=link, qr=qr)


@owner.post("/devices/revoke")
def revoke_device(request: Request, web: WebDep, device: DeviceDep, id: Annotated[int, Form()]) -> Response:
    """Turn a device away from now on."""
    gone = web.devices.revoke(id)
    return go_to(request, "/" if gone.id == device.id else "/devices")
