"""The ladder as a picture: the price points of each medium against the buyers' budget bands.

Knows ladders and bands. Prices stand on one logarithmic scale, because buyers compare ratios; a band with nothing in it is hatched.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from evenhang.engine.ladder import BandCount, Ladder
from evenhang.pictures.canvas import LIGHT, Drawing, Look, by_ratio, plain_numbers, short

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEAD, ROW, FOOT, LEFT = 760, 112, 54, 48, 250


def draw_ladders(ladders: Sequence[Ladder], bands: Sequence[BandCount]) -> Drawing:
    """Every price point, unframed and framed, medium by medium; the bands over all of them behind."""
    height = HEAD + ROW * max(1, len(ladders)) + FOOT
    prices = [price for ladder in ladders for price in (*_unframed(ladder), *_framed(ladder))]
    currency = next((rung.price.currency for ladder in ladders for rung in ladder.rungs if rung.price), "")
    title = "Price points against budget bands"
    empty = [band.title for band in bands if band.empty]
    told = f"Price points: {len(prices)}. " + (f"Empty bands: {'; '.join(map(short, empty))}." if empty else "No band is empty.")

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 42 / height, told, fontsize=9.5, color=LIGHT.faint, va="center")
        axes = figure.add_axes((LEFT / WIDTH, FOOT / height, (WIDTH - LEFT - 30) / WIDTH, 1 - (HEAD + FOOT) / height))
        if prices:
            limits = _limits(prices, bands)
            by_ratio(axes, "x", limits)
            axes.set_xlim(*limits)
        _bands(axes, bands)
        for at, ladder in enumerate(ladders):
            _rungs(axes, at, ladder)
        axes.set_yticks(range(len(ladders)), [short(ladder.title) for ladder in ladders])
        axes.set_ylim(max(1, len(ladders)) - 0.5, -0.5)
        axes.set_xlabel(currency, fontsize=9.5)
        axes.grid(visible=False)
        axes.tick_params(which="both", labelsize=9, length=3)
        plain_numbers(axes, y=False)
        handles = dict(zip(*reversed(axes.get_legend_handles_labels()), strict=True))
        place: Look = {"loc": "center left", "bbox_to_anchor": (0.01, 1 - 64 / height), "ncols": 4, "fontsize": 9}
        figure.legend(list(handles.values()), list(handles), **place)

    return Drawing(title, _said(ladders, bands, told), WIDTH, height, paint)


def _unframed(ladder: Ladder) -> list[float]:
    return [float(rung.price.amount) for rung in ladder.rungs if rung.price is not None]


def _framed(ladder: Ladder) -> list[float]:
    return [float(rung.framed_price.amount) for rung in ladder.rungs if rung.framed_price is not None]


def _limits(prices: Sequence[float], bands: Sequence[BandCount]) -> tuple[float, float]:
    """From below the least price point to above the greatest, and over every band that has an edge above 0."""
    edges = [float(edge.amount) for band in bands for edge in (band.at_least, band.below) if edge is not None and edge.amount > 0]
    known = [*prices, *edges]
    return min(known) / 1.5, max(known) * 1.5


def _bands(axes: "Axes", bands: Sequence[BandCount]) -> None:
    """Strips from edge to edge, named above; an empty one is hatched and says so."""
    low, high = axes.get_xlim()
    for at, band in enumerate(bands):
        start = max(low, float(band.at_least.amount))
        end = high if band.below is None else float(band.below.amount)
        axes.axvline(start, color=LIGHT.grid, linewidth=1, zorder=0)
        if band.empty:
            look: Look = {"facecolor": "none", "edgecolor": LIGHT.third, "hatch": "//", "linewidth": 0, "zorder": 0}
            axes.axvspan(start, end, label="Empty band", **look)
        name = f"{short(band.title)}{' (empty)' if band.empty else ''}"
        place: Look = {"xycoords": axes.get_xaxis_transform(), "textcoords": "offset points", "ha": "center", "fontsize": 8.5}
        axes.annotate(name, ((start * end) ** 0.5 if start > 0 else end / 2, 1), (0, 4 + 11 * (at % 2)), color=LIGHT.faint, **place)


def _rungs(axes: "Axes", at: int, ladder: Ladder) -> None:
    """Discs for unframed prices, open squares a little lower for framed ones, and a bracket over each gap."""
    axes.axhline(at, color=LIGHT.grid, linewidth=1, zorder=0)
    unframed, framed = _unframed(ladder), _framed(ladder)
    axes.plot(unframed, [at] * len(unframed), "o", color=LIGHT.first, label="Unframed", zorder=3)
    if framed:
        axes.plot(framed, [at + 0.22] * len(framed), "s", color=LIGHT.second, markerfacecolor=LIGHT.paper, label="Framed", zorder=3)
    for gap in ladder.gaps:
        if not gap.framed:
            ends = [float(gap.lower.amount), float(gap.upper.amount)]
            axes.plot(ends, [at - 0.22] * 2, "|-", color=LIGHT.ink, linewidth=1.2, label="Gap")


def _said(ladders: Sequence[Ladder], bands: Sequence[BandCount], told: str) -> str:
    """The picture in words: every price point, and each band's count."""
    parts = [told]
    for ladder in ladders:
        rungs = [
            f"{rung.label} {rung.price.amount}" + (f", framed {rung.framed_price.amount}" if rung.framed_price else "")
            for rung in ladder.rungs
            if rung.price is not None
        ]
        if rungs:
            parts.append(f"{ladder.title}: {'; '.join(rungs)}.")
    parts += [f"{band.title}: {band.unframed} unframed, {band.framed} framed." for band in bands]
    return " ".join(parts)
