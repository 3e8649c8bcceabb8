"""What a QR code in a picture says."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray


def read_qr(grey: NDArray[np.uint8]) -> str:
    """The text of the one code in a picture of grey; "" when none can be read."""
    said, _, _ = cv2.QRCodeDetector().detectAndDecode(np.ascontiguousarray(grey))
    return said
