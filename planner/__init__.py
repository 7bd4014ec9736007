"""Plan a fruit mead, follow it while it ferments, and adjust it before it is bottled."""

__version__ = "0.1.0"
