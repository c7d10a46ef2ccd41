"""Charts as functions from values to SVG text: no state, no files, colours by CSS variables only."""
