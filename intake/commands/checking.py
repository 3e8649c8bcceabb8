"""The command that checks artwork without an order."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from intake.commands.options import JsonOption, ShopOption, print_aside, print_json, print_lines
from intake.commands.repairing import (
    ChangesOption,
    EnclosedOption,
    HardenOption,
    RepairOption,
    RepairOptions,
    RepairsOption,
    repair_lines,
    repaired_into,
)
from tickets.problems import Exit, ShopProblem

if TYPE_CHECKING:
    from intake.facts import Preflight
    from intake.preflight import PreflightJob
    from intake.sandbox import Sandbox
    from tickets.film.advice import Advice


def add_commands(app: typer.Typer) -> None:
    """Hang the check on the command line."""
    app.command(
        short_help="Check artwork without an order.",
        epilog="Example: filmdocket check crest.png --width-mm 90 --garment '#10213f' --picture marked.png",
    )(check)


def check(
    files: Annotated[list[Path], typer.Argument(help="Artwork files.")],
    width_mm: Annotated[float | None, typer.Option("--width-mm", help="Width of the print in mm.")] = None,
    height_mm: Annotated[float | None, typer.Option("--height-mm", help="Height of the print in mm.")] = None,
    ppi: Annotated[float | None, typer.Option("--ppi", help="Or: print at so many pixels an inch.")] = None,
    page: Annotated[int | None, typer.Option("--page", min=1, help="Page of a file with several.")] = None,
    garment: Annotated[
        str | None, typer.Option("--garment", help="Colour of the garment, as '#RRGGBB'.")
    ] = None,
    picture: Annotated[
        Path | None, typer.Option("--picture", help="Draw the findings over the art into this PNG.")
    ] = None,
    repair: RepairOption = None,
    repairs: RepairsOption = "",
    enclosed: EnclosedOption = False,
    harden_at: HardenOption = 0.5,
    changes: ChangesOption = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Check artwork at a print size: what will not print well, where, and what to do about it."""
    _refuse_wrong_usage(files, (width_mm, height_mm, ppi), garment, picture)
    asked = RepairOptions(repair, repairs, enclosed, harden_at, changes)
    asked.refuse_wrong_usage(files)
    sizes = {"page": page, "width_mm": width_mm, "height_mm": height_mm, "ppi": ppi, "garment": garment}
    answers = _check_all(files, shop, asked, want_picture=picture is not None, **sizes)
    # First: the answer is worth having also where its picture cannot be written.
    _print(answers, as_json, _smaller(answers, shop))
    if picture is not None:
        _draw(answers[0], picture)
    if any(a.slug == "unexpected" for a in answers):
        raise typer.Exit(int(Exit.BUG))
    raise typer.Exit(max(_status(a) for a in answers))


def _check_all(files: list[Path], shop: Path | None, asked: RepairOptions, **wanted: Any) -> list[Preflight]:
    """The answers about all files, on the limits of the shop or on the shipped ones."""
    from config.settings import find_shop_dir, load_settings
    from intake.preflight import PreflightJob
    from intake.sandbox import Sandbox

    folder = find_shop_dir(shop)
    settings = load_settings(folder if (folder / "shop.toml").is_file() else None)
    answers: list[Preflight] = []
    with Sandbox(settings.sandbox) as sandbox:
        for file in files:
            if len(files) > 1:
                print_aside(f"checking {file.name} …")
            job = PreflightJob(file, file.name, settings.limits, settings.film, **wanted)
            with repaired_into(asked, job) as told:
                answers.append(told.keep(_answer(sandbox, told.job)))
    return answers


def _answer(sandbox: Sandbox, job: PreflightJob) -> Preflight:
    """The answer about one file; a bug met in one costs that file's answer, not the others'."""
    from intake.facts import Finding, Level, Preflight, Verdict
    from intake.sandbox.child import SandboxFault

    try:
        return sandbox.preflight(job)
    except SandboxFault as fault:
        print_aside(f"{fault}\nunexpected: a fault in the program, met in {job.name}; please report it.")
        says = f"{job.name} could not be checked: something unexpected happened on our side."
        finding = Finding("file", Level.REFUSE, says, "Report the fault; the file itself may be fine.")
        return Preflight(job.name, Verdict.REFUSE, None, {}, (finding,), slug="unexpected")


