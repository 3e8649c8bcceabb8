"""A tiny specimen of each kind of artwork, so that the doctor can see every decoder at work."""

from __future__ import annotations

from pathlib import Path


def write_specimens(folder: Path) -> list[Path]:
    """Write a 64 × 64 px disc as PNG, JPEG, TIFF and WebP, and a PDF with a bar; returns their paths."""
    from PIL import Image, ImageDraw
    from reportlab.pdfgen.canvas import Canvas

    art = Image.new("RGBA", (64, 64), (0, 0, 0, 0))
    ImageDraw.Draw(art).ellipse((8, 8, 56, 56), fill=(16, 33, 63, 255))
    paths = []
    for kind in ("png", "jpg", "tif", "webp"):
        path = folder / f"specimen.{kind}"
        (art.convert("RGB") if kind == "jpg" else art).save(path)
        paths.append(path)
    page = folder / "specimen.pdf"
    canvas = Canvas(str(page), pagesize=(72, 72), invariant=True)
    canvas.rect(10, 10, 40, 40, fill=1)
    canvas.save()
    return [*paths, page]
