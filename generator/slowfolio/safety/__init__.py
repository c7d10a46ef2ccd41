"""Authorities' limits, lethality, growth and cooling."""
