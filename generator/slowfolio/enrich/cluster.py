"""Computing on a Dask cluster that is there already: an executor like any other, so results are the same.

Needs the optional extra `dask`. Jobs carry their numbers and seeds with them, so it does not matter where one
runs. Called by the `build` and `simulate` commands.
"""

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from slowfolio.enrich.cache import Cache, default_folder
from slowfolio.enrich.opening import open_book
from slowfolio.enrich.pipeline import enrich_book

PATIENCE = "10 s"


class NoCluster(Exception):
    """There is no cluster to compute on; the message says what to do."""


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """The workers of the cluster whose scheduler is at `address`. Raises NoCluster."""
    if find_spec("distributed") is None:
        raise NoCluster('computing on a cluster needs an extra: pip install "slowfolio[dask]"')
    distributed: Any = import_module("distributed")
    try:
        client = distributed.Client(address, timeout=PATIENCE)
    except (OSError, ValueError) as error:
        raise NoCluster(f"no cluster answers at {address}; write it as tcp://host:8786") from error
    with client:
        executor: Executor = client.get_executor()
        yield executor


def enrich_on(address: str, book_path: Path) -> None:
    """Compute a book on the cluster where the cache has it not. Raises NoCluster, BookNotReady."""
    cache = Cache(default_folder())
    book = open_book(book_path, cache)
    with cluster_executor(address) as executor:
        enrich_book(book, cache, executor=executor)
