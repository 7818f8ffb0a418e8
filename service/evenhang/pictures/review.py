"""A review as a picture: every work's old and new price.

Knows the rows of the review. Few works are listed one below the other; many become points above the line of what stays.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from evenhang.engine.review import ReviewRow
from evenhang.pictures.canvas import LIGHT, Drawing, by_ratio, plain_numbers, short

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH, HEAD, ROW, FOOT = 680, 84, 20, 44
MOST_LISTED = 40  # works one below the other
CLOUD = 420


class _Move(NamedTuple):
    id: str
    old: float
    new: float
    held: bool
    said: str


def draw_review(rows: Sequence[ReviewRow]) -> Drawing:
    """Old and new price of every work that has both, by old price; the others are counted."""
    moves = sorted((move for row in rows if (move := _move(row))), key=lambda move: (move.old, move.id))
    currency = next((row.old_price.currency for row in rows if row.old_price), "")
    listed = len(moves) <= MOST_LISTED
    body = max(60, ROW * len(moves)) if listed else CLOUD
    height = HEAD + body + FOOT
    title = "The price list, old and new"
    raised = sum(move.new > move.old for move in moves)
    without = len(rows) - len(moves)
    counted = f"Works: {len(moves)}. Raised: {raised}. Held above the rules: {sum(move.held for move in moves)}."
    counted += f" Sold or without a price, not shown: {without}." if without else ""

    def paint(figure: "Figure") -> None:
        figure.text(0.02, 1 - 20 / height, title, fontsize=14, va="center")
        figure.text(0.02, 1 - 42 / height, counted, fontsize=9.5, color=LIGHT.faint, va="center")
        axes = figure.add_axes((130 / WIDTH, FOOT / height, (WIDTH - 160) / WIDTH, body / height))
        (_list if listed else _cloud)(axes, moves)
        axes.set_xlabel(f"Price, {currency}" if listed else f"Old price, {currency}", fontsize=9.5)
        axes.tick_params(labelsize=9, length=3)
        plain_numbers(axes, y=not listed)
        if moves:
            axes.legend(loc="lower left", bbox_to_anchor=(0, 1), ncols=3, fontsize=9, borderaxespad=0.2)

    said = " ".join((counted, *(move.said for move in moves[:MOST_LISTED])))
    return Drawing(title, said, WIDTH, height, paint)


def _move(row: ReviewRow) -> _Move | None:
    if row.old_price is None or row.new_price is None:
        return None
    said = f"{row.id}: {row.old_price.amount} to {row.new_price.amount}{' (held)' if row.held else ''}."
    return _Move(row.id, float(row.old_price.amount), float(row.new_price.amount), row.held, said)


def _list(axes: "Axes", moves: list[_Move]) -> None:
    """A line from the open ring of the old price to the disc of the new one; a held price is a square."""
    at = range(len(moves))
    axes.hlines(at, [move.old for move in moves], [move.new for move in moves], color=LIGHT.faint, linewidth=1.4)
    for held, marker, label in ((False, "o", "New price"), (True, "s", "Held above the rules")):
        points = [(move.new, i) for i, move in enumerate(moves) if move.held is held]
        if points:
            axes.plot(*zip(*points, strict=True), marker, color=LIGHT.second if held else LIGHT.first, label=label, zorder=3)
    axes.plot(
        [move.old for move in moves], at, "o", markerfacecolor=LIGHT.paper, color=LIGHT.ink, markersize=8, label="Old price", zorder=2
    )
    axes.set_yticks(at, [short(move.id) for move in moves])
    axes.set_ylim(max(1, len(moves)) - 0.5, -0.5)
    axes.set_xlim(left=0)
    axes.grid(visible=False, axis="y")


def _cloud(axes: "Axes", moves: list[_Move]) -> None:
    """Old price against new one, both on logarithmic scales; on the dashed line nothing changes."""
    by_ratio(axes, "x", [move.old for move in moves])
    by_ratio(axes, "y", [move.new for move in moves])
    ends = [max(move.old for move in moves), min(move.old for move in moves)]
    axes.plot(ends, ends, linestyle=(0, (4, 3)), color=LIGHT.ink, linewidth=1, label="Unchanged")
    for held, marker, label in ((False, "o", "New price"), (True, "s", "Held above the rules")):
        points = [(move.old, move.new) for move in moves if move.held is held]
        if points:
            axes.plot(*zip(*points, strict=True), marker, color=LIGHT.second if held else LIGHT.first, markersize=4, label=label)
    axes.set_ylabel("New price", fontsize=9.5)
