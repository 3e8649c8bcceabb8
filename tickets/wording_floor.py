"""The sentences of floor and desk: what a scan did, and why one can't be taken, each with what to do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tickets.languages import make_spoken
from tickets.problems import BadInput, NotFound, ShopProblem

_DONE_AT = {
    "print": "printed",
    "powder": "powdered",
    "cure": "cured",
    "press": "pressed",
    "dispatch": "dispatched",
}
_ENDS = ("dispatched", "spoiled", "cancelled")


def pieces(count: int) -> str:
    """1 piece, 2 pieces."""
    return f"{count} piece" if count == 1 else f"{count} pieces"


def done_at(station: str) -> str:
    """What a station does to pieces, as a word: pressed; for a shop's own station: done at it."""
    return _DONE_AT.get(station, f"done at {station}")


def listed(words: Sequence[str]) -> str:
    """a, b and c."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def places(spots: Iterable[tuple[str, str, int]]) -> str:
    """Where pieces are, from (place, run, count): 30 at print (in run R01X), 8 dispatched."""
    said = []
    for place, run, count in spots:
        where = place if place in _ENDS else f"at {place}"
        said.append(f"{count} {where}" + (f" (in run {run})" if run else ""))
    return ", ".join(said) or "there are no pieces left"


def scanned(code: str, station: str, to: str, good: int, spoiled: int) -> str:
    """What a scan did, up to where the pieces go now."""
    lost = f"{pieces(spoiled)} of {code} spoiled at {station}" if spoiled else ""
    if not good:
        return f"{lost}."
    on = "" if to == "dispatched" else f", on to {to}"
    also = f"; {spoiled} spoiled" if spoiled else ""
    return f"{pieces(good)} of {code} {done_at(station)}{on}{also}."


def still_waits(count: int, station: str) -> str:
    """What a scan left at its station."""
    return f"{count} still {'waits' if count == 1 else 'wait'} at {station}."


def still_to_come(count: int) -> str:
    """What a dispatch left of its order."""
    return f"{pieces(count)} of the order {'is' if count == 1 else 'are'} still to come."


def booked_unseen(stations: Sequence[str]) -> str:
    """What a catch-up booked without anybody having scanned it."""
    was = "was" if len(stations) == 1 else "were"
    return f"{listed(stations).capitalize()} had been missed and {was} booked."


def starts_again(spoiled: int, first: str, reprint: str) -> str:
    """Where spoiled pieces are made again."""
    verb = "starts" if spoiled == 1 else "start"
    return f"{pieces(spoiled).capitalize()} {verb} again at {first} as {reprint}."


def garment_may_be_lost(garment_set: str) -> str:
    """The question behind a spoiled print on a garment that has other prints."""
    return f"Is the garment lost too? Other prints of {garment_set!r} are on the same garments."


def held_stay_behind(codes: Sequence[str]) -> str:
    """What a dispatch of an order left behind."""
    return f"{listed(codes)} {'is' if len(codes) == 1 else 'are'} held and stayed behind."


def taken_back(code: str, station: str, count: int, withdrawn: Sequence[str]) -> str:
    """What an undo did."""
    said = f"The last scan of {code}, at {station}, is taken back: {pieces(count)} are as they were before."
    if withdrawn:
        one = len(withdrawn) == 1
        which = f"The reprint {listed(withdrawn)} is" if one else f"The reprints {listed(withdrawn)} are"
        said += f" {which} withdrawn; put {'its paper' if one else 'their papers'} away."
    return said


def no_such_code(code: str) -> NotFound:
    """Nothing in the books is called so."""
    return NotFound(
        "code-not-known",
        f"No ticket, run or order {code} is in the books.",
        "Look it up with `filmdocket where` and any words that you know of it.",
    )


def ticket_withdrawn(code: str, first: str) -> ShopProblem:
    """A reprint whose spoilage was taken back."""
    return ShopProblem(
        "ticket-withdrawn",
        f"The reprint {code} was withdrawn when the spoilage on {first} was taken back; it has no pieces.",
        f"Put its paper away and scan {first}.",
    )


def nothing_waits_here(code: str, station: str, where: str, *, may_catch_up: bool) -> ShopProblem:
    """A scan at a station where nothing waits."""
    do = (
        "Scan it where it is, or add --catch-up if the stations before were only missed."
        if may_catch_up
        else "Nothing was changed; scan the pieces where they are."
    )
    return ShopProblem("nothing-waits-here", f"Nothing of {code} waits at {station}: {where}.", do)


def no_run_waits_here(run: str, station: str, where: str) -> ShopProblem:
    """A run scanned where none of it waits."""
    return ShopProblem(
        "nothing-waits-here",
        f"Nothing of run {run} waits at {station}: {where}.",
        "Scan the run where it is; once its film is cut, behind the cure, scan its tickets.",
    )


def more_than_waits(code: str, station: str, asked: int, waits: int, where: str) -> ShopProblem:
    """More pieces than there are."""
    verb = "waits" if waits == 1 else "wait"
    return ShopProblem(
        "more-than-waits",
        f"{pieces(asked)} of {code} at {station}, but only {waits} {verb}: {where}.",
        "Nothing was changed. Count again, or scan first where the others are.",
    )


def pieces_in_a_run(code: str, runs: Sequence[str], where: str) -> ShopProblem:
    """A ticket scan of pieces that travel on a film."""
    named = listed(list(runs))
    return ShopProblem(
        "pieces-in-a-run",
        f"The pieces of {code} are in film run {named}: {where}.",
        f"Scan {named}; the tickets are scanned once the film is cut, behind the cure.",
    )


def run_takes_no_numbers(run: str) -> ShopProblem:
    """Numbers with a run code."""
    return ShopProblem(
        "run-takes-no-numbers",
        f"Run {run} is one piece of film: all of it moves, or none.",
        f"Scan it without numbers; book what is spoiled on it with: filmdocket film spoil {run}",
    )


def scanned_in_a_run(code: str, run: str) -> ShopProblem:
    """An undo of a ticket whose last scan was its run's."""
    return ShopProblem(
        "scanned-in-a-run",
        f"{code} was last scanned with its film run {run}.",
        f"Undo {run} to take it all back.",
    )


