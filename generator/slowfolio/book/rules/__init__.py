"""What cards must not say at once: one room for each kind of card, each a list of rules that yield faults.

Rules see decoded cards only. What needs physics (a target above the local boiling point, a humidity that a
vapour setting cannot reach) is left to the computation.
"""
