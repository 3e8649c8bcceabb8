"""Commands of the shop's own test print: the chart, and the limits that what survived of it gives."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from intake.commands.options import JsonOption, ShopOption, print_aside, print_json, print_lines
from tickets.problems import BadInput, SetupProblem


def add_commands(app: typer.Typer) -> None:
    """Hang the commands of the test print on the command line."""
    app.command(epilog="Example: filmdocket chart chart.pdf --form survived.json")(chart)
    app.command(epilog="Example: filmdocket limits --line-mm 0.25 --gap-mm 0.4 --dot-mm 0.45")(limits)


def chart(
    out: Annotated[Path, typer.Argument(metavar="OUT.pdf", help="Where the chart is written.")],
    colour: Annotated[
        str, typer.Option("--colour", help="The ink, as '#RRGGBB'; default: seen on dark and light cloth.")
    ] = "",
    form: Annotated[
        Path | None, typer.Option("--form", help="Write a form to fill in, for `limits --from`, here too.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """A test print of lines, gaps, dots, type and soft ink in graded sizes, with a form for what survived."""
    from config.settings import find_shop_dir, load_settings
    from intake.chart import DEFAULT_COLOUR, render_chart, sizes
    from intake.chart.survivors import LIMIT_OF
    from intake.durable import write_whole
    from tickets.paper.fonts import load_fonts

    ink = _colour(colour) if colour else DEFAULT_COLOUR
    folder = find_shop_dir(shop)
    settings = load_settings(folder if (folder / "shop.toml").is_file() else None)
    for path in (out, form):
        if path is not None and not path.absolute().parent.is_dir():
            raise typer.BadParameter(f"there is no folder {path.absolute().parent}")
    write_whole(out.absolute(), render_chart(load_fonts(settings.papers.font_files), ink))
    if form is not None:
        empty = {key: dict.fromkeys(sizes.STEPS) for key in LIMIT_OF}
        write_whole(form.absolute(), (json.dumps(empty, indent=2) + "\n").encode())
    if as_json:
        graded = {"line_mm": sizes.LINES_MM, "gap_mm": sizes.GAPS_MM, "dot_mm": sizes.DOTS_MM}
        told = {"type_pt": sizes.TYPE_PT, "soft_share": sizes.SHARES}
        written = {"chart": str(out.absolute()), "form": str(form.absolute()) if form else None}
        print_json({**written, "page_mm": [sizes.WIDTH_MM, sizes.HEIGHT_MM], "sizes": graded | told})
        return
    print_lines(
        f"Written: {out}. Print its first page at 100 % on film, {sizes.WIDTH_MM:g} mm wide; the second is "
        "the form, for paper.",
        "Print, powder, cure, press and wash it as ever, tick what survives, then run `filmdocket limits`.",
    )


def limits(
    line_mm: Annotated[float | None, typer.Option("--line-mm", help="Thinnest line that survived.")] = None,
    gap_mm: Annotated[float | None, typer.Option("--gap-mm", help="Narrowest gap that stayed open.")] = None,
    dot_mm: Annotated[float | None, typer.Option("--dot-mm", help="Smallest dot that survived.")] = None,
    form: Annotated[
        Path | None, typer.Option("--from", help="A filled form: JSON as `chart --form` writes it.")
    ] = None,
    shop: ShopOption = None,
    as_json: JsonOption = False,
) -> None:
    """Set the shop's own limits from its test print; without any, show them and where they come from."""
    from config.settings import find_shop_dir, load_settings

    folder = find_shop_dir(shop)
    is_shop = (folder / "shop.toml").is_file()
    settings = load_settings(folder if is_shop else None)
    given = {"line_mm": line_mm, "gap_mm": gap_mm, "dot_mm": dot_mm}
    named = {key: value for key, value in given.items() if value is not None}
    if form is None and not named:
        _show(settings, as_json)
        return
    if not is_shop:
        says = f"{folder} is no shop folder: limits are a shop's own."
        raise SetupProblem(
            "no-shop-here", says, "Name the shop with --shop DIR, or make one: filmdocket init DIR."
        )
    _set(folder, settings, {**(_read_form(form) if form else {}), **named}, as_json)


def _set(folder: Path, settings: Any, form: dict[str, Any], as_json: bool) -> None:
    """Write the shop's limits.toml, telling each limit as it was and as it is."""
    from intake.chart import wording
    from intake.chart.survivors import limits_of, with_limits
    from intake.durable import write_whole

    new = limits_of(form)
    path = folder / "limits.toml"
    old = path.read_bytes().decode("utf-8-sig") if path.is_file() else ""
    remark = wording.remark(_today(settings))
    write_whole(path, with_limits(old, new, remark, str(path)).encode())
    told: list[dict[str, Any]] = []
    for key, value in new.items():
        was, is_own = _value(settings, key), f"limits.{key}" in settings.origins
        told.append({"limit": key, "was": was, "now": value, "was_own": is_own, "source": remark})
    if as_json:
        print_json({"file": str(path), "written": told})
        return
    print_lines(*[wording.changed(t["limit"], t["was"], t["now"], t["was_own"]) for t in told])
    print_lines(f"Written into {path}, {remark}. Running daemons take it up when they are started again.")


def _show(settings: Any, as_json: bool) -> None:
    from intake.chart import wording
    from intake.chart.survivors import LIMIT_OF

    rows = []
    for key in LIMIT_OF.values():
        source = settings.origins.get(f"limits.{key}", "as shipped: common practice")
        rows.append({"limit": key, "value": _value(settings, key), "source": source})
    if as_json:
        print_json({"limits": rows})
        return
    print_lines(*[wording.stands(r["limit"], r["value"], r["source"]) for r in rows])
    print_aside(
        "Set your own from a test print: filmdocket chart chart.pdf, then filmdocket limits --line-mm …"
    )


def _value(settings: Any, key: str) -> float:
    table, name = key.split(".")
    return float(getattr(getattr(settings.limits, table), name))


def _today(settings: Any) -> str:
    from datetime import UTC, datetime

    return datetime.now(UTC).astimezone(settings.shop.zone).date().isoformat()


def _read_form(path: Path) -> dict[str, Any]:
    do = "Write one with `filmdocket chart chart.pdf --form survived.json` and fill it in."
    try:
        read = json.loads(path.read_bytes().decode("utf-8-sig"))
    except OSError as error:
        raise BadInput("form-not-usable", f"{path} cannot be read: {error.strerror}.", do) from error
    except (ValueError, RecursionError) as error:
        raise BadInput("form-not-usable", f"{path} is no JSON: {error}.", do) from error
    if not isinstance(read, dict):
        raise BadInput("form-not-usable", f"{path} holds no JSON object.", do)
    return read


def _colour(text: str) -> tuple[int, int, int]:
    digits = text.removeprefix("#")
    if len(digits) != 6 or not all(c in "0123456789abcdefABCDEF" for c in digits):
        raise typer.BadParameter("--colour takes a colour such as '#d02040'")
    return int(digits[:2], 16), int(digits[2:4], 16), int(digits[4:], 16)
