"""From a drawing to a PNG file, for slides and documents that take no SVG."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import TYPE_CHECKING

from linesim.report.style import house_style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

ZOOM = 2  #: Dots a px, so that it stays sharp on paper and on fine screens.
_MARGIN = 8  #: Around the drawing [px].


def drawn_png(name: str, draw: Callable[[int], Figure], width: int, title: str, says: str) -> bytes:
    """Return a drawing as a PNG file on white, the same bytes each time.

    It has no patterns, which `linesim.report.svg` puts in: for drawings that do without.

    Args:
        name: Name of the drawing.
        draw: Draws in a width in px.
        width: The width.
        title: What it shows; it goes into the file too, as does ``says``.
        says: What there is to be seen.
    """
    from matplotlib.artist import Artist
    from matplotlib.transforms import Affine2D

    with house_style(name):
        figure = draw(width)
        # What a pen draws has one transform, in px: see `linesim.report.canvas.Pen`.
        for transform in {id(t): t for t in map(Artist.get_transform, figure.artists)}.values():
            assert isinstance(transform, Affine2D), "drawn without a pen"
            transform.translate(_MARGIN, _MARGIN).scale(ZOOM)
        figure.set_size_inches(*(side + 2 * _MARGIN / 72 for side in figure.get_size_inches()))
        out = io.BytesIO()
        figure.savefig(
            out, format="png", dpi=72 * ZOOM, facecolor="white",
            metadata={"Software": None, "Title": title, "Description": says},
        )  # fmt: skip
    return out.getvalue()
