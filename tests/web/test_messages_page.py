"""Messages on the desk's page: what became of each, sent again, and words tried before they are kept."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from intake.cli import main
from intake.letters.templating import KINDS, shipped_template
from intake.letters.writing import write_due_messages
from intake.serving import web_of_shop
from intake.shop import Shop
from tests.web.shops import ADDRESS, WebShop, post_json, submit
from tickets.lookup.telling import list_tellings
from tickets.web.app import build_app


def with_messages(web_shop: WebShop) -> WebShop:
    """The message about an order is written."""
    web_shop.take("OB-1")
    later = web_shop.shop.clock() + timedelta(hours=1)
    write_due_messages(Shop(web_shop.shop.folder, web_shop.shop.settings, web_shop.shop.store, lambda: later))
    return web_shop


def own_words(web_shop: WebShop, kind: str = "ready") -> Path:
    """Where the shop's own words lie."""
    return web_shop.shop.folder / "messages" / f"{kind}.txt"


def test_the_desk_sees_what_became_of_messages(web_shop: WebShop) -> None:
    """Of all orders or of one; each can be opened; a station is not let in, an unknown order is told."""
    desk = with_messages(web_shop).device("desk")
    page = desk.get("/messages").text
    assert "Order received" in page
    assert "kit@otterbank.example" in page
    (told,) = list_tellings(web_shop.shop.store)
    file = desk.get(f"/messages/{told.telling_id}.eml")
    assert (file.status_code, b"Thank you for your order OB-1" in file.content) == (200, True)
    assert desk.get("/messages", params={"order": "ob-1"}).status_code == 200
    assert desk.get("/messages", params={"order": "OB-9"}).status_code == 404
    assert desk.get("/messages/4711.eml").status_code == 404
    for path in ("/messages", f"/messages/{told.telling_id}.eml", "/messages/words/ready", "/api/messages"):
        assert web_shop.device("station").get(path).status_code == 403


def test_messages_are_answered_alike(web_shop: WebShop, capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON of the page is that of the command."""
    desk = with_messages(web_shop).device("desk")
    capsys.readouterr()
    main(["messages", "list", "--json", "--shop", str(web_shop.shop.folder)])
    assert desk.get("/api/messages").json() == json.loads(capsys.readouterr().out)


def test_a_message_is_sent_again_from_the_page(web_shop: WebShop) -> None:
    """Where a server is set; else it is said that none is."""
    desk = with_messages(web_shop).device("desk")
    (told,) = list_tellings(web_shop.shop.store)
    again = submit(desk, "/messages/again", message=str(told.telling_id))
    assert (again.status_code, "not sent by mail here" in again.text) == (409, True)
    shop = web_shop.shop
    smtp = shop.settings.smtp.model_copy(update={"host": "mail.shop.example"})
    settings = shop.settings.model_copy(update={"smtp": smtp})
    web = web_of_shop(Shop(shop.folder, settings, shop.store, shop.clock), ADDRESS)
    mailing = WebShop(web_shop.shop, web, build_app(web)).device("desk")
    assert f"Send again {told.telling_id}" in mailing.get("/messages").text
    assert submit(mailing, "/messages/again", message=str(told.telling_id)).status_code == 303
    (waiting,) = list_tellings(web_shop.shop.store)
    assert (waiting.standing, waiting.next_try_at is not None) == ("written", True)
    answer = post_json(mailing, "/api/messages/again", message=told.telling_id)
    assert answer.json()["did"].endswith("once more, in a moment.")


@pytest.mark.parametrize("kind", KINDS)
def test_words_of_every_kind_are_shown_on_specimens(web_shop: WebShop, kind: str) -> None:
    """The template to be changed, and what it says of invented orders."""
    page = web_shop.device("desk").get(f"/messages/words/{kind}")
    assert page.status_code == 200
    assert "Subject: Order {{ order }}" in page.text
    assert "Otter Bank Rowing Club" in page.text


def test_words_that_work_are_kept_and_what_they_replace_too(web_shop: WebShop) -> None:
    """Tried first without keeping them; then kept, changed once more, and given up for the shipped ones."""
    desk = web_shop.device("desk")
    text = "Subject: {{ order }} awaits you\r\n\r\nDear {{ customer }}, <b>come</b>!\r\n"

    def change(act: str, words: str = text) -> Any:
        return submit(desk, "/messages/words/ready", text=words, act=act)

    tried = change("try")
    assert "OB-1042 awaits you" in tried.text
    assert "&lt;b&gt;come" in tried.text
    assert not own_words(web_shop).exists()
    assert change("save").status_code == 303
    assert own_words(web_shop).read_text("utf-8") == text.replace("\r\n", "\n")
    assert change("save", text.replace("come", "run")).status_code == 303
    old = own_words(web_shop).with_suffix(".old.txt")
    assert "come" in old.read_text("utf-8")
    assert change("shipped").status_code == 303
    assert not own_words(web_shop).exists()
    assert "run" in old.read_text("utf-8")
    assert "own words" not in desk.get("/messages").text


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Subject: {{ shelf }}\n\nHello", "shelf"),
        ("No subject\n\nHello", "first line"),
        ("Subject: a\n\n{% for item in items %}", "line"),
        ("Subject: a\n\n{{ items.__class__.__mro__ }}", "unsafe"),
        ("", "first line"),
    ],
)
def test_words_that_do_not_work_are_refused_and_stay_in_the_field(
    web_shop: WebShop, text: str, why: str
) -> None:
    """With the reason; what is used does not change."""
    desk = web_shop.device("desk")
    answer = submit(desk, "/messages/words/ready", text=text, act="save")
    assert answer.status_code == 409
    assert why in answer.text
    assert text.partition("\n")[0] in answer.text.replace("&#39;", "'")
    assert not own_words(web_shop).exists()


def test_bad_words_of_the_shops_own_can_be_mended_on_the_page(web_shop: WebShop) -> None:
    """They are said to be bad in the list, and shown as they are."""
    path = own_words(web_shop, "late")
    path.parent.mkdir()
    path.write_text(shipped_template("late").text + "{{ nonsense }}", encoding="utf-8")
    desk = web_shop.device("desk")
    assert "nonsense" in desk.get("/messages").text
    page = desk.get("/messages/words/late")
    assert "{{ nonsense }}" in page.text
    assert desk.get("/messages/words/nothing").status_code == 404
