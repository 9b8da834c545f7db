"""stockwright: from a measured rough board to flat, parallel, square stock and a proven packet."""

__all__ = ["__version__"]

__version__ = "0.1.0"
