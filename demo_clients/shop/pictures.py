"""An abstract picture for a work, drawn from the hash of its title: no photographs, and always the same one.

Knows nothing of prices. The same shapes become an SVG for the pages and a PNG for those who link to them.
"""

import colorsys
import hashlib
import math
import re
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

NO_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")  # what no XML may hold (XML 1.0, section 2.2)
Point = tuple[float, float]
Colour = tuple[int, int, int]


@dataclass(frozen=True)
class Shape:
    """A filled polygon in a unit square, and its colour."""

    points: tuple[Point, ...]
    fill: Colour


class _Draw:
    """Numbers from 0 to 1 that follow from a text."""

    def __init__(self, text: str) -> None:
        self.text, self.drawn, self.pool = text, 0, b""

    def __call__(self, low: float = 0, high: float = 1) -> float:
        if not self.pool:
            self.pool = hashlib.sha256(f"{self.text}/{self.drawn}".encode()).digest()
            self.drawn += 1
        value, self.pool = self.pool[0] / 255, self.pool[1:]
        return low + (high - low) * value


def draw(title: str, medium: str, form: float = 1) -> list[Shape]:
    """The shapes of a picture so many times as wide as it is high, the ground first.

    Its manner follows from the medium, all else from the title.
    """
    drawn = _Draw(f"{medium}: {title}")
    grey = 0.05 if medium in ("silver-print", "drawing", "linocut") else drawn(0.18, 0.34)
    hue, turn = drawn(), drawn(0.05, 0.11)
    tones = ((0, 0.9), (turn, 0.72), (2 * turn, 0.55), (-turn, 0.4), (3 * turn, 0.24))
    colours = [_colour((hue + way) % 1, light, grey) for way, light in tones]
    ground = Shape(((0, 0), (1, 0), (1, 1), (0, 1)), colours[0])
    manner = MANNERS.get(medium) or OTHERS[int.from_bytes(hashlib.sha256(medium.encode()).digest()[:2]) % len(OTHERS)]
    return [ground, *manner(drawn, colours[1:], form)]


def _colour(hue: float, light: float, grey: float) -> Colour:
    red, green, blue = colorsys.hls_to_rgb(hue, light, grey)
    return round(red * 255), round(green * 255), round(blue * 255)


def _horizons(drawn: _Draw, colours: list[Colour], form: float) -> Iterator[Shape]:
    """Lands behind one another, and a disc over them."""
    yield _disc(drawn(0.2, 0.8), drawn(0.14, 0.3), drawn(0.06, 0.11), form, colours[0])
    for place, colour in enumerate(colours):
        level, wave, swing = 0.38 + place * 0.16, drawn(0.01, 0.06), drawn(2, 7)
        start = drawn(0, 6)
        edge = [(x / 24, level + wave * math.sin(start + swing * x / 24)) for x in range(25)]
        yield Shape((*edge, (1, 1), (0, 1)), colour)


def _weave(drawn: _Draw, colours: list[Colour], form: float) -> Iterator[Shape]:
    """Bands across and down, each over the last."""
    for place in range(9):
        at, wide = drawn(0, 0.94), drawn(0.02, 0.13)
        colour = colours[place % len(colours)]
        across = place % 2 == 0
        yield Shape(
            ((0, at), (1, at), (1, at + wide), (0, at + wide)) if across else ((at, 0), (at + wide, 0), (at + wide, 1), (at, 1)), colour
        )


def _arcs(drawn: _Draw, colours: list[Colour], form: float) -> Iterator[Shape]:
    """Discs within discs, none of them in the middle."""
    x, y, size = drawn(0.4, 0.6), drawn(0.42, 0.6), drawn(0.36, 0.46)
    for colour in (*colours, *colours[:2]):
        yield _disc(x, y, size, form, colour)
        x, y, size = x + drawn(-0.04, 0.04), y + drawn(-0.05, 0.05), size * drawn(0.62, 0.8)