def _refuse_wrong_usage(
    files: list[Path], sizes: tuple[float | None, ...], garment: str | None, picture: Path | None
) -> None:
    width_mm, height_mm, ppi = sizes
    if width_mm is None and height_mm is None and ppi is None:
        raise typer.BadParameter("say how large it will be printed: --width-mm, --height-mm, or --ppi")
    if ppi is not None and (width_mm is not None or height_mm is not None):
        raise typer.BadParameter("--ppi sets the size by itself: leave --width-mm and --height-mm out")
    if any(value is not None and not 0 < value < 100_000 for value in sizes):
        raise typer.BadParameter("a size must be more than 0 and less than 100,000")
    if garment is not None and not _is_colour(garment):
        raise typer.BadParameter("--garment takes a colour such as '#10213f'")
    if picture is not None and len(files) > 1:
        raise typer.BadParameter("--picture draws one file: check them one by one")


def _is_colour(text: str) -> bool:
    return len(text) == 7 and text[0] == "#" and all(c in "0123456789abcdefABCDEF" for c in text[1:])


def _status(answer: Preflight) -> int:
    return {"clear": 0, "query": 3, "refuse": 4}[str(answer.verdict)]


def _draw(answer: Preflight, picture: Path) -> None:
    from intake.report import draw_findings

    if not answer.picture_png or answer.print_mm is None:
        print_aside(f"No picture was drawn: {answer.file} could not be opened.")
        return
    drawn = draw_findings(answer.picture_png, answer.findings, answer.print_mm)
    try:
        picture.write_bytes(drawn)
    except OSError as error:
        raise ShopProblem(
            "picture-not-written",
            f"The picture {picture} cannot be written: {error.strerror or error}.",
            "Name a file in a folder that is there and in which you may write.",
        ) from error
    print_aside(f"Findings drawn into {picture}.")


def _smaller(answers: list[Preflight], shop: Path | None) -> list[tuple[Advice, str] | None]:
    """What a few millimetres less would save of each, for a hundred pieces, in words too."""
    from config.settings import find_shop_dir, load_settings
    from tickets.film.sizing import advice_of_size

    folder = find_shop_dir(shop)
    settings = load_settings(folder if (folder / "shop.toml").is_file() else None)
    return [advice_of_size(settings, answer.print_mm) if answer.print_mm else None for answer in answers]


def _print(answers: list[Preflight], as_json: bool, smaller: list[tuple[Advice, str] | None]) -> None:
    if as_json:
        documents: list[dict[str, Any]] = [
            {**answer.as_json(), "size_advice": _advice_json(advice)}
            for answer, advice in zip(answers, smaller, strict=True)
        ]
        print_json(documents[0] if len(documents) == 1 else documents)
        return
    for answer, advice in zip(answers, smaller, strict=True):
        print_lines(*_as_lines(answer), *([f"  film: {advice[1]}"] if advice else []))


def _advice_json(advice: tuple[Advice, str] | None) -> dict[str, Any] | None:
    if advice is None:
        return None
    from tickets.film.sizing import A_HUNDRED

    found, says = advice
    return {
        "width_mm": round(found.width_mm, 1),
        "height_mm": round(found.height_mm, 1),
        "across": list(found.across),
        "saved_mm": round(found.saved_mm, 1),
        "saved_money": round(found.saved_money, 2),
        "pieces": A_HUNDRED,
        "says": says,
    }


def _as_lines(answer: Preflight) -> list[str]:
    """The answer for people: the verdict, what was measured, then each finding in its two sentences."""
    words = {"clear": "clear, nothing stands in the way", "query": "ask the customer", "refuse": "refused"}
    lines = [f"{answer.file}: {words[str(answer.verdict)]}"]
    measures = answer.measures
    told = []
    if answer.print_mm:
        told.append("{:g} × {:g} mm".format(*(round(v, 1) for v in answer.print_mm)))
    if measures.get("ppi"):
        told.append("{:.0f} × {:.0f} ppi".format(*measures["ppi"]))  # type: ignore[misc]
    for key, words_before in (("thinnest_line_mm", "thinnest line"), ("thinnest_gap_mm", "narrowest gap")):
        if measures.get(key) is not None:
            told.append(f"{words_before} {measures[key]:.2f} mm")
    if told:
        lines.append("  " + ", ".join(told))
    for finding in answer.findings:
        lines.append(f"  {finding.level}: {finding.says}")
        if finding.do:
            lines.append(f"         {finding.do}")
    return lines + repair_lines(answer)
