"""What a running app answers from, in one place.

Knows no request. `book` may be swapped for another at any time, in one assignment: every request reads it once, at its beginning.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from evenhang.api.access import Keyring
from evenhang.rulebook.book import RuleBook


@dataclass
class House:
    """The rules, the clock and the keys. `draining` is set where the service is about to stop: from then on it is not ready."""

    book: RuleBook
    today: Callable[[], date] = date.today
    keys: Keyring | None = None
    draining: bool = False