def _cuts(drawn: _Draw, colours: list[Colour], form: float) -> Iterator[Shape]:
    """Short cuts of a gouge over a dark field."""
    rim = drawn(0.06, 0.14)
    yield Shape(((rim, rim), (1 - rim, rim * 1.1), (1 - rim * 0.9, 1 - rim), (rim * 0.8, 1 - rim)), colours[3])
    for _ in range(46):
        x, y, turn, length = drawn(rim, 1 - rim), drawn(rim, 1 - rim), drawn(0, math.pi), drawn(0.03, 0.12)
        dx, dy = math.cos(turn) * length, math.sin(turn) * length
        yield Shape(((x - dx, y - dy), (x - dy * 0.13, y + dx * 0.13), (x + dx, y + dy), (x + dy * 0.13, y - dx * 0.13)), colours[0])


def _facets(drawn: _Draw, colours: list[Colour], form: float) -> Iterator[Shape]:
    """Planes that lean on one another."""
    for place in range(8):
        x, y = drawn(-0.1, 0.7), drawn(0, 0.6)
        points = (
            (x, y),
            (x + drawn(0.2, 0.5), y + drawn(-0.1, 0.2)),
            (x + drawn(0.2, 0.5), y + drawn(0.3, 0.6)),
            (x + drawn(-0.1, 0.1), y + 0.5),
        )
        yield Shape(points, colours[place % len(colours)])


OTHERS = (_horizons, _weave, _arcs, _cuts, _facets)
MANNERS = {
    "oil": _horizons, "plein-air": _horizons, "silver-print": _horizons, "drawing": _facets, "pigment-print": _facets, "linocut": _cuts,
    "reduction": _cuts, "book": _cuts, "tapestry": _weave, "round-hanging": _weave, "loom-study": _weave, "platter": _arcs, "vessel": _arcs,
}  # fmt: skip


def _disc(x: float, y: float, size: float, form: float, colour: Colour) -> Shape:
    """A disc that is round in a picture of that form; its size is a part of the shorter side."""
    wide, high = (size / form, size) if form > 1 else (size, size * form)
    turns = (turn * math.tau / 96 for turn in range(96))
    return Shape(tuple((x + wide * math.cos(turn), y + high * math.sin(turn)) for turn in turns), colour)


def svg_of(shapes: list[Shape], title: str, width: int, height: int, shape: str = "rectangle") -> str:
    """The picture at a size in pixels; a round or oval work is cut to its outline."""
    cut = f'<clipPath id="c"><ellipse cx="{width / 2:g}" cy="{height / 2:g}" rx="{width / 2:g}" ry="{height / 2:g}"/></clipPath>'
    drawn = "".join(
        f'<path fill="#{red:02x}{green:02x}{blue:02x}" d="M{" ".join(f"{x * width:.1f},{y * height:.1f}" for x, y in one.points)}z"/>'
        for one in shapes
        for red, green, blue in [one.fill]
    )
    body = drawn if shape == "rectangle" else f'{cut}<g clip-path="url(#c)">{drawn}</g>'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}">'
    return f"{head}<title>{escape(NO_XML.sub('', title))}</title>{body}</svg>\n"


def png_of(shapes: list[Shape], width: int, height: int) -> bytes:
    """The same picture as a PNG (ISO/IEC 15948): eight bits of red, green and blue, polygons filled line by line."""
    rows = [bytearray(width * 3) for _ in range(height)]
    for shape in shapes:
        heights = [y for _, y in shape.points]
        for y in range(max(0, int(min(heights) * height)), min(height, int(max(heights) * height) + 1)):
            row, crossed = rows[y], sorted(_crossings(shape.points, (y + 0.5) / height))
            for left, right in zip(crossed[::2], crossed[1::2], strict=False):
                start, end = max(0, round(left * width)), min(width, round(right * width))
                row[start * 3 : max(start, end) * 3] = bytes(shape.fill) * max(0, end - start)
    raw = zlib.compress(b"".join(b"\0" + row for row in rows), 9)
    parts = ((b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)), (b"IDAT", raw), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in parts
    )


def _crossings(points: tuple[Point, ...], y: float) -> Iterator[float]:
    """Where the outline crosses a line across."""
    for (x1, y1), (x2, y2) in zip(points, (*points[1:], points[0]), strict=True):
        if (y1 <= y) != (y2 <= y):
            yield x1 + (y - y1) * (x2 - x1) / (y2 - y1)