def ticket_queried(code: str) -> ShopProblem:
    """A scan before the customer has answered."""
    return ShopProblem(
        "ticket-queried",
        f"{code} has a question for the customer that is still open.",
        f"Ask, then `filmdocket release {code} --by NAME --note ANSWER`.",
    )


def ticket_unchecked(code: str) -> ShopProblem:
    """A scan while new artwork is being checked."""
    return ShopProblem(
        "ticket-unchecked",
        f"New artwork for {code} has come and is not checked yet.",
        "Try again in a moment; if it stays so, see whether `filmdocket watch` is running.",
    )


def ticket_held(code: str, why: str) -> ShopProblem:
    """A scan of a held ticket."""
    return ShopProblem(
        "ticket-held", f"{code} is held: {why}.", f"`filmdocket release {code} --by NAME` lets it go on."
    )


def order_held(code: str, order: str, why: str) -> ShopProblem:
    """A scan of a ticket whose order is held."""
    return ShopProblem(
        "ticket-held",
        f"{code} is held with its whole order {order}: {why}.",
        f"`filmdocket release {order} --by NAME` lets it go on.",
    )


def bad_number(number: int) -> BadInput:
    """A number of pieces that can't be one."""
    return BadInput("bad-number", f"{number} is no number of pieces.", "Give 1 or more.")


def nothing_asked() -> BadInput:
    """A scan of no pieces."""
    return BadInput(
        "nothing-asked", "A scan of no pieces says nothing.", "Leave the number out, or give one."
    )


def spoiled_needs_why(spoiled: int) -> BadInput:
    """Spoilage without a reason."""
    return BadInput(
        "spoiled-needs-why",
        f"{pieces(spoiled).capitalize()} spoiled, but not why.",
        "Say what happened with --why.",
    )


def run_is_no_order(run: str) -> ShopProblem:
    """A run code where a ticket or an order is meant."""
    return ShopProblem(
        "run-not-ticket",
        f"{run} is a film run, with pieces of several tickets.",
        "Give the code of the ticket, or the number of the order, that is meant.",
    )


def no_ticket_yet(order: str) -> ShopProblem:
    """An order whose items are all unchecked or refused."""
    return ShopProblem(
        "nothing-waits-here",
        f"No item of {order} has a ticket: its artwork is not checked yet, or was refused.",
        "See `filmdocket where` for what it waits for.",
    )


def part_dispatch(order: str, behind: int) -> ShopProblem:
    """A dispatch that would split an order."""
    verb = "is" if behind == 1 else "are"
    return ShopProblem(
        "part-dispatch",
        f"{pieces(behind).capitalize()} of {order} {verb} not at dispatch yet: this would send a part.",
        "Wait for the rest, or send a part with --part and say --why.",
    )


def part_needs_why(order: str) -> BadInput:
    """A part dispatch without a reason."""
    return BadInput(
        "part-needs-why", f"A part of {order} would go, but not why.", "Say the reason with --why."
    )


