"""The ladder as a picture: the price points of each medium against the buyers' budget bands.

Knows ladders and bands. Prices stand on one logarithmic scale, because buyers compare ratios; a band with nothing in it is hatched.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from evenhang.engine.ladder import BandCount, Ladder
from evenhang.engine.rungs import Rung
from evenhang.engine.saying import Said, joined, say
from evenhang.pictures.canvas import LIGHT, Drawing, Look, by_ratio, key, marks_of, plain_numbers, short
from evenhang.pictures.voice import Voice

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEAD, ROW, FOOT, LEFT = 760, 112, 54, 48, 250


def draw_ladders(ladders: Sequence[Ladder], bands: Sequence[BandCount], voice: Voice) -> Drawing:
    """Every price point, unframed and framed, medium by medium; the bands over all of them behind."""
    height = HEAD + ROW * max(1, len(ladders)) + FOOT
    prices = [price for ladder in ladders for price in (*_unframed(ladder), *_framed(ladder))]
    currency = next((rung.price.currency for ladder in ladders for rung in ladder.rungs if rung.price), "")
    title = voice.said(say("Price points against budget bands"))
    told = _told(len(prices), [short(voice.said(band.title)) for band in bands if band.empty])

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 42 / height, voice.said(told), fontsize=9.5, color=LIGHT.faint, va="center")
        axes = figure.add_axes((LEFT / WIDTH, FOOT / height, (WIDTH - LEFT - 30) / WIDTH, 1 - (HEAD + FOOT) / height))
        if prices:
            limits = _limits(prices, bands)
            by_ratio(axes, "x", limits)
            axes.set_xlim(*limits)
        _bands(axes, bands, voice)
        for at, ladder in enumerate(ladders):
            _rungs(axes, at, ladder, voice)
        axes.set_yticks(range(len(ladders)), [short(ladder.title) for ladder in ladders])
        axes.set_ylim(max(1, len(ladders)) - 0.5, -0.5)
        axes.set_xlabel(currency, fontsize=9.5)
        axes.grid(visible=False)
        axes.tick_params(which="both", labelsize=9, length=3)
        plain_numbers(axes, voice, y=False)
        key(figure, marks_of(figure), 16, 64)

    return Drawing(title, voice.said(_said(ladders, bands, told)), WIDTH, height, paint)


def _unframed(ladder: Ladder) -> list[float]:
    return [float(rung.price.amount) for rung in ladder.rungs if rung.price is not None]


def _framed(ladder: Ladder) -> list[float]:
    return [float(rung.framed_price.amount) for rung in ladder.rungs if rung.framed_price is not None]


def _limits(prices: Sequence[float], bands: Sequence[BandCount]) -> tuple[float, float]:
    """From below the least price point to above the greatest, and over every band that has an edge above 0."""
    edges = [float(edge.amount) for band in bands for edge in (band.at_least, band.below) if edge is not None and edge.amount > 0]
    known = [*prices, *edges]
    return min(known) / 1.5, max(known) * 1.5


def _bands(axes: "Axes", bands: Sequence[BandCount], voice: Voice) -> None:
    """Strips from edge to edge, named above; an empty one is hatched and says so."""
    low, high = axes.get_xlim()
    for at, band in enumerate(bands):
        start = max(low, float(band.at_least.amount))
        end = high if band.below is None else float(band.below.amount)
        axes.axvline(start, color=LIGHT.grid, linewidth=1, zorder=0)
        if band.empty:
            look: Look = {"facecolor": "none", "edgecolor": LIGHT.third, "hatch": "//", "linewidth": 0, "zorder": 0}
            axes.axvspan(start, end, label=voice.said(say("Empty band")), **look)
        name = short(voice.said(band.title))
        name = voice.said(say("{band} (empty)", band=name)) if band.empty else name
        place: Look = {"xycoords": axes.get_xaxis_transform(), "textcoords": "offset points", "ha": "center", "fontsize": 8.5}
        axes.annotate(name, ((start * end) ** 0.5 if start > 0 else end / 2, 1), (0, 4 + 11 * (at % 2)), color=LIGHT.faint, **place)


def _rungs(axes: "Axes", at: int, ladder: Ladder, voice: Voice) -> None:
    """Discs for unframed prices, open squares a little lower for framed ones, and a bracket over each gap."""
    axes.axhline(at, color=LIGHT.grid, linewidth=1, zorder=0)
    unframed, framed = _unframed(ladder), _framed(ladder)
    axes.plot(unframed, [at] * len(unframed), "o", color=LIGHT.first, label=voice.said(say("Unframed")), zorder=3)
    if framed:
        axes.plot(
            framed,
            [at + 0.22] * len(framed),
            "s",
            color=LIGHT.second,
            markerfacecolor=LIGHT.paper,
            label=voice.said(say("Framed")),
            zorder=3,
        )
    for gap in ladder.gaps:
        if not gap.framed:
            ends = [float(gap.lower.amount), float(gap.upper.amount)]
            axes.plot(ends, [at - 0.22] * 2, "|-", color=LIGHT.ink, linewidth=1.2, label=voice.said(say("Gap")))


def _told(points: int, empty: Sequence[str]) -> Said:
    """How many price points there are, and which bands have none."""
    bands = say("Empty bands: {bands}.", bands="; ".join(empty)) if empty else say("No band is empty.")
    return joined((say("Price points: {n}.", n=points), bands), " ")


def _said(ladders: Sequence[Ladder], bands: Sequence[BandCount], told: Said) -> Said:
    """The picture in words: every price point, and each band's count."""
    parts = [told]
    for ladder in ladders:
        rungs = [_point(rung) for rung in ladder.rungs if rung.price is not None]
        if rungs:
            parts.append(say("{name}: {what}.", name=ladder.title, what=joined(rungs, "; ")))
    for band in bands:
        parts.append(say("{band}: {unframed} unframed, {framed} framed.", band=band.title, unframed=band.unframed, framed=band.framed))
    return joined(parts, " ")


def _point(rung: Rung) -> Said:
    """A size with what it asks, unframed and framed."""
    if rung.framed_price is None:
        return say("{name}: {what}", name=rung.label, what=rung.price)
    return say("{size}: {price}, framed {framed}", size=rung.label, price=rung.price, framed=rung.framed_price)
