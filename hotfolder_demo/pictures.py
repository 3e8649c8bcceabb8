"""Pictures of what the demo made, for the README: terminal, job ticket, artwork report, marked artwork."""

from __future__ import annotations

from pathlib import Path

import pypdfium2  # type: ignore[import-untyped]
from PIL import Image

from hotfolder_demo.scenario import BAND, REGATTA
from hotfolder_demo.showing import save_terminal
from hotfolder_demo.stage import Stage

SCREEN_PPI = 110
TITLE = "python -m hotfolder_demo"


def save_pictures(stage: Stage, scene: str, folder: Path) -> None:
    """Save what a scene has shown, and after the last one the papers too."""
    folder.mkdir(parents=True, exist_ok=True)
    save_terminal(stage.show, folder / f"{scene.replace('_', '-')}.svg", TITLE)
    if scene != "say_where_things_lie":
        return
    code = stage.codes[REGATTA.number, 1]
    _save_page(stage.shop_dir / "papers" / REGATTA.number / f"{code}.pdf", folder / "ticket.png")
    report = min((stage.shop_dir / "outbox" / BAND.number).glob("*.pdf"))
    _save_page(report, folder / "report.png")
    _save_check(stage, folder)


def _save_page(pdf: Path, picture: Path) -> None:
    with pypdfium2.PdfDocument(pdf) as document:
        _save_small(document[0].render(scale=SCREEN_PPI / 72).to_pil(), picture)


def _save_small(image: Image.Image, picture: Path) -> None:
    """In a palette of its own: a third of the size, and no eye sees it."""
    in_palette = image.convert("RGB").quantize(256, kmeans=3, dither=Image.Dither.NONE)
    in_palette.save(picture, optimize=True)


def _save_check(stage: Stage, folder: Path) -> None:
    """`check --picture` on the band's lantern."""
    lantern = folder / "lantern.png"
    lantern.write_bytes(stage.dropper.artwork["lantern.png"])
    marked = folder / "check.png"
    size = str(BAND.items[0].width_mm)
    said = stage.commands.run("check", str(lantern), "--width-mm", size, "--picture", str(marked))
    lantern.unlink()
    stage.expect(said.status == 3 and marked.is_file(), f"check drew no picture: {said.text}")
    with Image.open(marked) as drawn:
        drawn.load()
    _save_small(drawn, marked)