def order_at_dispatch_only(order: str, last: str) -> ShopProblem:
    """An order number at a station of the line."""
    return ShopProblem(
        "order-at-dispatch-only",
        f"A whole order is scanned at {last} only; {order} is an order number.",
        "Scan the tickets of the order instead.",
    )


def which_ticket(order: str, codes: Sequence[str]) -> ShopProblem:
    """Numbers with an order number."""
    tickets = listed(list(codes)) or "none that has pieces left"
    return ShopProblem(
        "which-ticket",
        f"Numbers and catching up belong to a ticket; {order} is an order. Its tickets: {tickets}.",
        "Give the code of the ticket that is meant.",
    )


def moved_on(code: str, where: str) -> ShopProblem:
    """An undo that comes too late."""
    return ShopProblem(
        "moved-on",
        f"Pieces of {code} have moved on since: {where}.",
        "Nothing was changed. Take the later scans back first; what was cancelled stays so.",
    )


def nothing_to_undo(code: str) -> ShopProblem:
    """An undo with nothing before it."""
    return ShopProblem("nothing-to-undo", f"No scan of {code} is left to take back.", "Nothing was changed.")


def nothing_to_cancel(code: str, where: str) -> ShopProblem:
    """A cancellation of what is gone already."""
    return ShopProblem(
        "nothing-to-cancel", f"No pieces of {code} are on the line: {where}.", "Nothing was changed."
    )


def more_to_cancel(code: str, asked: int, waiting: int, where: str) -> ShopProblem:
    """A cancellation of more pieces than there are."""
    verb = "is" if waiting == 1 else "are"
    return ShopProblem(
        "more-than-waits",
        f"{pieces(asked)} of {code} to cancel, but only {waiting} {verb} left: {where}.",
        "Nothing was changed. Give a smaller number, or none for all that is left.",
    )


def needs_why(act: str) -> BadInput:
    """An act of the desk without its reason."""
    return BadInput("needs-why", f"To {act} something needs a reason.", "Say it with --why.")


def needs_name() -> BadInput:
    """A release by nobody."""
    return BadInput("needs-name", "A release needs the name of the person who gives it.", "Say it with --by.")


def not_queried(code: str) -> ShopProblem:
    """A repair of artwork that nobody asks about."""
    return ShopProblem(
        "nothing-to-repair",
        f"There is no open question about {code}: only artwork with a question is repaired.",
        "See where it stands with `filmdocket where`.",
    )


def artwork_changed(code: str) -> ShopProblem:
    """New artwork came in while the old one was being repaired."""
    return ShopProblem(
        "artwork-changed",
        f"New artwork came for {code} while the old one was being repaired; nothing was booked.",
        "Look at the new artwork, and repair that if it still needs it.",
    )


def already_held(code: str, why: str) -> ShopProblem:
    """A hold on what is held."""
    return ShopProblem(
        "already-held", f"{code} is held already: {why}.", "Release it first if the reason has changed."
    )


def nothing_to_hold(code: str) -> ShopProblem:
    """A hold on what is gone already."""
    return ShopProblem("nothing-to-hold", f"{code} has nothing left to hold.", "Nothing was changed.")


def nothing_to_release(code: str, order: str, order_held_why: str | None) -> ShopProblem:
    """A release of what is neither queried nor held."""
    if order_held_why is not None and code != order:
        return ShopProblem(
            "nothing-to-release",
            f"{code} itself is not held; its whole order {order} is: {order_held_why}.",
            f"`filmdocket release {order} --by NAME` lets it go on.",
        )
    return ShopProblem(
        "nothing-to-release",
        f"{code} has neither an open question nor a hold of its own.",
        "Nothing was changed.",
    )


def artwork_not_usable(code: str, slug: str) -> ShopProblem:
    """A release of a question whose latest artwork can't be printed."""
    return ShopProblem(
        "artwork-not-usable",
        f"The artwork that came last for {code} can't be printed ({slug or 'refused'}).",
        "Ask the customer for a file that can; a release would print nothing.",
    )


def key_too_long(most: int) -> BadInput:
    """An idempotency key that is no key but a text."""
    return BadInput(
        "key-too-long", f"A key has at most {most} characters.", "Use a short one, such as a UUID."
    )


def key_used(key: str) -> ShopProblem:
    """An idempotency key that belongs to another scan."""
    return ShopProblem(
        "key-used-for-another",
        f"The key {key!r} was used for another scan already.",
        "Use a new key for each new scan.",
    )


make_spoken(__name__, de="tickets.german.floor")
