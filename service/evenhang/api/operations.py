"""The table of operations: each row once, from its own file."""

from evenhang.api.checks import CHECKS
from evenhang.api.ladders import LADDERS
from evenhang.api.members import MEMBERS
from evenhang.api.positions import POSITIONS
from evenhang.api.quotes import QUOTES
from evenhang.api.rates import RATES
from evenhang.api.settlements import SETTLEMENTS
from evenhang.api.targets import TARGETS
from evenhang.api.yields import YIELDS

OPERATIONS = (
    MEMBERS,
    QUOTES,
    SETTLEMENTS,
    TARGETS,
    YIELDS,
    CHECKS,
    LADDERS,
    RATES,
    POSITIONS,
)
