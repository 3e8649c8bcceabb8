"""The story as a list of scenes: a morning's files are dropped, and become what they ought to."""

from __future__ import annotations

import email
import email.policy
import sys
from collections.abc import Callable
from pathlib import Path

from rich.progress import Progress

from hotfolder_demo.commands import quoted
from hotfolder_demo.floor import answer_a_query, answer_the_telephone, move_pieces
from hotfolder_demo.scenario import (
    BROKEN_KEY,
    BROKEN_NAME,
    BROKEN_TELLS,
    CLIMBERS,
    MEANT_KEY,
    ORDERS,
    REPEAT,
    SURFERS,
    CustomerOrder,
    broken_order,
)
from hotfolder_demo.stage import Stage, StoryWentWrong

Scene = Callable[[Stage], None]
AT_ONCE = tuple(order for order in ORDERS if order is not REPEAT)


def open_the_shop(stage: Stage) -> None:
    """The daemon is up when its heart beats."""
    stage.show.heading("Morning at Tern Street Prints, an invented shop")
    stage.show.tell(
        f"Its folder is {stage.shop_dir}\nand the real daemon, filmdocket watch, is looking after it."
    )
    stage.wait_for(lambda: bool(stage.commands.ask("inbox")["heartbeat"]), "the daemon's first heartbeat")


def drop_the_files(stage: Stage) -> None:
    """Customers drop what they have, in the way that they do."""
    show = stage.show
    show.heading("Customers drop their files")
    with show.progress("dropping", len(AT_ONCE) + 1) as bar:
        for order in AT_ONCE:
            paths = stage.dropper.drop(order)
            show.happened(order.customer, order.tells, ", ".join(paths))
            bar.advance(bar.task_ids[0])
            show.pause(0.6)
        stage.dropper.drop_bytes(BROKEN_NAME, broken_order(stage.dropper.today))
        show.happened("Somebody", BROKEN_TELLS, BROKEN_NAME)
        bar.advance(bar.task_ids[0])


def watch_them_settle(stage: Stage) -> None:
    """What is whole is taken; what is half or lacks its artwork waits until the rest has come."""
    show = stage.show
    show.heading("The daemon takes them in")
    with show.progress("taken in", len(ORDERS)) as bar:
        for order in AT_ONCE:
            if order not in (SURFERS, CLIMBERS):
                _await_answer(stage, order, bar)
        _await_waiting(stage, SURFERS, "wave.png")
        _await_waiting(stage, CLIMBERS, f"{CLIMBERS.number}.json")
        show.tell("Now the surf school's copy goes on, and the climbers send their mountain:", 1)
        for order in (SURFERS, CLIMBERS):
            stage.dropper.bring_the_rest(order)
            _await_answer(stage, order, bar)
        show.tell("And the regatta club orders again, without sending its crest:", 1)
        stage.dropper.drop(REPEAT)
        _await_answer(stage, REPEAT, bar)


def _await_answer(stage: Stage, order: CustomerOrder, bar: Progress) -> None:
    """Wait until every item of the order has been checked, and tell how it stands."""
    stage.wait_for(lambda: _is_answered(stage, order), f"an answer to {order.number} of {order.customer}")
    stage.show.happened(f"{order.number} {order.customer}", stage.standing(order))
    bar.advance(bar.task_ids[0])


def _await_waiting(stage: Stage, order: CustomerOrder, path: str) -> None:
    """Wait until the daemon says that it waits for the rest of this, and has not taken it in so far."""
    stage.wait_for(lambda: _standing_of(stage, path) == "waiting", f"{path} to be called waiting")
    stage.expect(stage.standing(order) == "", f"{order.number} was taken in without its artwork")
    stage.show.happened(path, "waiting", str(stage.commands.files()[path]["says"]))
    stage.show.pause(1.5)


