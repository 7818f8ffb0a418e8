"""The checks as a picture: price against size, a panel for each group of comparable works, both on logarithmic scales.

Knows the works as they were compared and what was found. Contradictions are joined by a line, odd unit rates ringed, mended prices
stand beside the listed ones.
"""

from collections.abc import Mapping, Sequence
from math import ceil, nan
from typing import TYPE_CHECKING, NamedTuple

from evenhang.engine.checks.check import Checked
from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.mending import MendedList
from evenhang.engine.rules import RuleSet
from evenhang.engine.sizes import MM, Measure
from evenhang.pictures.canvas import LIGHT, Drawing, Look, by_ratio, plain_numbers, short, wrapped

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, PANEL, HEAD = 760, 320, 112
MOST_GROUPS = 12  # the largest; how many more there are is said
MOST_NAMED = 12  # works with their names in one panel, of those that a finding names
# How a measure is shown: the power of the unit of length that it is reckoned in, 0 for none, and what stands beside it.
SHOWN_AS: dict[Measure, tuple[int, str]] = {
    "area": (2, "{}²"), "volume": (3, "{}³"), "united": (1, "{}, height + width"), "longest": (1, "{}, longest side"),
    "height": (1, "{}, height"), "hours": (0, "hours"), "piece": (0, "pieces"), "canvas": (0, "canvas number"),
}  # fmt: skip
MENDED = {"raise-only": (LIGHT.first, "^", "Mended by raises"), "least-change": (LIGHT.ink, "D", "Mended by least change")}


class _Point(NamedTuple):
    entry: Entry
    size: float
    price: float


