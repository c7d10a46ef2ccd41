"""The errors of the planner: what was asked cannot be planned, and what to write instead."""


class PlanInputError(ValueError):
    """Something asked of the planner is wrong or impossible; the message says what to write instead."""


class NoForecastError(Exception):
    """The cook could not be computed, so there is nothing to plan with; the message says why."""
