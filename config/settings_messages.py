"""The typed settings of messages to customers."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field


class Messages(BaseModel):
    """When customers are told."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    wait_seconds: float = Field(ge=0)
