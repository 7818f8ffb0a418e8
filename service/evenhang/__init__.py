"""One defensible price for every work, the same wherever it is asked."""

__version__ = "1.0.0"
