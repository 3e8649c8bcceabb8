"""The film page: what waits, a plan that is booked as it was seen, maps, and each act on runs and tickets."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

from intake.inbox.claiming import original_path
from tests.web.shops import WebShop, art, submit
from tickets.film.model import RunPiece, StoredRun
from tickets.lookup.film_runs import film_runs
from tickets.web.film_map import STRIP_MM, letters, map_of_run

SVG = "{http://www.w3.org/2000/svg}"


def seen(page: str) -> str:
    """What the shown plan is told by."""
    found = re.search(r'name="seen" value="([0-9a-f]+)"', page)
    assert found, page
    return found[1]


def runs(web_shop: WebShop) -> list[str]:
    """The codes of the open runs."""
    return [answer.run.code for answer in film_runs(web_shop.shop.store)]


def laid(web_shop: WebShop) -> str:
    """Plan and book through the page; the run's code."""
    desk = web_shop.device("desk")
    assert submit(desk, "/film/lay", seen=seen(desk.get("/film/plan").text)).status_code == 303
    return runs(web_shop)[-1]


def test_what_waits_is_planned_seen_and_booked(web_shop: WebShop) -> None:
    """The plan books nothing by being looked at; then its run is there with a map and a key."""
    code = web_shop.take("OB-1")
    desk = web_shop.device("desk")
    assert "Nothing waits to be printed outside" not in desk.get("/film").text
    plan = desk.get("/film/plan").text
    assert "40 pieces of 1 ticket" in plan
    assert plan.count('<rect class="piece"') == 40
    assert runs(web_shop) == []
    run = laid(web_shop)
    page = desk.get("/film").text
    assert run in page
    assert "Nothing waits to be printed outside" in page
    assert page.count('<rect class="piece"') == 40
    assert f'href="/t/{code}"' in page
    assert "Nothing would change." in desk.get("/film/plan").text


def test_a_plan_that_nobody_saw_is_not_booked(web_shop: WebShop) -> None:
    """A ticket more waits since the plan was shown: it is refused in words, and nothing is booked."""
    web_shop.take("OB-1")
    desk = web_shop.device("desk")
    shown = seen(desk.get("/film/plan").text)
    web_shop.take("OB-2")
    refused = submit(desk, "/film/lay", seen=shown)
    assert refused.status_code == 409
    assert "out of date" in refused.text
    assert runs(web_shop) == []


def test_without_anything_to_lay_the_page_says_so(web_shop: WebShop) -> None:
    """An empty shop's plan is refused on the page, in words."""
    answer = web_shop.device("desk").get("/film/plan")
    assert answer.status_code == 409
    assert "No pieces wait to be printed" in answer.text


def test_each_act_does_what_its_command_does(web_shop: WebShop) -> None:
    """Pin, unpin, take out, let back, drop; each says what it did."""
    code = web_shop.take("OB-1")
    other = web_shop.take("OB-2")
    run = laid(web_shop)
    desk = web_shop.device("desk")

    def act(name: str, of: str, **more: str) -> str:
        """Do it; what the page then says."""
        assert submit(desk, "/film/act", act=name, code=of, **more).status_code == 303
        return str(desk.get("/film").text)

    assert f"{run} is pinned" in act("pin", run)
    assert f"{run} is free" in act("free", run)
    page = act("take-out", code)
    assert f"{code} is taken out" in page
    assert "Taken out of the plans" in page
    assert web_shop.waiting("OB-1")["print"] == 40
    assert f"{code} is free" in act("let", code)
    assert f"Run {run} is dropped" in act("drop", run)
    assert runs(web_shop) == []
    assert other in desk.get("/film").text


def test_spoiled_film_is_booked_by_its_length(web_shop: WebShop) -> None:
    """As it was measured, with a comma too; a reason is needed, and a length that is one."""
    code = web_shop.take("OB-1")
    run = laid(web_shop)
    desk = web_shop.device("desk")
    for wrong in ({"why": ""}, {"why": "banding", "from_mm": "ten"}, {"why": "banding", "from_mm": "9000"}):
        assert submit(desk, "/film/act", act="spoil", code=run, **wrong).status_code >= 400
    assert submit(desk, "/film/act", act="spoil", code=run, why="banding", to_mm="60,5").status_code == 303
    page = desk.get("/film").text
    assert "start again at print" in page
    assert page.count('<rect class="piece lost"') == 6
    assert len(web_shop.codes("OB-1")) == 2
    assert web_shop.codes("OB-1")[0] == code


def test_a_station_sees_the_film_and_changes_nothing(web_shop: WebShop) -> None:
    """Planning is the desk's; so is every act."""
    web_shop.take("OB-1")
    station = web_shop.device()
    page = station.get("/film/plan")
    assert page.status_code == 200
    assert "Lay it" not in page.text
    assert submit(station, "/film/lay", seen="x").status_code == 403
    assert submit(station, "/film/act", act="drop", code="R0000").status_code == 403


