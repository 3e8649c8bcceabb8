"""Settings of what goes with dispatched pieces: the packing slip, and the parcels with their labels."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from config.section import Section

# A barcode of an SSCC is 176 modules of 0.5 mm wide with its quiet zones, and 32 mm high (GS1, from memory).
LEAST_FOR_SSCC_MM = (92.0, 125.0)
LabelSide = Annotated[float, Field(ge=60.0, le=300.0)]


class Packing(Section):
    """How what leaves the house is packed and labelled. Lengths in mm."""

    slip_form: Literal["a5", "a4"]
    label_mm: tuple[LabelSide, LabelSide]
    gs1_company_prefix: str = Field(pattern=r"^([0-9]{4,12})?$")
    sscc_extension: int = Field(ge=0, le=9)
    sscc_first: int = Field(ge=0)

    @model_validator(mode="after")
    def _has_room_for_the_barcode(self) -> Self:
        least = LEAST_FOR_SSCC_MM
        if self.gs1_company_prefix and (self.label_mm[0] < least[0] or self.label_mm[1] < least[1]):
            raise ValueError(
                f"label_mm must be {least[0]:.0f} × {least[1]:.0f} at least to hold an SSCC's bars"
            )
        return self
