"""The drawings of a page outside it: as SVG and PNG files for slides and other pages, and in a notebook."""

from __future__ import annotations

import html
import io
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from linesim.report.parts import figures_in
from linesim.report.style import house_style

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.document import Document
    from linesim.report.page import Contents


ZOOM = 2  #: Dots a px, so that it stays sharp on paper and on fine screens.


def drawn_png(name: str, draw: Callable[[int], Drawing], width: int, title: str, says: str) -> bytes:
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


_LETTERS = "DejaVu Sans, Verdana, sans-serif"  #: What drawings are laid out with, and what is as wide.
_SPACE = "http://www.w3.org/2000/svg"
_MARGIN = 8  #: Around the drawing [px].


def figures_of(contents: Contents) -> dict[str, Figure]:
    """Return the figures of a page by their names, in the order of the page."""
    return {
        figure.name: figure for section in contents.sections for figure in figures_in(section.parts)
    }  # fmt: skip


def picture(figure: Figure) -> str:
    """Return a figure as the text of an SVG file, the same bytes each time.

    On a page, letters and ground come from the page; a file of its own brings both along, so that it can be
    read on a dark ground too.
    """
    root = ElementTree.fromstring(figure.wide)
    left, top, width, height = (float(part) for part in root.attrib.pop("viewBox").split())
    wide, tall = f"{width + 2 * _MARGIN:g}", f"{height + 2 * _MARGIN:g}"
    x, y = f"{left - _MARGIN:g}", f"{top - _MARGIN:g}"
    root.attrib.pop("class")
    root.attrib.update(
        {"viewBox": f"{x} {y} {wide} {tall}", "width": wide, "height": tall, "font-family": _LETTERS}
    )
    n_said = sum(child.tag in ("title", "desc") for child in root)
    ground = {"x": x, "y": y, "width": wide, "height": tall, "fill": "#ffffff"}
    root.insert(n_said, ElementTree.Element("rect", ground))
    root.attrib = {"xmlns": _SPACE, **root.attrib}
    return ElementTree.tostring(root, encoding="unicode", short_empty_elements=True) + "\n"


@dataclass(frozen=True, slots=True)
class Drawings:
    """The drawings of an answer, as its page has them.

    Attributes:
        figures: Each with its title, how to read it, the drawing as SVG and the numbers behind it.
    """

    figures: tuple[Figure, ...]

    def __repr__(self) -> str:
        return f"<drawings: {', '.join(figure.name for figure in self.figures) or 'none'}>"

    def _repr_html_(self) -> str:
        """Show the drawings in a notebook; every text is escaped."""
        return "".join(
            f"<figure><figcaption><b>{html.escape(figure.title)}</b></figcaption>{picture(figure)}"
            f"<p>{html.escape(figure.says)}</p></figure>"
            for figure in self.figures
        )


def drawings(answer: Document) -> Drawings:
    """Return the drawings of an answer, for a notebook: those of its page, in their order.

    Args:
        answer: What a question returned, such as `linesim.crew`.

    Examples:
        In a notebook ``linesim.drawings(answer)`` as the last line of a cell shows them.
    """
    return Drawings(tuple(piece for piece in document_pieces(answer) if isinstance(piece, Figure)))