def test_an_act_that_is_none_is_refused(web_shop: WebShop) -> None:
    """And so is a code that is none."""
    desk = web_shop.device("desk")
    run = "R0A1G"
    assert submit(desk, "/film/act", act="burn", code=run).status_code in (404, 422)
    assert submit(desk, "/film/act", act="drop", code="???").status_code == 422


def test_the_map_draws_every_piece_where_it_lies() -> None:
    """A long run in strips at one scale; a piece on a strip's end is drawn on both; forms tell what it is."""
    pieces = (
        RunPiece(1, "7K3Q9XZ", "OB-1", 1, "a.png", "sha", 10.0, 20.0, 200.0, 100.0),
        RunPiece(2, "7K3Q9XZ", "OB-1", 1, "a.png", "sha", 10.0, STRIP_MM - 50, 200.0, 100.0, spare=True),
        RunPiece(3, "8M0T2ZT", "OB-2", 1, "<&>.png", "sha", 300.0, STRIP_MM + 500, 80.0, 60.0, lost=True),
    )
    drawn, key = map_of_run(StoredRun("R0A1G", "hot peel", 590.0, 4000.0, pieces))
    first, second = (ET.fromstring(f"{part}</svg>") for part in _svgs(str(drawn)))
    assert [kind_of(r) for r in first.iter(f"{SVG}rect")] == ["sheet", "piece", "piece spare"]
    assert [kind_of(r) for r in second.iter(f"{SVG}rect")] == ["sheet", "piece spare", "piece lost"]
    box = next(r for r in first.iter(f"{SVG}rect") if kind_of(r) == "piece")
    assert [box.get(k) for k in ("x", "y", "width", "height")] == ["20", "10", "100", "200"]
    assert [(t.letter, t.code, t.pieces, t.spares, t.lost) for t in key] == [
        ("A", "7K3Q9XZ", 1, 1, 0),
        ("B", "8M0T2ZT", 1, 0, 1),
    ]


def test_there_are_letters_for_any_number_of_tickets() -> None:
    """All different, short, in order."""
    named = letters(str(n) for n in range(200))
    assert list(named.values())[:2] == ["A", "B"]
    assert named["26"] == "AA"
    assert len(set(named.values())) == 200


def _svgs(drawn: str) -> list[str]:
    parts = drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ').split("</svg>")
    return [part for part in parts if part]


def kind_of(box: ET.Element) -> str:
    """What a box of the map is."""
    return box.get("class", "")


def test_a_run_is_released_with_its_file_and_sheet(web_shop: WebShop) -> None:
    """Without its artwork it is refused in words and stays planned; then both files are there, as PDF."""
    web_shop.take("OB-1", 2)
    run = laid(web_shop)
    desk = web_shop.device("desk")
    assert desk.get(f"/film/{run}.pdf").status_code == 404
    refused = submit(desk, "/film/act", act="release", code=run)
    assert refused.status_code == 409
    (stored,) = film_runs(web_shop.shop.store)
    assert stored.run.standing == "planned"
    original = original_path(web_shop.shop, stored.run.pieces[0].artwork_sha256)
    original.parent.mkdir(parents=True)
    original.write_bytes(art())
    assert submit(desk, "/film/act", act="release", code=run).status_code == 303
    page = desk.get("/film").text
    assert f"Run {run} is released" in page
    for name in (f"{run}.pdf", f"{run}-sheet.pdf"):
        assert f'href="/film/{name}"' in page
        assert desk.get(f"/film/{name}").content.startswith(b"%PDF")
    assert submit(desk, "/film/act", act="release", code=run).status_code == 409


def test_a_smaller_size_is_answered_on_the_page(web_shop: WebShop) -> None:
    """What the plan advises has two buttons; a no is remembered, and not advised again."""
    code = web_shop.take("OB-1", 70)
    desk = web_shop.device("desk")
    plan = desk.get("/film/plan").text
    assert "across instead of" in plan
    assert "The customer says yes" in plan
    assert submit(desk, "/film/act", act="ordered", code=code).status_code == 303
    assert f"{code} is printed as it was ordered" in desk.get("/film").text
    assert "across instead of" not in desk.get("/film/plan").text


def test_a_smaller_size_is_answered_on_the_page_of_questions(web_shop: WebShop) -> None:
    """A queried print has the two buttons too: a no is remembered, a yes has it checked anew at that size."""
    web_shop.take("OB-1", 70)
    code = web_shop.take("OB-2", 70, verdict="query")
    desk = web_shop.device("desk")
    assert "across instead of" in desk.get("/queries").text
    assert submit(desk, f"/queries/{code}/size", act="smaller").status_code == 303
    assert "Its artwork is checked once more" in desk.get("/queries").text
    assert submit(desk, f"/queries/{code}/size", act="smaller").status_code == 404
