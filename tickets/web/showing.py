"""Draws a page from its template, with what every page shows, and answers problems in the asker's manner."""

from __future__ import annotations

import base64
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tickets import wording_pages as words
from tickets import wording_people, wording_progress
from tickets.codes import grouped
from tickets.languages import NAMES, retell, retold, spoken
from tickets.ledger.devices import form_token
from tickets.ledger.sign_ins import AtDevice, sign_in_needed
from tickets.problems import ShopProblem
from tickets.web.door import Web, web_of
from tickets.web.gate import COOKIE, COOKIE_SECONDS, CUSTOMERS_PATH
from tickets.web.strip import draw_strip

FOLDER = Path(__file__).parent
SAID, STATION = "filmdocket_said", "filmdocket_station"
_SAID_SECONDS = 30


@cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(FOLDER / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["grouped"] = grouped
    made.globals["words"] = words
    made.globals["people_words"] = wording_people
    made.globals["progress_words"] = wording_progress
    made.globals["retold"] = retold
    made.globals["draw_strip"] = draw_strip
    return made


def show(request: Request, name: str, status: int = 200, **shown: Any) -> Response:
    """A page. `said` is what the last act did, told once."""
    web, now = web_of(request), web_of(request).clock()
    known = {
        "request": request,
        "device": getattr(request.state, "device", None),
        "token": form_token(request.cookies.get(COOKIE, "")),
        "said": _read_said(request),
        "shop": web.settings.shop,
        "stations": named_stations(web),
        "labels": {station.name: station.label for station in named_stations(web)},
        "now": now,
        "path": request.url.path,
        "language": spoken(),
        "languages": NAMES,
        "my_station": station_of(request, web),
        "my_person": person_of(request),
        "person_left": _seconds_left(request),
        "idle_seconds": round(web.settings.people.idle_minutes * 60),
        "name_needed": web.settings.people.name_needed,
        "drawn": round(now.timestamp() * 1000),
        "clock": lambda at: words.say_time(at, now, web.settings.shop.zone),
        "clock_time": lambda at: f"{at.astimezone(web.settings.shop.zone):%H:%M}",
        "due_says": lambda at, due: words.due_says(at, due, now, web.settings.shop.zone),
    }
    if isinstance(shown.get("problem"), ShopProblem):
        retell(shown["problem"])
    response = HTMLResponse(_templates().get_template(name).render(**{**known, **shown}), status)
    if known["said"]:
        response.delete_cookie(SAID)
    return response


@dataclass(frozen=True, slots=True)
class NamedStation:
    """A station as pages name it."""

    name: str
    label: str


def named_stations(web: Web) -> tuple[NamedStation, ...]:
    """The stations of the line, in the language that is spoken."""
    return tuple(NamedStation(s.name, words.station_label(s.name, s.label)) for s in web.settings.station)


def station_of(request: Request, web: Web) -> str:
    """The station that this device is at; "" when it never said."""
    station = request.cookies.get(STATION, "")
    return station if station in (s.name for s in web.settings.station) else ""


def person_of(request: Request) -> str:
    """Who is signed in at this device; "" when nobody is."""
    return _at_device(request).name


def person_named(request: Request, web: Web, asked: str | None) -> str:
    """Whose name a scan carries: as the device says ("": nobody's), None: that of who is signed in.

    Raises ShopProblem `sign-in-needed` where a name is needed, or one has a PIN and never signed in here.
    """
    name = person_of(request) if asked is None else asked.strip()
    if not name and web.settings.people.name_needed:
        raise sign_in_needed("")
    if name and name != person_of(request):
        web.sign_ins.require_vouched(request.state.device.id, name)
    return name


def actor_named(request: Request, web: Web, asked: str, *, may_be_customer: bool = False) -> str:
    """Whose name an act of the desk carries: the one that was sent, else that of who is signed in.

    Nobody is named who signs in with a PIN and never did so at this device; a release may name a customer
    (`may_be_customer`), who is none of the shop's people. Raises ShopProblem `sign-in-needed`.
    """
    name = asked.strip()
    if not name or name == person_of(request) or (may_be_customer and not web.people.knows(name)):
        return name or person_of(request)
    return person_named(request, web, name)


def _at_device(request: Request) -> AtDevice:
    found = getattr(request.state, "person", None)  # a request that failed early has none
    return found if isinstance(found, AtDevice) else AtDevice("")


def _seconds_left(request: Request) -> str:
    left = _at_device(request).left
    return "" if left is None else str(max(0, int(left.total_seconds())))


def own_path(back: str) -> str:
    """A way back that leads to a page of the shop's, whatever a form says."""
    is_own = back.startswith("/") and not back.startswith(("//", "/\\"))
    return back if is_own else "/"


def go_to(request: Request, path: str, said: str = "") -> Response:
    """On to a page after something was done, which says it once."""
    response = RedirectResponse(path, 303)
    if said:
        set_cookie(request, response, SAID, _encoded(said), _SAID_SECONDS)
    return response


def remember(request: Request, response: Response, station: str) -> None:
    """Keep in the device where it is."""
    set_cookie(request, response, STATION, station, COOKIE_SECONDS)


def set_cookie(request: Request, response: Response, name: str, value: str, seconds: int) -> None:
    """A cookie that no script reads and no other site sends; over https it never travels without."""
    is_secure = request.url.scheme == "https"
    response.set_cookie(name, value, seconds, httponly=True, samesite="lax", secure=is_secure)


def _read_said(request: Request) -> str:
    return _decoded(request.cookies.get(SAID, ""))


def _encoded(text: str) -> str:
    return base64.urlsafe_b64encode(json.dumps(text[:600]).encode()).decode()


def _decoded(value: str) -> str:
    try:
        read = json.loads(base64.urlsafe_b64decode(value.encode())) if value else ""
    except ValueError:
        return ""
    return read if isinstance(read, str) else ""


def wants_json(request: Request) -> bool:
    """Whether a program asks and not a person."""
    return request.url.path.startswith("/api/")


async def answer_problem(request: Request, problem: Exception) -> Response:
    """What a person can put right, as a page or as JSON."""
    assert isinstance(problem, ShopProblem)
    retell(problem)
    if wants_json(request):
        told = {"slug": problem.slug, "says": problem.says, "do": problem.do}
        return JSONResponse(told, problem.http_status)
    name = "pair.html" if problem.http_status == 401 else "problem.html"
    if request.url.path.startswith(f"/{CUSTOMERS_PATH}/"):
        name = "customer_problem.html"
    return show(request, name, problem.http_status, problem=problem, code="")
