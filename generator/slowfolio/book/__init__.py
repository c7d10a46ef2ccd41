"""Reading and checking the book of cards: YAML with line numbers, schemas, cross-checks, findings."""
