"""From a drawing to a piece of SVG that stands in a page: small, steady, described, harmless."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from linesim.report.style import ABOUT, PATTERNED, PATTERNS, house_style

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_NUMBER = re.compile(r"-?\d+\.\d+")
_LINK = re.compile(r"url\(#([^)]+)\)")
_NUMBERS_IN = frozenset({"d", "x", "y", "width", "height", "transform", "points", "cx", "cy", "r"})
_STYLE = re.compile(r"\s*([\w-]+)\s*:\s*([^;]+)")
#: What matplotlib writes although it is the default, or what the page's own style says.
_UNSAID = frozenset({"font", "font-family", "stroke-linejoin", "text-anchor: start", "stroke-linecap"})


def drawn(name: str, draw: Callable[[int], Figure], width: int, title: str, says: str) -> str:
    """Return a drawing as SVG.

    Args:
        name: Name in the page; the ids of the drawing begin with it.
        draw: Draws in a width in px.
        width: The width.
        title: What it shows, for people who cannot see it.
        says: What there is to be seen, for them.

    Returns:
        An ``svg`` element of the class ``drawing``; the same bytes each time.
    """
    prefix = f"{name}-{width}"
    with house_style(prefix):
        figure = draw(width)
        out = io.BytesIO()
        figure.savefig(
            out, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None}
        )
    root = ElementTree.fromstring(out.getvalue())
    _clean(root)
    _placed(root)
    _patterned(root)
    _own_ids(root, prefix)
    _flatten(root)
    left, top, w, h = (float(part) for part in root.attrib["viewBox"].split())
    root.attrib.clear()
    root.attrib.update(
        {
            "class": "drawing",
            "viewBox": f"{left:g} {top:g} {w:g} {h:g}",
            "width": f"{w:g}",
            "height": f"{h:g}",
            "role": "img",
            "aria-labelledby": f"{prefix}-title {prefix}-says",
        }
    )
    for number, (tag, text) in enumerate((("title", title), ("desc", says))):
        said = ElementTree.Element(tag, id=f"{prefix}-{('title', 'says')[number]}")
        said.text = text
        root.insert(number, said)
    return ElementTree.tostring(root, encoding="unicode", short_empty_elements=True)


def _clean(root: ElementTree.Element) -> None:
    """Take out what a page has no use for: names of namespaces, metadata, style sheets, blanks, digits."""
    for parent in root.iter():
        for child in list(parent):
            tag = child.tag.rpartition("}")[2] if isinstance(child.tag, str) else ""
            if tag in {"metadata", "style", ""}:
                parent.remove(child)
    for element in root.iter():
        element.tag = element.tag.rpartition("}")[2]
        element.tail = None
        if element.tag != "text" and element.tag != "tspan":
            element.text = None
        for key in list(element.attrib):
            value = element.attrib.pop(key)
            key = key.rpartition("}")[2]
            if key in _NUMBERS_IN:
                value = " ".join(_NUMBER.sub(_short, value).split())
            if key == "transform" and value.startswith("rotate(-0 "):
                continue
            if key == "style":
                _styled(element, value)
            else:
                element.attrib[key] = value


def _placed(root: ElementTree.Element) -> None:
    """Mark what belongs to a station with its name; no drawing has a link."""
    for link in root.iter("a"):
        name = link.attrib.get("href", "").removeprefix(ABOUT)
        link.tag = "g"
        link.attrib = {"data-at": name}


def _flatten(parent: ElementTree.Element) -> None:
    """Lift out of groups that say nothing what stands in them."""
    kept: list[ElementTree.Element] = []
    for child in list(parent):
        _flatten(child)
        kept += list(child) if child.tag == "g" and not child.attrib else [child]
    parent[:] = []
    for child in kept:
        last = parent[-1] if len(parent) else None
        if (
            last is not None
            and child.tag == "g"
            and set(child.attrib) == {"data-at"}
            and last.attrib == child.attrib
        ):
            last.extend(child)
        else:
            parent.append(child)


def _styled(element: ElementTree.Element, style: str) -> None:
    """Write a style as attributes, which are shorter and which the page's own style can overrule."""
    for name, value in _STYLE.findall(style):
        if name == "font":
            size = re.search(r"([\d.]+)px", value)
            element.attrib["font-size"] = size.group(1) if size else value
            if "bold" in value or re.search(r"\b[67]00\b", value):
                element.attrib["font-weight"] = "bold"
        elif name in ("font-size",):
            element.attrib[name] = value.removesuffix("px")
        elif name not in _UNSAID and (name, value) != ("text-anchor", "start"):
            element.attrib[name] = value.strip()


def _patterned(root: ElementTree.Element) -> None:
    """Fill with patterns what `linesim.report.style.Paint` asks patterns for."""
    tiles: dict[str, ElementTree.Element] = {}
    for group in root.iter("g"):
        name = group.attrib.get("id", "")
        if not name.startswith(PATTERNED):
            continue
        del group.attrib["id"]
        for path in group.iter("path"):
            face, ink = path.attrib.get("fill", "none"), path.attrib.get("stroke", "#000000")
            key = f"{name} {face} {ink}"
            if key not in tiles:
                tiles[key] = _tile(f"tile-{len(tiles)}", name.removeprefix(PATTERNED), face, ink)
            path.attrib["fill"] = f"url(#{tiles[key].attrib['id']})"
    if tiles:
        defs = ElementTree.Element("defs")
        defs.extend(tiles.values())
        root.insert(0, defs)


def _tile(name: str, hatch: str, face: str, ink: str) -> ElementTree.Element:
    size, path = PATTERNS[hatch]
    sides = {"width": str(size), "height": str(size)}
    tile = ElementTree.Element("pattern", {"id": name, "patternUnits": "userSpaceOnUse", **sides})
    ElementTree.SubElement(tile, "rect", {**sides, "fill": face})
    ElementTree.SubElement(tile, "path", {"d": path, "stroke": ink, "stroke-width": "0.9"})
    return tile


def _own_ids(root: ElementTree.Element, prefix: str) -> None:
    """Keep the ids that something points to, under names that no other drawing of the page has."""
    wanted: dict[str, str] = {}
    for element in root.iter():
        for key, value in element.attrib.items():
            found = [value[1:]] if key == "href" and value.startswith("#") else _LINK.findall(value)
            for name in found:
                wanted.setdefault(name, f"{prefix}-{len(wanted)}")
    for element in root.iter():
        for key, value in list(element.attrib.items()):
            if key == "id":
                if value in wanted:
                    element.attrib[key] = wanted[value]
                else:
                    del element.attrib[key]
            elif key == "href" and value.startswith("#"):
                element.attrib[key] = f"#{wanted[value[1:]]}"
            elif "url(#" in value:
                element.attrib[key] = _LINK.sub(lambda found: f"url(#{wanted[found.group(1)]})", value)


def _short(found: re.Match[str]) -> str:
    text = f"{float(found.group()):.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
