"""Several papers as one PDF, one after the other, so that they are printed in one go."""

from __future__ import annotations

import io
from collections.abc import Iterable

import pikepdf


def join_papers(papers: Iterable[bytes]) -> bytes:
    """The pages of all these papers of ours in order; the same papers give the same bytes."""
    joined = pikepdf.new()
    opened = []  # until all is saved: pages lie in the files that they come from
    for paper in papers:
        source = pikepdf.open(io.BytesIO(paper))
        opened.append(source)
        joined.pages.extend(source.pages)
    out = io.BytesIO()
    joined.save(out, deterministic_id=True, compress_streams=True)
    for source in opened:
        source.close()
    return out.getvalue()
