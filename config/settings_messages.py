"""The typed settings of messages to customers, and of the mail server that they are sent by."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Kind = Literal["received", "query", "released", "ready", "dispatched", "late"]


class Queries(BaseModel):
    """Questions for customers."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    remember_releases: bool


class Messages(BaseModel):
    """When customers are told, and of what by mail."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    wait_seconds: float = Field(ge=0)
    send: tuple[Kind, ...]


class Smtp(BaseModel):
    """The mail server; without a host nothing is sent."""

    model_config = ConfigDict(frozen=True, extra="forbid")

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
