"""The command that looks for a shorter layout of one planned run."""

from __future__ import annotations

from typing import Annotated

import typer

from intake.commands.film_planning import say_making
from intake.commands.options import (
    ByOption,
    JsonOption,
    ShopOption,
    open_asked,
    print_aside,
    print_json,
    print_lines,
)


def finish(
    code: Annotated[str, typer.Argument(help="The code of a film run, as typed or scanned.")],
    seconds: Annotated[int, typer.Option("--seconds", min=1, max=600, help="Look so long.")] = 30,
    by: ByOption = "",
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Lay a planned run closer, by the outlines of its pieces; kept only if shorter and judged clean.

    What is stopped, fails or finds nothing better leaves the run as it was.
    """
    from intake.film.outlines import open_outlines
    from tickets import wording_film_choices as wording
    from tickets.codes import read_code
    from tickets.film_finisher import finish_by_spyrrow
    from tickets.lookup.film_finish import propose_finish

    run = read_code(code)
    with open_asked(shop) as opened, open_outlines(opened, say_making) as outlines:
        print_aside(wording.finishing(run, seconds))
        asked = (opened.store, opened.settings, run, finish_by_spyrrow)
        found = propose_finish(*asked, seconds=seconds, outlines=outlines)
        if found.keep is not None:
            opened.ledger.keep_film_plan(found.keep, by)
    if as_json:
        lengths = {"before_mm": round(found.before_mm, 2), "length_mm": round(found.length_mm, 2)}
        print_json({"run": run, **lengths, "kept": found.keep is not None})
    else:
        print_lines(wording.finished(run, found.before_mm, found.length_mm))
