"""Tells the story once: makes the shop, starts the daemon, plays the scenes, and cleans up after itself."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from hotfolder_demo.commands import Commands, Daemon, as_typed_here, make_shop, quoted
from hotfolder_demo.drawing import ARTWORKS
from hotfolder_demo.dropping import Dropper
from hotfolder_demo.pictures import save_pictures
from hotfolder_demo.scenario import SHOP_SETTINGS
from hotfolder_demo.showing import Show, open_show
from hotfolder_demo.stage import Stage, StoryWentWrong
from hotfolder_demo.story import SCENES

WENT_WRONG, CANNOT = 1, 5


def main(arguments: Sequence[str] | None = None) -> int:
    """Play the demo; 0 when everything was as it ought to be, 1 when not, 5 when it cannot be played here."""
    asked = read_arguments(arguments)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure:
            reconfigure(encoding="utf-8", errors="backslashreplace")
    show = open_show(0.0 if asked.fast else 1.0, record=asked.pictures is not None)
    shop_dir = (
        asked.keep.absolute() if asked.keep else Path(tempfile.mkdtemp(prefix="filmdocket-demo-"), "shop")
    )
    if shop_dir.exists() and any(shop_dir.iterdir()):
        sys.stderr.write(f"{shop_dir} is not empty: the demo wants a folder of its own. Name another.\n")
        return CANNOT
    try:
        return play(shop_dir, show, asked)
    except KeyboardInterrupt:
        sys.stderr.write("Stopped.\n")
        return 130


def read_arguments(arguments: Sequence[str] | None) -> argparse.Namespace:
    """The few things that may be said on the command line."""
    parser = argparse.ArgumentParser(
        prog="python -m hotfolder_demo",
        description="A small shop's morning, about a minute long, with the real daemon.",
        epilog="Example: python -m hotfolder_demo --keep demo-shop",
    )
    parser.add_argument("--keep", type=Path, metavar="DIR", help="make the shop in DIR and leave it there")
    parser.add_argument("--fast", "--no-pause", action="store_true", help="no pauses to read in")
    parser.add_argument(
        "--pictures", type=Path, metavar="DIR", help="save pictures of what was made into DIR"
    )
    return parser.parse_args(arguments)


def play(shop_dir: Path, show: Show, asked: argparse.Namespace) -> int:
    """Play all scenes with a daemon at work, which is stopped in the end whatever happens."""
    began = time.monotonic()
    with show.progress("drawing artwork", len(ARTWORKS)) as bar:
        artwork = {}
        for name, draw in ARTWORKS.items():
            artwork[name] = draw()
            bar.advance(bar.task_ids[0])
    made = make_shop(shop_dir, SHOP_SETTINGS)
    if made.status:
        sys.stderr.write(f"{made.typed} ended with {made.status}:\n{made.text}\n")
        return WENT_WRONG
    daemon = Daemon(shop_dir)
    today = datetime.now(UTC).date()
    dropper = Dropper(shop_dir / "inbox", artwork, today, seconds_a_file=0.0 if asked.fast else 0.25)
    stage = Stage(shop_dir, show, Commands(shop_dir), daemon, dropper)
    try:
        for scene in SCENES:
            scene(stage)
            if asked.pictures:
                save_pictures(stage, scene.__name__, asked.pictures)
    except StoryWentWrong as wrong:
        return _tell_what_went_wrong(stage, scene.__name__, str(wrong))
    finally:
        status = daemon.stop()
    if status:
        return _tell_what_went_wrong(
            stage, "the end", f"The daemon ended with status {status} when asked to stop."
        )
    show.tell(f"\nAll as it ought to be, in {time.monotonic() - began:.0f} seconds.", 0)
    _say_how_to_go_on(show, shop_dir, is_kept=asked.keep is not None)
    return 0


def _tell_what_went_wrong(stage: Stage, scene: str, what: str) -> int:
    said = stage.daemon.said().splitlines()[-20:]
    sys.stdout.flush()
    sys.stderr.write(f"\nThe demo went wrong in {scene.replace('_', ' ')}: {what}\n")
    sys.stderr.write(f"Its shop folder is kept: {stage.shop_dir}\nThe daemon's last words:\n")
    sys.stderr.write("".join(f"  {line}\n" for line in said))
    return WENT_WRONG


def _say_how_to_go_on(show: Show, shop_dir: Path, is_kept: bool) -> None:
    kept = "" if is_kept else " until your system clears its temporary files"
    show.tell(f"The shop stays in {shop_dir}{kept}. To go on with it:", 0)
    show.line(f"{as_typed_here()} watch --shop {quoted(shop_dir)}")
    show.tell(f"and drop files of your own into {shop_dir / 'inbox'}.", 0)
    if not is_kept:
        show.tell("For one that stays: python -m hotfolder_demo --keep demo-shop", 0)
