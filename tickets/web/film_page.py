"""The film: what waits for it, a plan of it, and the runs with a map of what lies where."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, BackgroundTasks, Depends, Form, Query, Request
from fastapi.responses import Response

from tickets import wording_film as told
from tickets import wording_film_pages as film_words
from tickets.codes import read_code
from tickets.film.choosing import AS_SET, FilmChoice
from tickets.lookup.film_page import film_page
from tickets.lookup.film_plan import Effort, Proposal, propose_plan, propose_taking_out, run_to_pin
from tickets.lookup.film_runs import FilmRunAnswer, stored_run
from tickets.lookup.size_advice import advice_for
from tickets.models_film import PLANNED
from tickets.problems import NotFound, ShopProblem
from tickets.requests import RunSpoilage
from tickets.web.door import Web, WebDep, device_of, require_desk
from tickets.web.film_map import map_of_layout, map_of_run
from tickets.web.showing import go_to, person_of, show

router = APIRouter()
Words = Annotated[str, Form(max_length=200)]
PLAN_SECONDS = 1.0  # counted in tries: the same books give the same plan, so that what was seen is booked


@router.get("/film")
def show_film(request: Request, web: WebDep) -> Response:
    """The runs, and what waits beside them."""
    return _page(request, web)


@router.get("/film/plan")
def show_plan(
    request: Request,
    web: WebDep,
    roll_mm: Annotated[str, Query(max_length=12)] = "",
    sheets: Annotated[str, Query(max_length=40)] = "",
    jobs: Annotated[str, Query(max_length=8)] = "",
) -> Response:
    """The same with a plan of all that waits, which nobody has booked yet."""
    choice = _choice(roll_mm, sheets, jobs)
    try:
        return _page(request, web, proposal=_proposal(web, choice), choice=choice)
    except ShopProblem as problem:
        return _page(request, web, problem, choice=choice)


@router.get("/film/{code}.pdf")
def show_file(web: WebDep, code: str) -> Response:
    """A run's file for the printer; with `-sheet` behind its code, the sheet that goes with the film."""
    named = read_code(code.removesuffix("-sheet"))
    paper = web.folders.run_file(named, is_sheet=code.endswith("-sheet"))
    if not paper:
        raise told.no_run_file(named)
    return Response(paper, media_type="application/pdf")


@router.post("/film/lay", dependencies=[Depends(require_desk)])
def lay(
    request: Request,
    web: WebDep,
    seen: Words = "",
    roll_mm: Annotated[str, Form(max_length=12)] = "",
    sheets: Words = "",
    jobs: Words = "",
) -> Response:
    """Book the plan that was seen; another one is not booked unseen."""
    try:
        proposal = _proposal(web, _choice(roll_mm, sheets, jobs))
        if proposal.keep.fingerprint != seen:
            raise told.plan_overtaken("the shop's books have changed since it was shown")
        codes = web.ledger.keep_film_plan(proposal.keep, person_of(request) or device_of(request).name)
    except ShopProblem as problem:
        return _page(request, web, problem)
    said = told.laid(codes, is_booked=True, is_changing=proposal.keep.is_changing)
    return go_to(request, "/film", said)


@router.post("/film/act", dependencies=[Depends(require_desk)])
def act(
    request: Request,
    web: WebDep,
    later: BackgroundTasks,
    act: Words,
    code: Words,
    why: Words = "",
    from_mm: Annotated[str, Form(max_length=12)] = "",
    to_mm: Annotated[str, Form(max_length=12)] = "",
) -> Response:
    """An act on a run or a ticket: drop, pin, free, take out, or book film as spoiled."""
    by = person_of(request) or device_of(request).name
    try:
        named = read_code(code)
        if act == "spoil":
            spoiled = RunSpoilage(named, "", None, _number(from_mm), _number(to_mm), why, by)
            says = web.ledger.spoil_run(spoiled).says
            later.add_task(web.folders.write_due_papers)
        else:
            says = _act(web, act, named, by)
    except ShopProblem as problem:
        return _page(request, web, problem)
    response = go_to(request, "/film", says)
    response.background = later
    return response


