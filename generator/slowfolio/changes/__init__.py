"""What changed between two states of a book, said in what the methods compute to."""
