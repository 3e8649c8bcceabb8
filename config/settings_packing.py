"""Settings of what goes with dispatched pieces: the packing slip, and the parcels with their labels."""

from __future__ import annotations

from typing import Literal

from config.section import Section


class Packing(Section):
    """How what leaves the house is packed and labelled."""

    slip_form: Literal["a5", "a4"]
