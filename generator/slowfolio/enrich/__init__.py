"""From a card and what it refers to, to computed results with spread and provenance, cached by content."""
