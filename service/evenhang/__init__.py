"""One defensible price for every work, the same wherever it is asked."""

__version__ = "0.1.0"
