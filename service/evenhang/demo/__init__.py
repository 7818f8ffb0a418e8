"""The rules of an invented collective, so that the service runs at once. Every name and figure is made up."""

from pathlib import Path

RULES = Path(__file__).parent / "rules"
