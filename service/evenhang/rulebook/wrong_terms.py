"""What the terms of works made to order, of sets and of editions cannot say.

Knows resolved rules, no files and no layers.
"""

from collections.abc import Iterator

from evenhang.engine.money import HUNDRED, ZERO, figure
from evenhang.engine.rules import BespokeTerms, Rules


def wrong_terms(rules: Rules) -> Iterator[tuple[str, str]]:
    """Key and reason of every term that no order, set or edition could be reckoned by."""
    if rules.bespoke is not None:
        yield from _wrong_stages(rules.bespoke)


def _wrong_stages(terms: BespokeTerms) -> Iterator[tuple[str, str]]:
    whole = sum((stage.percent for stage in terms.stages), ZERO)
    if whole != HUNDRED:
        yield "bespoke.stages", f"the stages of payment sum to {figure(whole)} %, not to 100 %"
    names = [stage.name for stage in terms.stages]
    for i, stage in enumerate(terms.stages):
        at = f"bespoke.stages[{i}]"
        if stage.name in names[:i]:
            yield f"{at}.name", f'a stage "{stage.name}" stands further up already'
        if stage.cancelled_percent > HUNDRED:
            yield f"{at}.cancelled_percent", "more than the whole price would be due"
        elif i and stage.cancelled_percent < terms.stages[i - 1].cancelled_percent:
            yield f"{at}.cancelled_percent", "a later cancellation would cost less than an earlier one"
