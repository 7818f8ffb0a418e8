"""A work and its parts, as a caller describes them.

Knows nothing of rules: whether a medium or a grade exists is asked where a work meets its rules.
"""

from typing import Annotated

from msgspec import Meta, Struct

from evenhang.engine.money import Amount, GivenMoney
from evenhang.engine.refusals import Contradictory
from evenhang.engine.saying import say
from evenhang.engine.sizes import Shape, Size

Name = Annotated[str, Meta(pattern=r"^[a-z0-9][a-z0-9-]{0,62}$(?!\n)", max_length=63, examples=["oil"])]
Title = Annotated[str, Meta(max_length=200)]


class ChosenExtra(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """An extra of the member's, and how many of it."""

    name: Name
    quantity: Annotated[int, Meta(ge=1, le=1000)] = 1


class WorkCost(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One of the work's own costs; without an amount the member's rules estimate it."""

    name: Name
    amount: GivenMoney | None = None


class Work(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One piece to be priced. Its size is a `size`, a list of `panels`, or a named `format`."""

    medium: Name
    title: Title | None = None
    size: Size | None = None
    panels: Annotated[tuple[Size, ...], Meta(min_length=1, max_length=50)] | None = None
    format: Name | None = None
    shape: Shape = "rectangle"
    grade: Name | None = None
    extras: Annotated[tuple[ChosenExtra, ...], Meta(max_length=50)] = ()
    costs: Annotated[tuple[WorkCost, ...], Meta(max_length=50)] = ()
    hours: Amount | None = None


def check_said_once(work: Work) -> None:
    """Contradictory where a work states its size twice, or names an extra or a cost twice."""
    sizes = [field for field in ("size", "panels", "format") if getattr(work, field) is not None]
    if len(sizes) > 1:
        detail = say("The size is said twice: {fields}.", fields=", ".join(sizes))
        raise Contradictory(detail, f"/{sizes[1]}", say("Keep one of them."))
    for field, names in (("extras", [extra.name for extra in work.extras]), ("costs", [cost.name for cost in work.costs])):
        for i, name in enumerate(names):
            if name in names[:i]:
                detail = say('"{name}" stands twice in {field}.', name=name, field=field)
                raise Contradictory(detail, f"/{field}/{i}/name", say("Say it once."))
