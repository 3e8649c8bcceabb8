"""Typed, frozen settings of one shop, from its `shop.toml` over the shipped defaults, and nowhere else."""

from __future__ import annotations

import difflib
import os
import tomllib
from collections.abc import Mapping
from datetime import time
from pathlib import Path
from typing import Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import Field, ValidationError, field_validator, model_validator

from config.section import Section
from config.settings_colour import GamutLimits
from config.settings_cost import Cost, Money, Quote, Stock
from config.settings_laying import FilmFile, Laying
from config.settings_line import LineSettings
from config.settings_messages import Messages, Queries, Smtp
from config.settings_packing import Packing
from config.settings_pages import Links, Pages, People
from config.settings_papers import Papers
from config.settings_sandbox import Sandbox as Sandbox

SHIPPED = Path(__file__).parent
LINE = ("print", "powder", "cure", "press", "dispatch")


class SettingsProblem(Exception):
    """A setting that cannot be used; `errors` holds a sentence for each, naming file and key."""

    def __init__(self, errors: list[str]) -> None:
        super().__init__(" ".join(errors))
        self.errors = errors


class Shop(Section):
    """Who the shop is, and its clock."""

    name: str
    email: str
    phone: str
    language: Literal["en", "de"]
    time_zone: str
    closing_time: time
    ticket_url: str
    people: tuple[str, ...]

    @field_validator("time_zone")
    @classmethod
    def _is_known(cls, value: str) -> str:
        try:
            ZoneInfo(value)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise ValueError(f"{value!r} is no IANA time zone, such as Europe/London") from error
        return value

    @property
    def zone(self) -> ZoneInfo:
        """The shop's own time zone."""
        return ZoneInfo(self.time_zone)


class Database(Section):
    """Where the books are kept."""

    url: str
    busy_timeout_seconds: float = Field(gt=0)


class Folder(Section):
    """What one first-level folder of the inbox does differently; None: as the rest."""

    path: str
    clear: Literal["move", "leave"] | None = None
    settle_seconds: float | None = Field(default=None, ge=0)


class Intake(Section):
    """How the daemon takes files in."""

    scan_seconds: float = Field(gt=0)
    settle_seconds: float = Field(ge=0)
    unfinished_grace_seconds: float = Field(ge=0)
    artwork_grace_seconds: float = Field(ge=0)
    company_seconds: float = Field(ge=0)
    reuse_days: int = Field(ge=0)
    clear: Literal["move", "leave"]
    heartbeat_seconds: float = Field(gt=0)
    min_free_mb: int = Field(ge=0)
    largest_file_mb: int = Field(gt=0)
    zip_most_files: int = Field(gt=0)
    zip_largest_mb: int = Field(gt=0)
    zip_largest_ratio: int = Field(gt=0)
    ignore: tuple[str, ...]
    folder: tuple[Folder, ...] = ()


class Film(Section):
    """The film that the shop prints on."""

    width_mm: float = Field(gt=0)
    printable_mm: float = Field(gt=0)
    longest_mm: float = Field(gt=0)
    default_kind: str
    kinds: tuple[str, ...]
    choke_mm: float = Field(ge=0)
    printer_profile: str = Field(default="")
    laying: Laying
    file: FilmFile


class StationSettings(Section):
    """One station of the line."""

    name: str = Field(pattern=r"^[a-z][a-z0-9-]{0,30}$")
    label: str
    books: tuple[str, ...] = ()
    catch_up: bool = False
    skip_for: tuple[Literal["pressed", "transfers"], ...] = ()


class ResolutionLimits(Section):
    """Effective pixels an inch at print size."""

    note_ppi: float = Field(gt=0)
    query_ppi: float = Field(gt=0)
    rounding_ppi: float = Field(ge=0)


class LineLimits(Section):
    """Printed lines."""

    query_mm: float = Field(gt=0)
    run_mm: float = Field(gt=0)


class WidthLimit(Section):
    """A least width in mm."""

    query_mm: float = Field(gt=0)


class SoftLimits(Section):
    """Semi-transparent ink."""

    query_share: float = Field(ge=0, le=1)


class WhiteLimits(Section):
    """Colour that loses the white under it."""

    note_share: float = Field(ge=0, le=1)
    query_share: float = Field(ge=0, le=1)


