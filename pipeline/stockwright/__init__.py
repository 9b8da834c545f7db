"""stockwright: from a measured rough board to a flat, parallel, square piece and a proven packet."""

__all__ = ["__version__"]

__version__ = "0.1.0"
