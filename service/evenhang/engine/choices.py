"""What may be asked of a member: its media and what each needs to be told, grades, extras, and items that a price can cover.

Public words only. Knows no prices: no rate, factor, percentage, cost or hour stands here, nor anything from which they follow.
"""

from typing import Literal

from msgspec import Struct

from evenhang.engine.rules import Cost, Medium, RuleSet
from evenhang.engine.schedules import Listed
from evenhang.engine.sizes import Measure

Needed = Literal["height", "width", "depth", "format", "hours"]

# What a work must say for its measure to be known.
NEEDS: dict[Measure, tuple[Needed, ...]] = {
    "area": ("height", "width"),
    "united": ("height", "width"),
    "longest": ("height", "width"),
    "height": ("height",),
    "volume": ("height", "width", "depth"),
    "hours": ("hours",),
    "piece": (),
    "canvas": ("format",),
}


class MediumChoice(Struct, frozen=True):
    """A medium, and what a work of it must say to be priced."""

    medium: str
    title: str
    needs: tuple[Needed, ...]


class GradeChoice(Struct, frozen=True):
    """A grade by its name and title; its factor is the member's own affair."""

    grade: str
    title: str


class ExtraChoice(Struct, frozen=True):
    """An extra, and the unit in which it is counted."""

    extra: str
    title: str
    counted_in: str


class ItemChoice(Struct, frozen=True):
    """Something charged beside the art that the rules estimate and the public may see named; `is_frame` where it is the frame."""

    item: str
    title: str
    is_frame: bool
    needs: tuple[Needed, ...]


class Choices(Struct, frozen=True):
    """Everything that may be asked of a member, in the order of its rules. `stands_days` is how long its offers stand."""

    title: str
    collective: str
    currency: str
    length_unit: Literal["mm", "cm", "m", "in"]
    locale: str
    stands_days: int
    media: tuple[MediumChoice, ...]
    grades: tuple[GradeChoice, ...]
    extras: tuple[ExtraChoice, ...]
    items: tuple[ItemChoice, ...]


def choices_of(rules: RuleSet) -> Choices:
    """What may be asked under these rules."""
    said = rules.rules
    return Choices(
        title=said.title,
        collective=said.collective,
        currency=said.currency,
        length_unit=said.length_unit,
        locale=said.locale,
        stands_days=said.offers_stand_days,
        media=tuple(MediumChoice(name, medium.title, _needs(medium)) for name, medium in said.media.items()),
        grades=tuple(GradeChoice(name, grade.title) for name, grade in said.grades.items()),
        extras=tuple(ExtraChoice(name, extra.title, extra.unit) for name, extra in said.extras.items()),
        items=tuple(_item(name, cost) for name, cost in said.costs.items() if _is_offered(cost)),
    )


def _needs(medium: Medium) -> tuple[Needed, ...]:
    return ("format",) if isinstance(medium.schedule, Listed) else NEEDS[medium.measure]


def _is_offered(cost: Cost) -> bool:
    """Charged, estimated by the rules, and nameable."""
    return cost.estimate is not None and cost.treatment != "absorbed" and not is_hidden(cost)


def is_hidden(cost: Cost) -> bool:
    """Charged at what it costs, which is not to be shown: a public price with it and one without would show it as their difference."""
    return cost.treatment == "at_cost" and not cost.show_at_cost


def _item(name: str, cost: Cost) -> ItemChoice:
    return ItemChoice(name, cost.title, cost.frame, () if cost.estimate is None else NEEDS[cost.estimate.measure])
