"""Pure numerics: humid air, meat, joint, wraps, cook, hold, kinetics. NumPy only; no I/O, no cards."""
