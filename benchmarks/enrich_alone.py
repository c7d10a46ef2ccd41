"""`python -m benchmarks.enrich_alone BOOK MEMBERS`: compute a book cold and print what that took, as JSON.

A process of its own, so that the memory it holds is the enrichment's and nothing else's.
"""

import json
import resource
import sys
import tempfile
import time
from pathlib import Path

from slowfolio.book.reading import read_book
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.pipeline import enrich_book


def main(root: str, members: str) -> None:
    """Enrich on all cores and print seconds and megabytes of this process and of its largest worker."""
    book = read_book(Path(root)).book
    assert book is not None
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        found = enrich_book(book, Cache(Path(folder)), members=int(members))
        wall_s = time.perf_counter() - start
    own, workers = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    said = {
        "methods": len(found.results),
        "problems": len(found.problems),
        "wall_s": wall_s,
        "processor_s": sum(each.ru_utime + each.ru_stime for each in (own, workers)),
        "own_mb": own.ru_maxrss / 1024.0,
        "worker_mb": workers.ru_maxrss / 1024.0,
    }
    print(json.dumps(said))


if __name__ == "__main__":
    main(*sys.argv[1:])
