"""New cards: from a few choices to a complete, commented card that has passed the check and the rules."""