def draw_checks(rules: RuleSet, groups: Mapping[tuple[object, ...], Sequence[Entry]], found: Checked) -> Drawing:
    """The groups of comparable works, the largest first, with what contradicts, what is odd, and what would mend it."""
    ordered = sorted(groups.items(), key=lambda group: -len(group[1]))
    shown = ordered[:MOST_GROUPS]
    rows = max(1, ceil(len(shown) / 2))
    height = HEAD + PANEL * rows
    title = "Price against size, by comparable works"
    said = _said(rules, ordered, found)

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        left_out = len(ordered) - len(shown)
        counted = _counted(found) + (f" Smaller groups, not shown: {left_out}." if left_out else "")
        figure.text(0.02, 1 - 34 / height, wrapped(counted, 125), fontsize=9.5, color=LIGHT.faint, va="top")
        known: dict[str, Artist] = {}
        for at, (alike, entries) in enumerate(shown):
            left, top = (at % 2) * WIDTH / 2 + 66, HEAD + (at // 2) * PANEL + 26
            axes = figure.add_axes((left / WIDTH, 1 - (top + PANEL - 90) / height, (WIDTH / 2 - 90) / WIDTH, (PANEL - 90) / height))
            _panel(axes, rules, alike, entries, found)
            known |= dict(zip(*reversed(axes.get_legend_handles_labels()), strict=True))
        if known:
            place: Look = {"loc": "center left", "bbox_to_anchor": (0.01, 1 - 82 / height), "ncols": 4, "fontsize": 9}
            figure.legend(list(known.values()), list(known), **place)

    return Drawing(title, said, WIDTH, height, paint)


def _panel(axes: "Axes", rules: RuleSet, alike: tuple[object, ...], entries: Sequence[Entry], found: Checked) -> None:
    """One group: the works, then what was found of them."""
    medium = rules.medium(str(alike[0]))
    divisor, unit = _unit(rules, medium.measure)
    points = {entry.id: _Point(entry, float(entry.key) / divisor, float(entry.art)) for entry in entries}
    _works(axes, points)
    _contradictions(axes, points, found)
    _odd(axes, points, found)
    for mended in found.mended:
        _mended(axes, points, mended)
    by_ratio(axes, "x", [point.size for point in points.values()])
    by_ratio(axes, "y", [point.price for point in points.values()])
    _name(axes, points, found)
    axes.margins(0.12)
    axes.set_title(named_group(rules, alike), loc="left", fontsize=11)
    axes.set_xlabel(unit, fontsize=9.5)
    axes.set_ylabel(f"Art, {rules.currency}", fontsize=9.5)
    axes.tick_params(which="both", labelsize=9, length=3)
    plain_numbers(axes)


def _unit(rules: RuleSet, measure: Measure) -> tuple[float, str]:
    """In which unit a measure is shown, and how many of those that it is reckoned in (mm, mm2, mm3) make one."""
    power, words = SHOWN_AS[measure]
    unit = "in" if rules.rules.length_unit == "in" else "cm"
    return (float(MM[unit]) ** power, words.format(unit)) if power else (1.0, words)


def named_group(rules: RuleSet, alike: tuple[object, ...]) -> str:
    """What the works of a group share, in words: medium, grade, and how many extras."""
    medium, grade, extras = alike
    words = [short(rules.medium(str(medium)).title)]
    if grade is not None and str(grade) in rules.rules.grades:
        words.append(short(rules.rules.grades[str(grade)].title))
    if isinstance(extras, tuple) and extras:
        words.append("with extras")
    return ", ".join(words)


def _works(axes: "Axes", points: Mapping[str, _Point]) -> None:
    """Discs for works for sale, open ones for those that are reserved or not for sale."""
    for offered, face, label in ((True, LIGHT.first, "For sale"), (False, LIGHT.paper, "Reserved, not for sale")):
        these = [point for point in points.values() if (point.entry.item.state == "for-sale") is offered]
        if these:
            style: Look = {"markerfacecolor": face, "markersize": 5, "zorder": 3}
            axes.plot([p.size for p in these], [p.price for p in these], "o", color=LIGHT.first, label=label, **style)


def _contradictions(axes: "Axes", points: Mapping[str, _Point], found: Checked) -> None:
    """A dashed line between the two of a pair; a whole one through works of one size at different prices."""
    for code, line, label in (
        ("larger-for-less", (0, (5, 2)), "Larger for less"), ("same-size-different-price", "solid", "Same size, different price"),
    ):  # fmt: skip
        named = [[points[work] for work in finding.works if work in points] for finding in found.findings if finding.code == code]
        # One line with breaks in it: a line for each of thousands of pairs takes as long as all the rest.
        ends: list[tuple[float, float]] = []
        for these in (these for these in named if len(these) > 1):
            ends += [(nan, nan)] * bool(ends) + sorted((point.size, point.price) for point in these)
        if ends:
            style: Look = {"linestyle": line, "linewidth": 1.4, "zorder": 2, "label": label}
            axes.plot(*zip(*ends, strict=True), color=LIGHT.second, **style)


def _odd(axes: "Axes", points: Mapping[str, _Point], found: Checked) -> None:
    """A large open diamond round a work whose unit rate does not follow the others'."""
    named = [work for finding in found.findings if finding.code == "odd-unit-rate" for work in finding.works if work in points]
    if named:
        style: Look = {"markerfacecolor": "none", "markersize": 13, "markeredgewidth": 1.6, "label": "Odd unit rate", "zorder": 4}
        axes.plot([points[work].size for work in named], [points[work].price for work in named], "d", color=LIGHT.third, **style)


def _mended(axes: "Axes", points: Mapping[str, _Point], mended: MendedList) -> None:
    """The mended art price above or below the listed one, joined to it by a dotted line."""
    moved = [
        (points[change.id], float(change.mended.amount - points[change.id].entry.charged))
        for change in mended.changes
        if change.id in points
    ]
    if not moved:
        return
    colour, marker, label = MENDED[mended.kind]
    axes.vlines(
        [p.size for p, _ in moved], [p.price for p, _ in moved], [to for _, to in moved], color=colour, linewidth=1, linestyle="dotted"
    )
    axes.plot([p.size for p, _ in moved], [to for _, to in moved], marker, color=colour, markerfacecolor="none", markersize=6, label=label)


def _name(axes: "Axes", points: Mapping[str, _Point], found: Checked) -> None:
    """The names of the works that are joined or ringed."""
    codes = ("larger-for-less", "same-size-different-price", "odd-unit-rate")
    named = dict.fromkeys(work for finding in found.findings if finding.code in codes for work in finding.works if work in points)
    for work in list(named)[:MOST_NAMED]:
        at = points[work]
        axes.annotate(short(work), (at.size, at.price), (6, -3), textcoords="offset points", fontsize=8, color=LIGHT.faint)


def _counted(found: Checked) -> str:
    counts = dict.fromkeys(finding.code for finding in found.findings)
    if not counts:
        return "Nothing was found."
    return ". ".join(f"{code.replace('-', ' ').capitalize()}: {sum(f.code == code for f in found.findings)}" for code in counts) + "."


def _said(rules: RuleSet, ordered: Sequence[tuple[tuple[object, ...], Sequence[Entry]]], found: Checked) -> str:
    """The picture in words: what the panels hold, and each finding that is drawn, up to twenty."""
    groups = [f"{named_group(rules, alike)}: {len(entries)}" for alike, entries in ordered[:MOST_GROUPS]]
    drawn_codes = ("larger-for-less", "same-size-different-price", "odd-unit-rate")
    told = [finding.detail for finding in found.findings if finding.code in drawn_codes][:20]
    changes = [f"Mended ({mended.kind}): {len(mended.changes)} prices change." for mended in found.mended]
    return " ".join((f"Works by group: {'; '.join(groups)}.", _counted(found), *told, *changes))
