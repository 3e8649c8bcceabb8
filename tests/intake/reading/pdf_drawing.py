"""Small PDFs written byte by byte, so that a test says exactly what is in them."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field
from pathlib import Path


@dataclass
class Drawing:
    """A PDF of one page; `resources` and `page` are PDF source, `objects` more objects, from 10 on."""

    content: str | bytes = ""
    contents: str = "4 0 R"
    media: str = "[0 0 288 288]"
    resources: str = ""
    page: str = ""
    catalog: str = ""
    pages: str = ""
    count: int = 1
    objects: list[bytes] = field(default_factory=list)

    def add(self, source: str | bytes) -> str:
        """Add an object and return a reference to it."""
        self.objects.append(source.encode("latin-1") if isinstance(source, str) else source)
        return f"{9 + len(self.objects)} 0 R"

    def add_stream(self, keys: str, body: bytes) -> str:
        """Add a stream, packed with Flate unless its keys name a filter."""
        if "/Filter" not in keys:
            keys, body = keys + "/Filter/FlateDecode", zlib.compress(body)
        head = f"<<{keys}/Length {len(body)}>>\nstream\n".encode("latin-1")
        return self.add(head + body + b"\nendstream")

    def add_image(self, wide: int, high: int, keys: str = "", value: int = 128) -> str:
        """Add a grey image."""
        plain = (
            f"/Type/XObject/Subtype/Image/Width {wide}/Height {high}/ColorSpace/DeviceGray/BitsPerComponent 8"
        )
        return self.add_stream(plain + keys, bytes([value]) * (wide * high))

    def add_form(self, content: str, keys: str = "/BBox[0 0 288 288]") -> str:
        """Add a form XObject."""
        return self.add_stream(f"/Type/XObject/Subtype/Form{keys}", content.encode("latin-1"))

    def _leaf(self) -> str:
        media = f"/MediaBox{self.media}" if self.media else ""
        resources = f"/Resources<<{self.resources}>>" if self.resources else ""
        return f"<</Type/Page/Parent 2 0 R{media}/Contents {self.contents}{resources}{self.page}>>"

    def write(self, path: Path) -> Path:
        """Write the file."""
        content = self.content.encode("latin-1") if isinstance(self.content, str) else self.content
        kids = " ".join(["3 0 R"] * self.count)
        fixed = {
            1: f"<</Type/Catalog/Pages 2 0 R{self.catalog}>>".encode("latin-1"),
            2: f"<</Type/Pages/Kids[{kids}]/Count {self.count}{self.pages}>>".encode("latin-1"),
            3: self._leaf().encode("latin-1"),
            4: b"<</Length %d>>\nstream\n%s\nendstream" % (len(content), content),
        }
        numbered = {**fixed, **{10 + k: body for k, body in enumerate(self.objects)}}
        out, places = bytearray(b"%PDF-1.7\n"), {}
        for number, body in numbered.items():
            places[number] = len(out)
            out += b"%d 0 obj\n%s\nendobj\n" % (number, body)
        start = len(out)
        out += b"xref\n0 1\n0000000000 65535 f \n"
        for number, place in places.items():
            out += b"%d 1\n%010d 00000 n \n" % (number, place)
        out += b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % (max(places) + 1, start)
        path.write_bytes(out)
        return path
