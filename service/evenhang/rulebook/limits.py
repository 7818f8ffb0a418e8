"""How much a rule folder, one file of it, or a what-if layer may hold.

Knows nothing of what the rules mean.
"""

from typing import Any

MOST_FILES = 2_000
MOST_FILE_BYTES = 1_000_000
MOST_BYTES = 20_000_000  # of all files together
MOST_MEMBERS = 1_000
MOST_DEPTH = 12  # tables in tables; the deepest rule there is needs eight
MOST_VALUES = 20_000  # in one file
MOST_ENTRIES = 500  # in one table by name: media, outlets, formats ...
MOST_TRIED = 500  # values in a what-if layer of a request
MOST_KEY = 400  # characters of a key that are told
MOST_FAULTS = 1_000  # told at once; a folder with more is no rule folder


def overgrown(value: Any, most_values: int = MOST_VALUES) -> str | None:
    """Why decoded TOML or JSON is too deep or too large to be a layer; None if it is not. Never recurses."""
    seen, row = 0, [value]
    for _ in range(MOST_DEPTH + 1):
        if not row:
            return None
        inner = [part for part in row if isinstance(part, (dict, list))]
        row = [below for part in inner for below in (part.values() if isinstance(part, dict) else part)]
        seen += len(row)
        if seen > most_values:
            return f"more than {most_values} values"
    return f"nested more than {MOST_DEPTH} deep" if row else None
