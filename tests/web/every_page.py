"""Every page that people see: a shop furnished so that each has something to show, and their addresses."""

from __future__ import annotations

import re

from fastapi import FastAPI
from fastapi.routing import APIRoute

from intake.inbox.claiming import original_path
from intake.letters.writing import write_due_messages
from intake.outbox import write_due_reports
from intake.papers import write_due_papers
from tests.web.shops import WebShop, art
from tests.web.test_drop import thin_art
from tests.web.test_film_page import laid
from tickets.lookup.items import open_questions

LONG_NAME = "Mid-Moorland Long-Distance Walkers"
# Fetched, and no page: files, pictures, streams, and what programs ask for.
NO_PAGE = re.compile(r"/api/.*|/art|/events|/service-worker\.js|/root-certificate\.crt|.*\.(pdf|png|eml)")


def furnish(shop: WebShop) -> dict[str, list[str]]:
    """Orders at each stage of their lives; by the path of a page's route, addresses that show it at work."""
    printed = shop.take("OB-4", customer_name=LONG_NAME)
    run = laid(shop)
    asked = shop.take("OB-1", verdict="query", customer_name=LONG_NAME)
    late = shop.take("OB-2", rush=True)
    gone = shop.take("OB-3")
    shop.scan(run, "print")
    shop.scan(late, "print", "powder", "cure")
    shop.scan(gone, "print", "powder", "cure", "press", "dispatch")
    shop.take("OB-5")
    held = shop.take("OB-6")
    shop.shop.ledger.hold(held, "the hoodies are late", "Ines")
    question = next(q for q in open_questions(shop.shop.store) if q.code == asked)
    original = original_path(shop.shop, question.artwork_sha256)
    original.parent.mkdir(parents=True, exist_ok=True)
    original.write_bytes(art())
    write_due_papers(shop.shop)
    write_due_reports(shop.shop)
    write_due_messages(shop.shop)
    shop.web.people.set_pin("Tomek", "4071")
    link = shop.web.links.make("OB-2", "Ines").at("")
    return {
        "/": ["/"],
        "/at/{station}": ["/at/press", "/at/print"],
        "/t/{code}": [f"/t/{code}" for code in (late, asked, gone, run)],
        "/where": ["/where", "/where?words=otter", "/where?words=zzz"],
        "/orders/{number:path}": [f"/orders/OB-{number}" for number in (1, 2, 3, 6)],
        "/queries": ["/queries"],
        "/queries/{code}/repairs": [f"/queries/{asked}/repairs"],
        "/promise": ["/promise?quantity_1=120&width_mm_1=90&due=2099-01-29"],
        "/drop": ["/drop"],
        "/drop/{draft_id}": [f"/drop/{_draft(shop)}"],
        "/drop/sent": ["/drop/sent?order=OB-77"],
        "/film": ["/film"],
        "/film/plan": ["/film/plan"],
        "/messages": ["/messages"],
        "/messages/words/{kind}": ["/messages/words/dispatched"],
        "/papers": ["/papers", "/papers?of=today", "/papers?order=OB-2"],
        "/people": ["/people"],
        "/devices": ["/devices"],
        "/sign-in": ["/sign-in", "/sign-in?name=Tomek"],
        "/kept": ["/kept"],
        "/o/{word}": [link, "/o/wrong"],
        "/pair": ["/pair"],
        "/pair/{code}": ["/pair/ABCD1234"],
        "nowhere": ["/no-such-page", f"/t/{printed[:-1]}"],
    }


def _draft(shop: WebShop) -> str:
    drops = shop.web.folders.drops
    draft = drops.begin()
    with drops.receive(draft.id, "crest.png") as write:
        write(thin_art())
    drops.check(draft.id)
    return draft.id


def page_routes(app: FastAPI) -> set[str]:
    """The paths of all routes that answer with a page."""
    routes = [route for route in app.routes if isinstance(route, APIRoute)]
    return {r.path for r in routes if "GET" in (r.methods or ()) and not NO_PAGE.fullmatch(r.path)}
