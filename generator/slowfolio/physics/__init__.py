"""Pure numerics: humid air, meat, joint, wraps, cook, hold, kinetics. NumPy only; no I/O, no cards."""

# Part of every cache key: change it whenever a result may change.
ENGINE_VERSION = "1.3.0"
