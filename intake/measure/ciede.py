"""How far apart two colours look: CIELAB of sRGB, and the CIEDE2000 difference."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]
# IEC 61966-2-1, linear sRGB → XYZ for D65; the white is that of the same primaries.
_TO_XYZ = np.array(
    [
        [0.4123907993, 0.3575843394, 0.1804807884],
        [0.2126390059, 0.7151686788, 0.0721923154],
        [0.0193308187, 0.1191947798, 0.9505321522],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)
_POW_25_7 = 25.0**7


def lab_of(rgb: NDArray[np.generic]) -> Reals:
    """CIELAB (D65, 2°) of sRGB values 0–255 of shape (…, 3). Sources: IEC 61966-2-1, ISO/CIE 11664-4."""
    share = np.asarray(rgb, np.float64) / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    ratio = linear @ _TO_XYZ.T / _WHITE
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def ciede2000(one: Reals, other: Reals) -> Reals:
    """ΔE00 of CIELAB values of shape (…, 3), kL = kC = kH = 1.

    Source: Sharma, Wu, Dalal, "The CIEDE2000 color-difference formula", Color Research & Application 30(1),
    2005, equations 2 to 22.
    """
    first, second = np.asarray(one, np.float64), np.asarray(other, np.float64)
    l1, l2 = first[..., 0], second[..., 0]
    c1, h1, c2, h2 = _chroma_and_hue(first, second)
    lightness, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    hue = _mean_hue(h1, h2, c1 * c2)
    turn = h2 - h1
    turn = np.where(turn > 180, turn - 360, np.where(turn < -180, turn + 360, turn))
    turn = np.where(c1 * c2 == 0, 0.0, turn)
    d_hue = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    t = (
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
    from_50 = (lightness - 50) ** 2
    s_l = 1 + 0.015 * from_50 / np.sqrt(20 + from_50)
    s_c, s_h = 1 + 0.045 * chroma, 1 + 0.015 * chroma * t
    swing = 30 * np.exp(-(((hue - 275) / 25) ** 2))
    turned = -np.sin(np.radians(2 * swing)) * 2 * np.sqrt(chroma**7 / (chroma**7 + _POW_25_7))
    dl, dc, dh = (l2 - l1) / s_l, (c2 - c1) / s_c, d_hue / s_h
    return np.asarray(np.sqrt(np.maximum(dl**2 + dc**2 + dh**2 + turned * dc * dh, 0.0)), np.float64)


def _chroma_and_hue(one: Reals, other: Reals) -> tuple[Reals, Reals, Reals, Reals]:
    """(C′1, h′1, C′2, h′2), hues in degrees from 0 to 360 (equations 2 to 7)."""
    mean = (np.hypot(one[..., 1], one[..., 2]) + np.hypot(other[..., 1], other[..., 2])) / 2
    g = 0.5 * (1 - np.sqrt(mean**7 / (mean**7 + _POW_25_7)))
    told: list[Reals] = []
    for lab in (one, other):
        a, b = (1 + g) * lab[..., 1], lab[..., 2]
        told += [np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360]
    return told[0], told[1], told[2], told[3]


def _mean_hue(h1: Reals, h2: Reals, product: Reals) -> Reals:
    """Equation 14."""
    total, apart = h1 + h2, np.abs(h1 - h2)
    far = np.where(total < 360, (total + 360) / 2, (total - 360) / 2)
    return np.asarray(np.where(product == 0, total, np.where(apart <= 180, total / 2, far)), np.float64)
