"""QR codes read back from pictures."""

from __future__ import annotations

import cv2
import numpy as np
import qrcode
from hypothesis import given, settings
from hypothesis import strategies as st

from intake.reading.qr import read_qr

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CODES = st.text(LETTERS, min_size=4, max_size=4).map("R{}".format)


@settings(max_examples=150, deadline=None)
@given(CODES, st.floats(3.2, 5.5))
def test_every_code_of_a_run_is_read(code: str, module_px: float) -> None:
    """Whatever the letters: a run that is right is never held back by its code."""
    made = qrcode.QRCode(border=4)
    made.add_data(code)
    made.make()
    modules = np.where(np.array(made.get_matrix()), 0, 255).astype(np.uint8)
    picture = cv2.resize(modules, None, fx=module_px, fy=module_px, interpolation=cv2.INTER_AREA)
    assert read_qr(np.asarray(picture, np.uint8)) == code


def test_a_picture_without_a_code_says_nothing() -> None:
    """Blank film, and noise."""
    assert read_qr(np.full((80, 80), 255, np.uint8)) == ""
    assert read_qr(np.random.default_rng(3).integers(0, 256, (120, 120), dtype=np.uint8)) == ""
