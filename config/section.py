"""What every section of the settings has in common: it cannot change, and a key that it lacks is refused."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Section(BaseModel):
    """One section of the settings."""

    model_config = ConfigDict(frozen=True, extra="forbid")
