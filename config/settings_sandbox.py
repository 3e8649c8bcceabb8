"""Settings of the worker processes in which strangers' files are opened."""

from __future__ import annotations

from pydantic import Field

from config.section import Section


class Sandbox(Section):
    """Limits of the worker processes that open strangers' files."""

    workers: int = Field(ge=0)
    memory_mb: int = Field(ge=200)
    cpu_seconds: int = Field(gt=0)
    wall_seconds: int = Field(gt=0)
