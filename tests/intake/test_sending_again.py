"""Sending again because somebody wants it, and the doctor's look at words and mail server."""

from __future__ import annotations

import json
import socket
from pathlib import Path

import pytest

from intake.cli import main
from intake.doctor import Check, examine_shop
from intake.letters.sending import send_written, try_server
from intake.letters.templating import shipped_template
from intake.shop import make_shop
from tests.intake.shops import Bench
from tests.intake.test_papers import taken
from tests.intake.test_sending import Office, open_office, with_server
from tickets.lookup import order_history
from tickets.lookup.telling import list_tellings
from tickets.problems import ShopProblem


def test_a_failed_message_is_sent_again_when_somebody_says_so(bench: Bench) -> None:
    """And one that was sent too: a person has looked. The history says who."""
    taken(bench, "clear")
    office = Office()
    office.rcpt_answer = "550 no such user"
    with open_office(office) as port:
        shop = with_server(bench, port)
        send_written(shop)
        (told,) = list_tellings(shop.store)
        assert told.standing == "failed"
        office.rcpt_answer = ""
        assert send_written(shop) == 0  # never by itself
        said = shop.ledger.send_again(told.telling_id, "Ines")
        assert said == "The message (received) is sent to kit@otterbank.example once more, in a moment."
        assert (send_written(shop), send_written(shop)) == (1, 0)
        shop.ledger.send_again(told.telling_id, "Ines")
        assert (send_written(shop), len(office.mail)) == (1, 2)
    lines = [(line.says, line.by) for line in order_history(bench.shop.store, "OB-1")]
    assert ("The message to the customer of OB-1 is sent once more: received.", "Ines") in lines


def test_what_cannot_be_sent_is_refused(bench: Bench, capsys: pytest.CaptureFixture[str]) -> None:
    """No server, a kind that is left out, nothing written, no such number: each says what to do."""
    taken(bench, "clear")
    (told,) = list_tellings(bench.shop.store)
    number = told.telling_id

    def refused(shop_of: Bench, number: int) -> str:
        with pytest.raises(ShopProblem) as problem:
            shop_of.shop.ledger.send_again(number)
        return problem.value.slug

    assert refused(bench, number) == "no-such-message"  # it is due, not written
    with_server(bench, 9)
    assert refused(bench, number) == "not-sent-by-mail"  # the bench's own settings name no server
    assert refused(bench, 4711) == "no-such-message"
    assert main(["messages", "again", "4711", "--shop", str(bench.folder)]) == 5
    assert main(["messages", "again", "OB-1", "--shop", str(bench.folder)]) == 2
    capsys.readouterr()
    assert main(["messages", "list", "--json", "--shop", str(bench.folder)]) == 0
    assert json.loads(capsys.readouterr().out)["messages"][0]["message"] == number


def examined(folder: Path, more: str = "") -> dict[str, Check]:
    """What the doctor says of a new shop, by the name of the thing."""
    make_shop(folder)
    (folder / "shop.toml").write_text(f"[sandbox]\nworkers = 1\n{more}\n", encoding="utf-8")
    return {check.name: check for check in examine_shop(folder).checks}


def test_the_doctor_tries_the_words(tmp_path: Path) -> None:
    """A template that names what is not there is told; no mail server is asked for where none is set."""
    folder = tmp_path / "shop"
    found = examined(folder)
    assert found["messages"].ok
    assert "mail server" not in found
    (folder / "messages").mkdir()
    text = shipped_template("ready").text
    (folder / "messages" / "ready.txt").write_text(text, encoding="utf-8")
    assert "1 in own words" in examined(folder)["messages"].says
    (folder / "messages" / "ready.txt").write_text(text + "{{ shelf }}", encoding="utf-8")
    wrong = examined(folder)["messages"]
    assert not wrong.ok
    assert "shelf" in wrong.says


def test_the_doctor_knocks_at_the_mail_server(tmp_path: Path) -> None:
    """One that lets us in, and one that is away; nothing is sent."""
    office = Office()
    with open_office(office) as port:
        smtp = f'[smtp]\nhost = "127.0.0.1"\nport = {port}\nsecurity = "none"'
        assert examined(tmp_path / "shop", smtp)["mail server"].ok
    assert office.mail == []
    away = examined(tmp_path / "shop", smtp)["mail server"]
    assert not away.ok
    assert "cannot be reached" in away.says


def test_a_server_that_never_answers_is_given_up_in_time(bench: Bench) -> None:
    """It takes the call and says nothing."""
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        shop = with_server(bench, int(silent.getsockname()[1]), timeout_seconds=60.0)
        assert "cannot be reached" in try_server(shop.settings.smtp, 0.3)