class BackgroundLimits(Section):
    """The box behind the art."""

    query_share: float = Field(ge=0, le=1)


class DetailLimits(Section):
    """Pictures that are softer than their pixels."""

    least_factor: float = Field(gt=1)


class FringeLimits(Section):
    """Rims left by cutting out."""

    query_share: float = Field(ge=0, le=1)


class GarmentLimits(Section):
    """Colours that vanish on the garment."""

    query_de: float = Field(ge=0)
    note_mm2: float = Field(ge=0)
    query_share: float = Field(ge=0, le=1)


class TextLimits(Section):
    """Live text of a document."""

    query_x_mm: float = Field(ge=0)
    query_pt: float = Field(ge=0)


class FitLimits(Section):
    """Size and shape against what was ordered."""

    shape_tolerance: float = Field(gt=0)
    narrow_tolerance: float = Field(gt=0)


class FileLimits(Section):
    """What is opened at all."""

    largest_megapixels: float = Field(gt=0)
    smallest_pixels: int = Field(gt=0)
    most_pages: int = Field(gt=0)
    render_ppi: float = Field(gt=0)
    finest_ppi: float = Field(gt=0)


class Limits(Section):
    """Every limit of the preflight, from `limits.toml`."""

    resolution: ResolutionLimits
    line: LineLimits
    gap: WidthLimit
    island: WidthLimit
    speck: WidthLimit
    detail: DetailLimits
    fringe: FringeLimits
    garment: GarmentLimits
    gamut: GamutLimits
    text: TextLimits
    soft: SoftLimits
    white: WhiteLimits
    background: BackgroundLimits
    fit: FitLimits
    file: FileLimits


class PressSetting(Section):
    """How one film is pressed on one kind of cloth; the shop's own, from the maker's data sheet."""

    film: str
    fabric: str
    temperature_c: float
    seconds: float
    pressure: str
    peel: str
    second_press_seconds: float = 0
    note: str = ""


class Settings(Section):
    """All settings of one shop. `origins` names the file that each changed key came from."""

    shop: Shop
    database: Database
    intake: Intake
    sandbox: Sandbox
    film: Film
    papers: Papers
    packing: Packing
    queries: Queries
    line: LineSettings
    messages: Messages
    smtp: Smtp
    cost: Cost
    money: Money
    quote: Quote
    stock: Stock
    pages: Pages
    links: Links
    people: People
    station: tuple[StationSettings, ...]
    limits: Limits
    press: tuple[PressSetting, ...]
    origins: dict[str, str] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _line_holds_together(self) -> Settings:
        names = [s.name for s in self.station]
        if len(set(names)) != len(names):
            raise ValueError("two stations have the same name")
        if [n for n in names if n in LINE] != list(LINE) or names[0] != "print" or names[-1] != "dispatch":
            raise ValueError(f"the line must hold {', '.join(LINE)} in this order, from print to dispatch")
        reserved = [n for n in names if n in ("new", "dispatched", "spoiled", "cancelled")]
        if reserved:
            raise ValueError(
                f"no station may be called {reserved[0]}: pieces that leave the line are counted so"
            )
        for station in (self.station[0], self.station[-1]):
            if station.skip_for:
                raise ValueError(f"every piece comes to {station.name}: it has no skip_for")
        for at, station in enumerate(self.station):
            wanted = names[max(0, at - len(station.books)) : at]
            if list(station.books) != wanted:
                raise ValueError(f"station {station.name} may book only the stations just before it")
        if self.film.printable_mm > self.film.width_mm:
            raise ValueError("film.printable_mm is wider than film.width_mm")
        return self

    def folder(self, first_level: str) -> Folder:
        """The settings of one first-level folder of the inbox, filled up from the rest."""
        own = next((f for f in self.intake.folder if f.path == first_level), Folder(path=first_level))
        return Folder(
            path=first_level,
            clear=own.clear or self.intake.clear,
            settle_seconds=self.intake.settle_seconds if own.settle_seconds is None else own.settle_seconds,
        )


def find_shop_dir(asked: str | os.PathLike[str] | None, environ: Mapping[str, str] = os.environ) -> Path:
    """The shop folder: as asked, else `$FILMDOCKET_SHOP`, else the current folder."""
    return Path(asked or environ.get("FILMDOCKET_SHOP") or ".").absolute()


