"""Pages out of templates (Jinja): every value is escaped, and a name that nobody gave is a fault.

Knows the folder of templates; knows no page.
"""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment

FOLDER = Path(__file__).parents[1] / "pages"


@cache
def _templates() -> "Environment":
    """Read when the first page is asked for: who only computes prices needs no templates."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(FOLDER), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, auto_reload=False
    )


def render(name: str, **values: object) -> bytes:
    """The page `name` with these values, in UTF-8."""
    return _templates().get_template(name).render(**values).encode()
