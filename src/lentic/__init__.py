"""lentic: the balance of one keeper's freshwater turtle tank, learned from ordinary notes."""

__version__ = "0.1.0"


class LenticError(Exception):
    """Base of every error this package raises on purpose; the message says what, where and what to do."""
