"""The price guide as a picture: price against size, a panel for each medium, the guide's sizes marked, unframed and framed.

Knows the guide and the words that it is handed; a line joins the guide's sizes and says nothing of what lies between.
"""

from collections.abc import Mapping
from math import ceil, prod
from typing import TYPE_CHECKING

from evenhang.engine.guide import Guide, GuideMedium, GuideRow
from evenhang.pictures.canvas import LIGHT, Drawing, Look, plain_numbers, short
from evenhang.pictures.voice import Voice

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, PANEL, HEAD = 640, 260, 56
MOST_NAMED = 7  # sizes with their names in one panel


def draw_guide(guide: Guide, words: Mapping[str, str], terms: str, voice: Voice) -> Drawing:
    """`words` are those of the guide's pages; `terms` the sentence on currency, tax and days. Media without a size are left out."""
    media = [(medium, points) for medium in guide.media if (points := _points(medium))]
    rows = max(1, ceil(len(media) / 2))
    title = f"{short(guide.title)}: {words['chart']}"

    def paint(figure: "Figure") -> None:
        figure.suptitle(title, x=0.02, y=1 - 20 / (HEAD + PANEL * rows), ha="left", va="center", fontsize=14)
        figure.text(0.02, 1 - 42 / (HEAD + PANEL * rows), terms, fontsize=9.5, color=LIGHT.faint, va="center")
        columns = 1 if len(media) == 1 else 2
        for at, (medium, points) in enumerate(media):
            _panel(figure.add_axes(_place(at, rows, columns)), medium, points, guide.currency, words, voice)

    return Drawing(title, _said(guide, words, terms, voice), WIDTH, HEAD + PANEL * rows, paint)


def _place(at: int, rows: int, columns: int) -> tuple[float, float, float, float]:
    """Left, bottom, width and height of a panel, as parts of the picture."""
    height, width = HEAD + PANEL * rows, WIDTH / columns
    left, top = (at % columns) * width + 62, HEAD + (at // columns) * PANEL + 30
    return left / WIDTH, 1 - (top + PANEL - 84) / height, (width - 84) / WIDTH, (PANEL - 84) / height


def _points(medium: GuideMedium) -> list[tuple[float, GuideRow]]:
    """The rows that have a size, from the smallest on: by volume where all have three sides, by area where all have two, else by height."""
    sides = _sides(medium)
    return sorted(((prod(map(float, sizes[:sides])), row) for row, sizes in _sized(medium)), key=lambda pair: pair[0])


def _sized(medium: GuideMedium) -> list[tuple[GuideRow, list[str]]]:
    """The rows that have a size, each with its sides."""
    sized = [(row, row.size) for row in medium.rows if row.size is not None]
    return [(row, [side for side in (size.height, size.width, size.depth) if side is not None]) for row, size in sized]


def _sides(medium: GuideMedium) -> int:
    """How many sides all sizes of the medium have."""
    return min((len(sides) for _, sides in _sized(medium)), default=0)


def _panel(
    axes: "Axes", medium: GuideMedium, points: list[tuple[float, GuideRow]], currency: str, words: Mapping[str, str], voice: Voice
) -> None:
    """One medium: filled discs on a line for unframed, open squares on dashes for framed."""
    sizes = [size for size, _ in points]
    unframed = [float(row.unframed.amount) for _, row in points]
    axes.plot(sizes, unframed, color=LIGHT.first, marker="o", linewidth=1.6, label=words["unframed"])
    framed = [(size, float(row.framed.amount)) for size, row in points if row.framed is not None]
    if framed:
        style: Look = {"marker": "s", "markerfacecolor": LIGHT.paper, "linestyle": (0, (5, 3))}
        axes.plot(*zip(*framed, strict=True), color=LIGHT.second, linewidth=1.6, label=words["framed"], **style)
        axes.legend(loc="upper left", fontsize=9, handlelength=2.6)
    highest = max([*unframed, *(price for _, price in framed)])
    axes.set_xlim(0, max(sizes) * 1.35)
    axes.set_ylim(0, highest * 1.25)
    axes.set_title(short(medium.title), loc="left", fontsize=11)
    unit = points[0][1].size.unit if points[0][1].size else ""
    axes.set_xlabel(unit + ("", "", "²", "³")[_sides(medium)], fontsize=9.5)
    axes.set_ylabel(currency, fontsize=9.5)
    axes.tick_params(labelsize=9, length=3)
    axes.locator_params(axis="x", nbins=4)
    plain_numbers(axes, voice)
    if len(points) <= MOST_NAMED:
        for (size, row), price in zip(points, unframed, strict=True):
            axes.annotate(short(row.title), (size, price), (5, -11), textcoords="offset points", fontsize=8.5, color=LIGHT.faint)


def _said(guide: Guide, words: Mapping[str, str], terms: str, voice: Voice) -> str:
    """The picture in words: every size with what it asks."""
    parts = [terms]
    for medium in guide.media:
        rows = []
        for row in medium.rows:
            framed = "" if row.framed is None else f", {words['framed']} {voice.number(row.framed.amount)}"
            rows.append(f"{row.title}: {voice.number(row.unframed.amount)}{framed}")
        if rows:
            parts.append(f"{medium.title}: {'; '.join(rows)}.")
    return " ".join(parts)
