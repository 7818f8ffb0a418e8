"""The rules and works of an invented collective, so that the service runs at once. Every name and figure is made up."""

from pathlib import Path

RULES = Path(__file__).parent / "rules"
CATALOGUE = Path(__file__).parent / "catalogue.json"  # {member: [works]}, as the check of a catalogue takes them
PLANTED = Path(__file__).parent / "PLANTED.md"  # what is wrong in it, on purpose
OFFER_KEY = Path(__file__).parent / "offer_key"  # printed in RFC 8037, appendix A.1: what it seals proves nothing
