"""The checks as a picture: price against size, a panel for each group of comparable works, both on logarithmic scales.

Knows the works as they were compared and what was found. Contradictions are joined by a line, odd unit rates ringed, mended prices
stand beside the listed ones.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from math import ceil, nan
from typing import TYPE_CHECKING, NamedTuple

from evenhang.engine.checks.check import Checked
from evenhang.engine.checks.entries import Entry
from evenhang.engine.checks.findings import FindingCode
from evenhang.engine.checks.mending import MendedList
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import Said, joined, say
from evenhang.engine.sizes import MM, Measure
from evenhang.pictures.canvas import LIGHT, Drawing, Look, by_ratio, key, marks_of, plain_numbers, short
from evenhang.pictures.checks_words import COUNTED
from evenhang.pictures.voice import Voice, wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, PANEL, HEAD = 760, 320, 140
MOST_GROUPS = 12  # the largest; how many more there are is said
MOST_NAMED = 12  # works with their names in one panel, of those that a finding names
# How a measure is shown: the power of the unit of length that it is reckoned in, 0 for none, and what stands beside it.
SHOWN_AS: dict[Measure, tuple[int, Said | None]] = {
    "area": (2, None),
    "volume": (3, None),
    "united": (1, say("height and width together")),
    "longest": (1, say("longest side")),
    "height": (1, say("height")),
    "hours": (0, say("hours")),
    "piece": (0, say("pieces")),
    "canvas": (0, say("canvas number")),
}
MENDED = {
    "raise-only": (LIGHT.first, "^", say("Mended by raises")),
    "least-change": (LIGHT.ink, "D", say("Mended by least change")),
}
LINES: tuple[tuple[FindingCode, Look, Said], ...] = (
    ("larger-for-less", {"linestyle": (0, (5, 2))}, say("Larger for less")),
    ("same-size-different-price", {"linestyle": "solid"}, say("Same size, different price")),
)
DRAWN: tuple[FindingCode, ...] = ("larger-for-less", "same-size-different-price", "odd-unit-rate")
Group = tuple[tuple[object, ...], Sequence[Entry]]


class _Point(NamedTuple):
    entry: Entry
    size: float
    price: float


def draw_checks(rules: RuleSet, groups: Mapping[tuple[object, ...], Sequence[Entry]], found: Checked, voice: Voice) -> Drawing:
    """The groups of comparable works, the largest first, with what contradicts, what is odd, and what would mend it."""
    ordered = sorted(groups.items(), key=lambda group: -len(group[1]))
    shown = ordered[:MOST_GROUPS]
    rows = max(1, ceil(len(shown) / 2))
    height = HEAD + PANEL * rows
    title = voice.said(say("Price against size, by comparable works"))
    told = [counted(found)]
    if len(ordered) > len(shown):
        told.append(say("Smaller groups, not shown: {n}.", n=len(ordered) - len(shown)))

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 34 / height, wrapped(voice.said(joined(told, " ")), 122), fontsize=9.5, color=LIGHT.faint, va="top")
        for at, (alike, entries) in enumerate(shown):
            left, top = (at % 2) * WIDTH / 2 + 66, HEAD + (at // 2) * PANEL + 26
            axes = figure.add_axes((left / WIDTH, 1 - (top + PANEL - 90) / height, (WIDTH / 2 - 90) / WIDTH, (PANEL - 90) / height))
            _panel(axes, rules, alike, entries, found, voice)
        key(figure, marks_of(figure), 16, HEAD - 44)

    return Drawing(title, voice.said(_said(rules, ordered, found)), WIDTH, height, paint)


def _panel(axes: "Axes", rules: RuleSet, alike: tuple[object, ...], entries: Sequence[Entry], found: Checked, voice: Voice) -> None:
    """One group: the works, then what was found of them."""
    medium = rules.medium(str(alike[0]))
    divisor, unit = _unit(rules, medium.measure)
    points = {entry.id: _Point(entry, float(entry.key) / divisor, float(entry.art)) for entry in entries}
    _works(axes, points, voice)
    _contradictions(axes, points, found, voice)
    _odd(axes, points, found, voice)
    for mended in found.mended:
        _mended(axes, points, mended, voice)
    by_ratio(axes, "x", [point.size for point in points.values()])
    by_ratio(axes, "y", [point.price for point in points.values()])
    _name(axes, points, found)
    axes.margins(0.12)
    axes.set_title(voice.said(named_group(rules, alike)), loc="left", fontsize=11)
    axes.set_xlabel(voice.said(unit), fontsize=9.5)
    axes.set_ylabel(voice.said(say("Price without costs, {currency}", currency=rules.currency)), fontsize=9.5)
    axes.tick_params(which="both", labelsize=9, length=3)
    plain_numbers(axes, voice)


def _unit(rules: RuleSet, measure: Measure) -> tuple[float, Said]:
    """In which unit a measure is shown, and how many of those that it is reckoned in (mm, mm2, mm3) make one."""
    power, words = SHOWN_AS[measure]
    unit = "in" if rules.rules.length_unit == "in" else "cm"
    named = [unit + ("", "", "²", "³")[power]] if power else []
    return float(MM[unit]) ** power if power else 1.0, joined([*named, words] if words else named)


def named_group(rules: RuleSet, alike: tuple[object, ...]) -> Said:
    """What the works of a group share, in words: medium, format, grade, and whether they have extras."""
    medium, grade, extras, form = alike
    words = [short(rules.medium(str(medium)).title)]
    if form:
        words.append(short(str(form)))
    if grade is not None and str(grade) in rules.rules.grades:
        words.append(short(rules.rules.grades[str(grade)].title))
    if isinstance(extras, tuple) and extras:
        words.append(say("with extras"))
    return joined(words)


def _works(axes: "Axes", points: Mapping[str, _Point], voice: Voice) -> None:
    """Discs for works for sale, open ones for those that are reserved or not for sale."""
    for offered, face, label in ((True, LIGHT.first, say("For sale")), (False, LIGHT.paper, say("Reserved, not for sale"))):
        these = [point for point in points.values() if (point.entry.item.state == "for-sale") is offered]
        if these:
            style: Look = {"markerfacecolor": face, "markersize": 5, "zorder": 3}
            axes.plot([p.size for p in these], [p.price for p in these], "o", color=LIGHT.first, label=voice.said(label), **style)


def _contradictions(axes: "Axes", points: Mapping[str, _Point], found: Checked, voice: Voice) -> None:
    """A dashed line between the two of a pair; a whole one through works of one size at different prices."""
    for code, line, label in LINES:
        named = [[points[work] for work in finding.works if work in points] for finding in found.findings if finding.code == code]
        # One line with breaks in it: a line for each of thousands of pairs takes as long as all the rest.
        ends: list[tuple[float, float]] = []
        for these in (these for these in named if len(these) > 1):
            ends += [(nan, nan)] * bool(ends) + sorted((point.size, point.price) for point in these)
        if ends:
            style: Look = {"linewidth": 1.4, "zorder": 2, "label": voice.said(label)}
            axes.plot(*zip(*ends, strict=True), color=LIGHT.second, **line, **style)


def _odd(axes: "Axes", points: Mapping[str, _Point], found: Checked, voice: Voice) -> None:
    """A large open diamond round a work whose unit rate does not follow the others'."""
    named = [work for finding in found.findings if finding.code == "odd-unit-rate" for work in finding.works if work in points]
    if named:
        label = voice.said(say("Odd unit rate"))
        style: Look = {"markerfacecolor": "none", "markersize": 13, "markeredgewidth": 1.6, "label": label, "zorder": 4}
        axes.plot([points[work].size for work in named], [points[work].price for work in named], "d", color=LIGHT.third, **style)