def _act(web: Web, act: str, code: str, by: str) -> str:
    """What the commands of the same names do; the sentence."""
    if act == "release":
        run = stored_run(web.store, code)
        if run.standing != PLANNED:
            raise told.run_not_planned(code)
        web.folders.make_run_files(run)
        web.ledger.release_run(code, run.revision, by)
        return told.released(code)
    if act == "drop":
        web.ledger.drop_run(code, by)
        return told.dropped(code)
    if act in ("pin", "free"):
        web.ledger.pin_run(code, by, is_pinned=act == "pin")
        return told.pinned(code, is_pinned=act == "pin")
    if act == "keep":
        web.ledger.wish_film(code, run_to_pin(web.store, code), by)
        return told.pinned(code, is_pinned=True)
    if act == "let":
        web.ledger.wish_film(code, None, by)
        return told.pinned(code, is_pinned=False)
    if act in ("smaller", "ordered"):
        advice = advice_for(web.store, web.settings, code)
        return web.ledger.answer_size(advice, by, is_yes=act == "smaller")
    if act == "take-out":
        rest = propose_taking_out(web.store, web.settings, code, web.folders.outlines)
        web.ledger.keep_film_plan(rest, by, {code: ""})
        return told.taken_out(code)
    raise NotFound("no-such-act", f"There is no act {act!r}.", "Drop, pin, free, take out or spoil.")


def _number(text: str) -> float | None:
    """A length as it was typed; what is none is no length (the ledger says so)."""
    try:
        return float(text.strip().replace(",", ".")) if text.strip() else None
    except ValueError:
        return -1.0


def _choice(roll_mm: str, sheets: str, jobs: str) -> FilmChoice:
    """What was chosen of the plan; a width that is no number is none that goes into the printer."""
    whole_jobs = {"whole": True, "parted": False}.get(jobs)
    return FilmChoice(_number(roll_mm) if not sheets.strip() else None, sheets, whole_jobs)


def _proposal(web: Web, choice: FilmChoice) -> Proposal:
    effort = Effort(PLAN_SECONDS, choice=choice, outlines=web.folders.outlines)
    return propose_plan(web.store, web.settings, effort)


def _page(
    request: Request,
    web: Web,
    problem: ShopProblem | None = None,
    proposal: Proposal | None = None,
    choice: FilmChoice = AS_SET,
) -> Response:
    page = film_page(web.store, web.settings)
    return show(
        request,
        "film.html",
        problem.http_status if problem else 200,
        problem=problem,
        film=film_words,
        page=page,
        choice=choice,
        film_width_mm=web.settings.film.width_mm,
        runs=[_run(answer, web) for answer in page.runs],
        proposal=_proposed(proposal, web) if proposal else None,
    )


def _run(answer: FilmRunAnswer, web: Web) -> dict[str, Any]:
    run = answer.run
    drawn, key = map_of_run(run, web.folders.outlines)
    spares = sum(p.spare and not p.lost for p in run.pieces)
    pieces = sum(not p.spare for p in run.pieces)
    orders = {p.code: p.order for p in run.pieces}
    heading = film_words.run_heading(run.film, told.film_size(run), pieces, spares, run.cutting_minutes)
    return {"answer": answer, "run": run, "map": drawn, "key": key, "heading": heading, "orders": orders}


def _proposed(proposal: Proposal, web: Web) -> dict[str, Any]:
    currency = web.settings.money.currency
    runs = []
    for kept in proposal.keep.runs:
        layout = kept.layout
        drawn, key = map_of_layout(layout, proposal.keep.shapes)
        spares = sum(p.spare for p in layout.placements)
        pieces = len(layout.placements) - spares
        heading = film_words.run_heading(
            layout.film, told.film_size(layout), pieces, spares, layout.cutting_minutes
        )
        runs.append({"kept": kept, "map": drawn, "key": key, "heading": heading})
    return {
        "says": told.plan_in_short(proposal.whole, len(proposal.jobs)),
        "costs": [*proposal.told_costs(), *proposal.told_agreed()],
        "runs": runs,
        "seen": proposal.keep.fingerprint,
        "is_changing": proposal.keep.is_changing,
        "unlaid": told.not_laid(proposal.whole.unlaid),
        "smaller": [
            (one.advice.code, says)
            for one, says in zip(proposal.advice, told.smaller_saves(proposal.advice, currency), strict=True)
        ],
    }
