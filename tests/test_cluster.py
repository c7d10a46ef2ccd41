"""Computing on a Dask cluster gives the same results, bit for bit, as computing here."""

from collections.abc import Iterator
from pathlib import Path

import distributed
import msgspec
import pytest
from click.testing import CliRunner

from git_cases import small_book
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.cli import main
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.cluster import NoCluster, cluster_executor
from slowfolio.enrich.pipeline import SEED, Job, compute_result, run_jobs

FEW = 4


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A cluster on this machine: one worker process."""
    with distributed.LocalCluster(
        n_workers=1, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        yield cluster.scheduler_address


def the_book(folder: Path) -> Book:
    book = read_book(small_book(folder)).book
    assert book is not None
    return book


def test_a_cluster_gives_the_same_results_bit_for_bit(address: str, tmp_path: Path) -> None:
    book = the_book(tmp_path)
    job = Job(compute_result, book.methods["foil-tight"], book, FEW, SEED, Cache(tmp_path / "cache"))
    here = list(run_jobs([job], None))
    with cluster_executor(address) as executor:
        there = list(run_jobs([job], executor))
    assert msgspec.json.encode(there) == msgspec.json.encode(here)


def test_simulate_on_a_cluster_prints_the_same_as_here(address: str, tmp_path: Path) -> None:
    root = small_book(tmp_path)
    arguments = ["simulate", "foil-tight", "--json", "--members", str(FEW), "--book", str(root)]
    here = CliRunner().invoke(main, arguments)
    there = CliRunner().invoke(main, [*arguments, "--dask", address])
    assert there.exit_code == 0, there.output
    assert there.output == here.output


def test_an_address_where_nobody_answers_is_told_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("slowfolio.enrich.cluster.PATIENCE", "1 s")
    with pytest.raises(NoCluster, match="no cluster answers"), cluster_executor("tcp://127.0.0.1:9"):
        pass
