"""The second half of the story: the desk answers, pieces go along the line, the telephone rings."""

from __future__ import annotations

from typing import Any

from hotfolder_demo.scenario import BAND, REGATTA
from hotfolder_demo.stage import Stage

CHEST, BACK = (REGATTA.number, 1), (REGATTA.number, 2)


def answer_a_query(stage: Stage) -> None:
    """The band is asked, says yes, and its ticket may go on."""
    stage.show.heading("At the desk")
    code = stage.codes[BAND.number, 1]
    tell = stage.show.tell
    tell("Nobody can scan a ticket on whose artwork a question is open:", 1)
    stage.type("scan", code, "--at", "print", "--by", "Tomasz", status=5)
    tell("The band was asked, and likes its rays that fine. Ines writes that down:", 1)
    stage.type(
        "release", code, "--by", "Ines", "--note", "band agreed to a test print on the phone", says=code
    )
    stage.expect(stage.standing(BAND) == "in work", f"{BAND.number} is not in work after its release")
    stage.wait_for(lambda: _has_paper(stage, BAND.number, code), f"the paper of {code} after its release")


def move_pieces(stage: Stage) -> None:
    """The regatta club's hoodies go along the line; two are spoiled on the way and made again."""
    chest, back = stage.codes[CHEST], stage.codes[BACK]
    show = stage.show
    show.heading("Along the line")
    show.tell(f"The regatta club's chest print, {chest}: its code is scanned where work is done.", 1)
    stage.type("scan", chest, "--at", "print", "--by", "Tomasz", seconds=0.5)
    show.tell("The wrong station is explained, and changes nothing:", 0.5)
    stage.type("scan", chest, "--at", "press", "--by", "Ines", status=5, says="powder")
    stage.type("scan", chest, "--at", "powder", "--by", "Tomasz", seconds=0.5)
    stage.type("scan", chest, "--at", "cure", "--by", "Tomasz", "--key", "gun-1-0007", seconds=0.5)
    show.tell("The trigger bounced: the same scan comes twice, and counts once.", 0.5)
    stage.type("scan", chest, "--at", "cure", "--by", "Tomasz", "--key", "gun-1-0007")
    show.tell("At the press two of 24 peel badly. They start again on a ticket of their own:", 0.5)
    spoiled = ("--good", "22", "--spoiled", "2", "--why", "peeled badly", "--by", "Adaeze")
    stage.type("scan", chest, "--at", "press", *spoiled, says="2")
    reprint = _reprint_of(stage, chest)
    stage.type("where", "heron", says=reprint["code"], seconds=3)
    show.tell("The reprint and the back print were not scanned on the way: --catch-up books that.", 0.5)
    for code in (reprint["code"], back):
        stage.type("scan", code, "--at", "press", "--catch-up", "--by", "Adaeze", seconds=0.5)
    stage.expect(stage.standing(REGATTA) == "ready", f"{REGATTA.number} is not ready with all pieces pressed")
    stage.type("scan", REGATTA.number, "--at", "dispatch", "--by", "Ines", says="48")
    _count_pieces(stage)


def _reprint_of(stage: Stage, code: str) -> dict[str, Any]:
    order = stage.commands.order(REGATTA.number) or {"tickets": []}
    reprints = [t for t in order["tickets"] if t["reprint_of"] == code]
    stage.expect(len(reprints) == 1, f"{code} has {len(reprints)} reprints instead of one")
    stage.expect(reprints[0]["quantity"] == 2, f"the reprint of {code} is not of the 2 spoiled pieces")
    return dict(reprints[0])


def _count_pieces(stage: Stage) -> None:
    """Every piece that was ordered is accounted for."""
    order = stage.commands.order(REGATTA.number)
    stage.expect(
        order is not None and order["standing"] == "dispatched", f"{REGATTA.number} is not dispatched"
    )
    tickets = order["tickets"] if order else []
    for ticket in tickets:
        ends = (
            sum(ticket["waiting"].values()) + ticket["dispatched"] + ticket["cancelled"] + ticket["spoiled"]
        )
        stage.expect(ends == ticket["quantity"], f"{ticket['code']} has lost or gained pieces")
    for number, item in enumerate(REGATTA.items, start=1):
        sent = sum(t["dispatched"] for t in tickets if t["item"] == number)
        stage.expect(
            sent == item.quantity, f"{sent} of {item.quantity} pieces of item {number} were dispatched"
        )


def answer_the_telephone(stage: Stage) -> None:
    """Callers say what they happen to remember."""
    show = stage.show
    show.heading("The telephone rings")
    show.tell("“It's about our shirts, the Salt Lantrens?” A slip of the pen is forgiven:", 0.5)
    stage.type("where", "salt", "lantrens", says=BAND.number, seconds=2)
    show.tell("“My number ends in 960142.”", 0.5)
    stage.type("where", "960142", says=REGATTA.number, seconds=2)
    show.tell("“Это Зоря.”", 0.5)
    stage.type("where", "зоря", says="ZO-0101", seconds=2)


def _has_paper(stage: Stage, number: str, code: str) -> bool:
    return (stage.shop_dir / "papers" / number / f"{code}.pdf").is_file()
