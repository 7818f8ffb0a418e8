"""The price guide as a picture: price against size, a panel for each medium, the guide's sizes marked, unframed and framed.

Knows the guide and the words that it is handed; a line joins the guide's sizes and says nothing of what lies between.
"""

from collections.abc import Mapping
from math import ceil, prod
from typing import TYPE_CHECKING

from evenhang.engine.guide import Guide, GuideMedium, GuideRow
from evenhang.pictures.canvas import LIGHT, Drawing, Look, plain_numbers, short
from evenhang.pictures.guide_sizes import titled
from evenhang.pictures.voice import Voice, breadth, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, PANEL = 264, 222  # of a panel: one alone fills a telephone, where a point is then a little more than a pixel of the page
ABOUT, BESIDE = 76, 88  # what a panel keeps for its title and the words at its axes
TITLE, TEXT, NAME = 13, 11, 10.5  # sizes of letters: 10 px on a telephone, 6 points where three stand side by side on paper
LINE = 1.4  # the height of a line, in letters
MOST_COLUMNS = 2


def draw_guide(guide: Guide, words: Mapping[str, str], terms: str, voice: Voice) -> Drawing:
    """`words` are those of the guide's pages; `terms` the sentence on currency, tax and days. Media without a size are left out."""
    media = [(medium, points) for medium in guide.media if (points := _points(medium))]
    columns, rows = min(MOST_COLUMNS, max(1, len(media))), max(1, ceil(len(media) / MOST_COLUMNS))
    width = WIDTH * columns
    title = words["of"].format(short(guide.title), words["chart"])
    above = wrapped(title, int(width / TITLE / 0.62))
    below = wrapped(terms, int(width / TEXT / 0.58))
    under = 12 + TITLE * LINE * len(above.splitlines())
    head = under + 2 + TEXT * LINE * len(below.splitlines())
    height = ceil(head + PANEL * rows)

    def paint(figure: "Figure") -> None:
        figure.text(12 / width, 1 - 12 / height, above, fontsize=TITLE, va="top")
        figure.text(12 / width, 1 - under / height, below, fontsize=TEXT, color=LIGHT.faint, va="top")
        for at, (medium, points) in enumerate(media):
            left, top = (at % columns) * WIDTH + 72, head + (at // columns) * PANEL + 28
            place = (left / width, 1 - (top + PANEL - ABOUT) / height, (WIDTH - BESIDE) / width, (PANEL - ABOUT) / height)
            _panel(figure.add_axes(place), medium, points, guide.currency, words, voice)

    return Drawing(title, _said(guide, words, terms, voice), width, height, paint)


def has_chart(medium: GuideMedium) -> bool:
    """Whether the medium has sizes to draw."""
    return any(row.size is not None for row in medium.rows)


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
        axes.legend(loc="upper left", fontsize=NAME, handlelength=2.6, borderaxespad=0)
    highest = max([*unframed, *(price for _, price in framed)])
    axes.set_xlim(0, max(sizes) * 1.55)
    axes.set_ylim(0, highest * 1.4)
    axes.set_title(short(medium.title), loc="left", fontsize=TEXT)
    unit = points[0][1].size.unit if points[0][1].size else ""
    axes.set_xlabel(unit + ("", "", "²", "³")[_sides(medium)], fontsize=TEXT)
    axes.set_ylabel(currency, fontsize=TEXT)
    axes.tick_params(labelsize=NAME, length=3)
    axes.locator_params(axis="x", nbins=3)
    axes.locator_params(axis="y", nbins=5)
    plain_numbers(axes, voice)
    _name(axes, [(size, price, _shown_title(row, voice)) for (size, row), price in zip(points, unframed, strict=True)])


def _name(axes: "Axes", marks: list[tuple[float, float, str]]) -> None:
    """The names of the sizes below their marks, as far as they do not lie on one another; the largest sizes come first."""
    edge = WIDTH - BESIDE + 12  # no name goes on beyond the paper
    across, up = (WIDTH - BESIDE) / axes.get_xlim()[1], (PANEL - ABOUT) / axes.get_ylim()[1]
    taken: list[tuple[float, float, float]] = []
    for size, price, name in reversed(marks):
        x, y, long = size * across, price * up, NAME * 0.62 * breadth(name)
        right, down = (5, -13) if y > NAME * 1.6 else (8, -3)  # not over the axis
        begin = min(x + right, edge - long)
        if all(abs(y - other) > NAME * 1.2 or begin + long < start or begin > start + wide for start, other, wide in taken):
            taken.append((begin, y, long))
            axes.annotate(name, (size, price), (begin - x, down), textcoords="offset points", fontsize=NAME, color=LIGHT.faint)


def _shown_title(row: GuideRow, voice: Voice) -> str:
    """The title on one line, its size as the language writes it."""
    return short(titled(row, voice.number))


def _said(guide: Guide, words: Mapping[str, str], terms: str, voice: Voice) -> str:
    """The picture in words: every size with what it asks."""
    parts = [terms]
    for medium in guide.media:
        rows = []
        for row in medium.rows:
            framed = "" if row.framed is None else f", {words['framed']} {voice.number(row.framed.amount)}"
            rows.append(words["of"].format(titled(row, voice.number), f"{voice.number(row.unframed.amount)}{framed}"))
        if rows:
            parts.append(words["of"].format(medium.title, "; ".join(rows)) + words["stop"].rstrip())
    return " ".join(parts)
