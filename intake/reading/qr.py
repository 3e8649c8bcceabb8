"""What a QR code in a picture says."""

from __future__ import annotations

import numpy as np
import zxingcpp
from numpy.typing import NDArray


def read_qr(grey: NDArray[np.uint8]) -> str:
    """The text of the one code in a picture of grey; "" when none can be read."""
    found = zxingcpp.read_barcodes(
        np.ascontiguousarray(grey), formats=zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
    )
    return found[0].text if found else ""
