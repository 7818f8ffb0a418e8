"""What a running app answers from, in one place.

Knows no request. `book` may be swapped for another at any time, in one assignment: every request reads it once, at its beginning.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

from evenhang.api.access import Keyring
from evenhang.api.buckets import Rates
from evenhang.api.meters import Meters
from evenhang.rulebook.book import RuleBook
from evenhang.rulebook.shelf import Shelf
from evenhang.sealing.keys import Seals


@dataclass
class House:
    """The rules and the shelf they come from, the clock, the keys and how often each may ask, the keys of offers, and the counters.

    `draining` is set once it is about to stop: it is not ready any more.
    """

    book: RuleBook
    today: Callable[[], date] = date.today
    keys: Keyring | None = None
    rates: Rates | None = None
    draining: bool = False
    seals: Seals = field(default_factory=Seals)
    shelf: Shelf | None = None
    meters: Meters = field(default_factory=Meters)