def _mended(axes: "Axes", points: Mapping[str, _Point], mended: MendedList, voice: Voice) -> None:
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
    style: Look = {"markerfacecolor": "none", "markersize": 6, "label": voice.said(label)}
    axes.plot([p.size for p, _ in moved], [to for _, to in moved], marker, color=colour, **style)


def _name(axes: "Axes", points: Mapping[str, _Point], found: Checked) -> None:
    """The names of the works that are joined or ringed."""
    named = dict.fromkeys(work for finding in found.findings if finding.code in DRAWN for work in finding.works if work in points)
    for work in list(named)[:MOST_NAMED]:
        at = points[work]
        axes.annotate(short(work), (at.size, at.price), (6, -3), textcoords="offset points", fontsize=8, color=LIGHT.faint)


def counted(found: Checked) -> Said:
    """How often each kind of finding was met, in words."""
    counts = Counter(finding.code for finding in found.findings)
    if not counts:
        return say("Nothing was found.")
    kinds = [say("{name}: {what}", name=COUNTED[code], what=n) for code, n in counts.items()]
    return say("{title}.", title=joined(kinds, "; "))


def _said(rules: RuleSet, ordered: Sequence[Group], found: Checked) -> Said:
    """The picture in words: what the panels hold, and each finding that is drawn, up to twenty."""
    groups = [say("{name}: {what}", name=named_group(rules, alike), what=len(entries)) for alike, entries in ordered[:MOST_GROUPS]]
    told = [finding.detail for finding in found.findings if finding.code in DRAWN][:20]
    changes = [say("{name}: {what}.", name=MENDED[mended.kind][2], what=len(mended.changes)) for mended in found.mended]
    return joined((say("Works by group: {groups}.", groups=joined(groups, "; ")), counted(found), *told, *changes), " ")
