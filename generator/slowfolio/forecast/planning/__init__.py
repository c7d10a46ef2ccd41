"""Planning backwards from the serving time: when each act is due, how sure it is, and what it takes.

The planner works on arrays of stage ends, one value for each simulated cook; `from_cards` gets them from
the engine, everything else here would plan any other cook as well. Called by the `plan` command and page.
"""
