"""Settings of the web pages: their certificate, and the proxy in front of them."""

from __future__ import annotations

import ipaddress

from pydantic import field_validator

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