def show_what_became(stage: Stage) -> None:
    """Each order with what became of it, the customers' questions, and the refused file's own letter."""
    show = stage.show
    show.heading("What the daemon made of it")
    rows = []
    for order in ORDERS:
        found = stage.commands.order(order.number)
        stage.expect(found is not None, f"{order.number} is not in the books")
        tickets = found["tickets"] if found else []
        for ticket in tickets:
            stage.codes[order.number, ticket["item"]] = ticket["code"]
        stage.expect(len(tickets) == len(order.items), f"{order.number} has {len(tickets)} tickets")
        standing = stage.standing(order)
        stage.expect(standing == order.standing, f"{order.number} is {standing}, not {order.standing}")
        for ticket in tickets:
            rows.append((order.customer, order.number, ticket["artwork"], ticket["code"], standing))
    show.table(("customer", "order", "artwork", "ticket", "standing"), rows)
    show.pause(3)
    show.heading("What the customers are asked")
    for order in ORDERS:
        if order.standing == "queried":
            _show_the_question(stage, order)
    _show_the_refusal(stage)


def _show_the_question(stage: Stage, order: CustomerOrder) -> None:
    """The letter that is ready to send, the report with it, and the finding that was meant."""
    folder = stage.shop_dir / "outbox" / order.number
    stage.wait_for(lambda: any(folder.glob("*.eml")), f"a message for {order.number} in {folder}")
    stage.expect(any(folder.glob("*.pdf")), f"no artwork report for {order.number} in {folder}")
    question, what_to_do = _gist(_letter(min(folder.glob("*.eml"))))
    said = f"{question}\n→ {what_to_do}"
    stage.show.happened(f"{order.customer}: {order.items[0].artwork}", "queried", said)
    stage.show.pause(2)


def _letter(path: Path) -> str:
    message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    body = message.get_body(("plain",))
    return str(body.get_content()) if body else ""


def _gist(letter: str) -> tuple[str, str]:
    """The first thing that a letter says of the artwork, and what it asks the customer to do."""
    lines = [line.strip() for line in letter.splitlines()]
    at = next((number for number, line in enumerate(lines) if line.startswith("–")), None)
    if at is None:
        raise StoryWentWrong(f"this letter asks nothing: {letter}")
    return lines[at].strip("– "), lines[at + 1]


def _show_the_refusal(stage: Stage) -> None:
    """The broken order file lies in `refused/` with a letter that names every slip at once."""
    stage.wait_for(lambda: _standing_of(stage, BROKEN_NAME) == "refused", f"{BROKEN_NAME} to be refused")
    letters = sorted((stage.shop_dir / "refused").rglob("*.txt"))
    stage.expect(len(letters) == 1, f"{len(letters)} letters in refused/ instead of one")
    text = letters[0].read_text("utf-8")
    told = [part for part in text.split("\n\n") if BROKEN_KEY in part]
    stage.show.happened(BROKEN_NAME, "refused", " ".join(told))
    for word in (BROKEN_KEY, MEANT_KEY, "width_mm"):
        stage.expect(word in text, f"{letters[0].name} does not name {word}")
    stage.show.pause(3)


def say_where_things_lie(stage: Stage) -> None:
    """The tickets and reports to be looked at, and how to go on."""
    show, shop_dir = stage.show, stage.shop_dir
    tickets = sorted((shop_dir / "papers").rglob("*.pdf"))
    reports = sorted((shop_dir / "outbox").rglob("*.pdf"))
    stage.expect(len(tickets) >= len(stage.codes) - 3, f"only {len(tickets)} job tickets in papers/")
    stage.expect(len(reports) >= 4, f"only {len(reports)} artwork reports in outbox/")
    show.heading("Where things lie")
    opener = {"win32": "start", "darwin": "open"}.get(sys.platform, "xdg-open")
    show.tell(f"{len(tickets)} job tickets (PDF). Look at one:", 0.5)
    show.line(f"{opener} {quoted(tickets[-1])}")
    show.tell(f"{len(reports)} artwork reports (PDF), each with a message that is ready to send:", 0.5)
    show.line(f"{opener} {quoted(reports[0])}")


def _is_answered(stage: Stage, order: CustomerOrder) -> bool:
    """Whether every item of the order has been checked and stands as something."""
    found = stage.commands.order(order.number)
    if found is None:
        return False
    return len(found["tickets"]) + len(found.get("refused_items", [])) == len(order.items)


def _standing_of(stage: Stage, path: str) -> str:
    return str(stage.commands.files().get(path, {}).get("standing", ""))


SCENES: tuple[Scene, ...] = (
    open_the_shop,
    drop_the_files,
    watch_them_settle,
    show_what_became,
    answer_a_query,
    move_pieces,
    answer_the_telephone,
    say_where_things_lie,
)
