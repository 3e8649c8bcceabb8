"""Commands about the files of a run: the PDF for the printer, and the sheet that goes with the film."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from intake.commands.options import ByOption, JsonOption, ShopOption, open_asked, print_json, print_lines

if TYPE_CHECKING:
    from intake.film.files import RunFiles
    from intake.shop import Shop

RasterOption = Annotated[
    Literal["tiff", "png"] | None,
    typer.Option("--raster", help="The run as pixels with transparency beside the PDF: BigTIFF or PNG."),
]
RunArgument = Annotated[str, typer.Argument(help="The code of a film run, as typed or scanned.")]


def add_commands(film: typer.Typer) -> None:
    """Hang the commands about a run's files beside the others about film."""
    film.command(
        "file",
        short_help="Write the file of a film run and its sheet, proved by reading it back.",
        epilog="Example: filmdocket film file R3K7M --raster tiff --ppi 300",
    )(write_file)
    film.command(
        "release",
        short_help="Write and prove the file of a film run, and have it printed as it is.",
        epilog="Example: filmdocket film release R3K7M --by Ines",
    )(release_run)


def write_file(
    code: RunArgument,
    raster: RasterOption = None,
    ppi: Annotated[float, typer.Option("--ppi", min=36, max=1200, help="Of the pixels.")] = 300.0,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write the PDF of a run at exact size into papers/runs/, prove it by reading it back, then its sheet."""
    with open_asked(shop) as opened:
        files = _made(opened, code, raster or "", ppi)
        folder = opened.folder
    _tell(files, folder, as_json=as_json)


def release_run(
    code: RunArgument, by: ByOption = "", shop: ShopOption = None, as_json: JsonOption = False
) -> None:
    """Write the file of a planned run, prove it, and release it: from then on no plan lays it anew."""
    with open_asked(shop) as opened:
        files = _made(opened, code)
        opened.ledger.release_run(files.made.run.code, files.made.run.revision, by)
        folder = opened.folder
    _tell(files, folder, as_json=as_json)


def _made(opened: Shop, code: str, raster: str = "", ppi: float = 300.0) -> RunFiles:
    from intake.film.files import make_run_files
    from tickets.codes import read_code
    from tickets.lookup.film_runs import stored_run
    from tickets.models_film import DROPPED
    from tickets.wording_film import run_dropped

    run = stored_run(opened.store, read_code(code))
    if run.standing == DROPPED:
        raise run_dropped(run.code)
    return make_run_files(opened, run, raster, ppi)


def _tell(files: RunFiles, folder: Path, *, as_json: bool) -> None:
    from tickets import wording_film_file as wording

    if as_json:
        print_json(files.as_json(folder))
        return
    made = files.made
    print_lines(
        wording.file_proved(made.run, made.drawn.length_mm, len(made.drawn.pages)),
        *wording.files_written(files.paths(folder), made.says, made.without_code),
    )
