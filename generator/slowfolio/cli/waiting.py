"""A bar on the terminal for work that takes more than a moment; silent in pipes and for quick work."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

PATIENCE_S = 2.0
CELLS = 24


@contextmanager
def progress_bar(
    stream: TextIO | None = None, *, patience_s: float = PATIENCE_S
) -> Iterator[Callable[[float], None]]:
    """Give a function that is told the share done; it draws only on a terminal and after `patience_s`."""
    out = sys.stderr if stream is None else stream
    start = time.monotonic()
    drawn = False

    def tell(share: float) -> None:
        nonlocal drawn
        if not out.isatty() or time.monotonic() - start < patience_s:
            return
        full = round(CELLS * min(max(share, 0.0), 1.0))
        out.write(f"\rcooking [{'#' * full}{'.' * (CELLS - full)}] {share:4.0%}")
        out.flush()
        drawn = True

    try:
        yield tell
    finally:
        if drawn:
            out.write("\r" + " " * (CELLS + 20) + "\r")
            out.flush()
