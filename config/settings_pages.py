"""Settings of the web pages: their certificate, the proxy in front of them, people, and customers' links."""

from __future__ import annotations

import ipaddress
from typing import Literal
from urllib.parse import urlsplit

from pydantic import Field, field_validator

from config.section import Section


class Pages(Section):
    """How the pages are served. Paths are as written, or below the shop folder."""

    certificate: str
    key: str
    trusted_proxies: tuple[str, ...]

    @field_validator("trusted_proxies")
    @classmethod
    def _are_addresses(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for one in value:
            try:
                network = ipaddress.ip_network(one, strict=False)
            except ValueError as error:
                raise ValueError(f"{one!r} is no address or network, such as 192.0.2.7") from error
            if network.prefixlen == 0:
                raise ValueError(f"{one!r} is everybody: name the proxy's own address")
        return value


class People(Section):
    """Who is named on scans, and how surely."""

    pin: Literal["never", "own", "always"]
    name_needed: bool
    idle_minutes: float = Field(ge=0)


class Links(Section):
    """Customers' links to the progress of one order."""

    on: bool
    address: str

    @field_validator("address")
    @classmethod
    def _is_address(cls, value: str) -> str:
        parts = urlsplit(value)
        has_more = parts.query or parts.fragment or parts.username or " " in value or not value.isprintable()
        if value and (has_more or parts.scheme not in ("http", "https") or not parts.hostname):
            raise ValueError(f"{value!r} is no address, such as https://orders.shop.example")
        return value.rstrip("/")
