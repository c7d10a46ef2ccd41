"""Slowfolio: a book of long, slow smoke-cooking methods that is checked, computed and built into a site."""

__version__ = "0.1.0"
