"""Recorded cooks: logs read and mended, what happened found in them, the forecast held against them."""