def fault_point(environ: Mapping[str, str] = os.environ) -> str:
    """The step at which tests ask the daemon to die (`FILMDOCKET_FAULT_POINT`); empty in real life."""
    return environ.get("FILMDOCKET_FAULT_POINT", "")


def service_address(environ: Mapping[str, str] = os.environ) -> str:
    """Where a service manager listens for news of this process (sd_notify(3)); "" when none does."""
    return environ.get("NOTIFY_SOCKET", "")


def child_environment(own: Mapping[str, str], environ: Mapping[str, str] = os.environ) -> dict[str, str]:
    """The environment for a process that is started, with values of its own over what is there."""
    return {**environ, **own}


def load_settings(shop_dir: Path | None, environ: Mapping[str, str] = os.environ) -> Settings:
    """Read the shipped defaults, then the shop's `shop.toml`, `limits.toml` and `pressing.toml` over them.

    `shop_dir` None: the shipped settings alone. `$FILMDOCKET_DATABASE_URL` overrides `database.url` (so that
    the password need not lie in a file). Raises SettingsProblem naming every wrong key at once, with the
    nearest known one.
    """
    values: dict[str, Any] = _read(SHIPPED / "shop.toml")
    values["limits"] = _read(SHIPPED / "limits.toml")
    values["press"] = _read(SHIPPED / "pressing.toml")["press"]
    origins: dict[str, str] = {}
    if shop_dir is not None:
        for name, into in (("shop.toml", values), ("limits.toml", values["limits"])):
            path = shop_dir / name
            if path.is_file():
                _lay_over(into, _read(path), "" if into is values else "limits.", str(path), origins)
        if (shop_dir / "pressing.toml").is_file():
            values["press"] = _read(shop_dir / "pressing.toml").get("press", [])
            origins["press"] = str(shop_dir / "pressing.toml")
    if environ.get("FILMDOCKET_DATABASE_URL"):
        values["database"]["url"] = environ["FILMDOCKET_DATABASE_URL"]
        origins["database.url"] = "$FILMDOCKET_DATABASE_URL"
    if "origins" in values:  # no setting: it tells where the settings came from
        raise SettingsProblem([f"{origins.get('origins', 'shop.toml')} has an unknown setting 'origins'."])
    try:
        return Settings(**values, origins=origins)
    except ValidationError as error:
        raise SettingsProblem([_sentence(e, origins) for e in error.errors()]) from error


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SettingsProblem([f"{path} cannot be read as TOML: {error}."]) from error
    except OSError as error:
        raise SettingsProblem([f"{path} cannot be read: {error.strerror}."]) from error


def _lay_over(
    into: dict[str, Any], own: dict[str, Any], prefix: str, source: str, origins: dict[str, str]
) -> None:
    for key, value in own.items():
        if isinstance(value, dict) and isinstance(into.get(key), dict):
            _lay_over(into[key], value, f"{prefix}{key}.", source, origins)
        else:
            into[key] = value
            origins[f"{prefix}{key}"] = source


def _sentence(error: Any, origins: dict[str, str]) -> str:
    key = ".".join(str(part) for part in error["loc"]) or "settings"
    source = origins.get(key) or next((origins[k] for k in origins if key.startswith(k)), "the settings")
    if error["type"] == "extra_forbidden":
        near = difflib.get_close_matches(str(error["loc"][-1]), _known_keys(error["loc"][:-1]), 1, 0.5)
        hint = f" Did you mean {near[0]!r}?" if near else ""
        return f"{source} has an unknown setting {key!r}.{hint}"
    says = error["msg"].removeprefix("Value error, ").partition(", unable")[0]
    if says.startswith("Input should "):
        return f"{source}: {key} must {says.removeprefix('Input should ')}, not {error['input']!r:.60}."
    return f"{source}: {key}: {says}."


def _known_keys(path: tuple[Any, ...]) -> list[str]:
    model: Any = Settings
    for part in path:
        if isinstance(part, int):
            continue
        if part not in getattr(model, "model_fields", {}):
            continue  # a name that the shop gave: line.station.print
        annotation = model.model_fields[part].annotation
        inside = (a for a in getattr(annotation, "__args__", ()) if hasattr(a, "model_fields"))
        model = next(inside, annotation)
    return list(getattr(model, "model_fields", {}))
