"""Ensembles and schedules: turns cards into the inputs of the cook engine and runs them."""
