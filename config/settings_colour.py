"""Limits of the preflight on colours that the shop's printer cannot make."""

from __future__ import annotations

from pydantic import Field

from config.section import Section


class GamutLimits(Section):
    """Shares of the ink in colours outside of the printer's profile: told from, asked from."""

    note_share: float = Field(ge=0, le=1)
    query_share: float = Field(ge=0, le=1)
