"""The typed settings of messages to customers, and of the mail server that they are sent by."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from pydantic import Field

from config.section import Section

Kind = Literal["received", "query", "released", "ready", "dispatched", "late"]


class Queries(Section):
    """Questions for customers."""

    remember_releases: bool


class Messages(Section):
    """When customers are told, and of what by mail."""

    wait_seconds: float = Field(ge=0)
    send: tuple[Kind, ...]


class Smtp(Section):
    """The mail server; without a host nothing is sent."""

    host: str
    port: int = Field(gt=0, lt=65536)
    security: Literal["starttls", "tls", "none"]
    ca_file: str
    user: str
    password_file: str
    timeout_seconds: float = Field(gt=0)
    give_up_days: float = Field(gt=0)


def smtp_password(smtp: Smtp, environ: Mapping[str, str] = os.environ) -> str:
    """The password from `$FILMDOCKET_SMTP_PASSWORD`, else from the file. Raises OSError; is never shown."""
    if environ.get("FILMDOCKET_SMTP_PASSWORD"):
        return environ["FILMDOCKET_SMTP_PASSWORD"]
    if not smtp.password_file:
        return ""
    return Path(smtp.password_file).read_text("utf-8").strip("\r\n")
