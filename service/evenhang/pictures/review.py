"""A review as a picture: every work's old and new price.

Knows the rows of the review. Few works are listed one below the other; many become points above the line of what stays.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from evenhang.engine.review import ReviewRow
from evenhang.engine.saying import Said, joined, say
from evenhang.pictures.canvas import LIGHT, Drawing, Look, by_ratio, key, marks_of, plain_numbers, short
from evenhang.pictures.voice import Voice

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEAD, ROW, FOOT = 680, 84, 20, 44
MOST_LISTED = 40  # works one below the other
CLOUD = 420
NEW, OLD, HELD = say("New price"), say("Old price"), say("Held above the rules")
KINDS = ((False, "o", NEW), (True, "s", HELD))


class _Move(NamedTuple):
    id: str
    old: float
    new: float
    held: bool
    said: Said


def draw_review(rows: Sequence[ReviewRow], voice: Voice) -> Drawing:
    """Old and new price of every work that has both, by old price; the others are counted."""
    moves = sorted((move for row in rows if (move := _move(row))), key=lambda move: (move.old, move.id))
    currency = next((row.old_price.currency for row in rows if row.old_price), "")
    listed = len(moves) <= MOST_LISTED
    body = max(60, ROW * len(moves)) if listed else CLOUD
    height = HEAD + body + FOOT
    title = voice.said(say("The price list, old and new"))
    counted = _counted(moves, len(rows) - len(moves))

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 42 / height, voice.said(counted), fontsize=9.5, color=LIGHT.faint, va="center")
        axes = figure.add_axes((130 / WIDTH, FOOT / height, (WIDTH - 160) / WIDTH, body / height))
        (_list if listed else _cloud)(axes, moves, voice)
        across = say("Price, {currency}", currency=currency) if listed else say("Old price, {currency}", currency=currency)
        axes.set_xlabel(voice.said(across), fontsize=9.5)
        if not listed:
            axes.set_ylabel(voice.said(say("New price, {currency}", currency=currency)), fontsize=9.5)
        axes.tick_params(labelsize=9, length=3)
        plain_numbers(axes, voice, y=not listed)
        if moves:
            key(figure, marks_of(figure), 130, HEAD - 16)

    said = voice.said(joined((counted, *(move.said for move in moves[:MOST_LISTED])), " "))
    return Drawing(title, said, WIDTH, height, paint)


def _counted(moves: list[_Move], without: int) -> Said:
    """How many works there are, how many rise, how many stay, and how many are not shown."""
    parts = [
        say("Works: {n}.", n=len(moves)),
        say("Raised: {n}.", n=sum(move.new > move.old for move in moves)),
        say("Held above the rules: {n}.", n=sum(move.held for move in moves)),
    ]
    if without:
        parts.append(say("Sold or without a price, not shown: {n}.", n=without))
    return joined(parts, " ")


def _move(row: ReviewRow) -> _Move | None:
    if row.old_price is None or row.new_price is None:
        return None
    named = {"work": row.id, "old": row.old_price, "new": row.new_price}
    said = say("{work}: {old} to {new} (held).", **named) if row.held else say("{work}: {old} to {new}.", **named)
    return _Move(row.id, float(row.old_price.amount), float(row.new_price.amount), row.held, said)


def _list(axes: "Axes", moves: list[_Move], voice: Voice) -> None:
    """A line from the open ring of the old price to the disc of the new one; a held price is a square."""
    at = range(len(moves))
    axes.hlines(at, [move.old for move in moves], [move.new for move in moves], color=LIGHT.faint, linewidth=1.4)
    for held, marker, label in KINDS:
        points = [(move.new, i) for i, move in enumerate(moves) if move.held is held]
        if points:
            axes.plot(*zip(*points, strict=True), marker, color=LIGHT.second if held else LIGHT.first, label=voice.said(label), zorder=3)
    style: Look = {"markerfacecolor": LIGHT.paper, "color": LIGHT.ink, "markersize": 8, "zorder": 2}
    axes.plot([move.old for move in moves], at, "o", label=voice.said(OLD), **style)
    axes.set_yticks(at, [short(move.id) for move in moves])
    axes.set_ylim(max(1, len(moves)) - 0.5, -0.5)
    axes.set_xlim(left=0)
    axes.grid(visible=False, axis="y")


def _cloud(axes: "Axes", moves: list[_Move], voice: Voice) -> None:
    """Old price against new one, both on logarithmic scales; on the dashed line nothing changes."""
    by_ratio(axes, "x", [move.old for move in moves])
    by_ratio(axes, "y", [move.new for move in moves])
    ends = [max(move.old for move in moves), min(move.old for move in moves)]
    axes.plot(ends, ends, linestyle=(0, (4, 3)), color=LIGHT.ink, linewidth=1, label=voice.said(say("Unchanged")))
    for held, marker, label in KINDS:
        points = [(move.old, move.new) for move in moves if move.held is held]
        if points:
            axes.plot(
                *zip(*points, strict=True), marker, color=LIGHT.second if held else LIGHT.first, markersize=4, label=voice.said(label)
            )
