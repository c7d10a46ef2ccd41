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
from slowfolio.enrich.pipeline import SEED, Job, compute_result, enrich_book, run_jobs

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


def test_a_site_built_on_a_cluster_is_the_one_built_here_byte_for_byte(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One method without a hold and two cooks of it, so that building twice stays cheap."""
    root = small_book(tmp_path)
    for name in ("butcher-paper", "overnight-low"):
        (root / "cards" / "brisket" / f"{name}.yaml").unlink()
    assert enrich_book.__kwdefaults__ is not None
    monkeypatch.setitem(enrich_book.__kwdefaults__, "members", 2)
    here = built(root, tmp_path / "here", monkeypatch)
    there = built(root, tmp_path / "there", monkeypatch, "--dask", address)
    assert here.keys() == there.keys()
    assert [name for name in here if here[name] != there[name]] == []
    assert any(name.endswith("methods/foil-tight.html") for name in here)


def built(root: Path, folder: Path, monkeypatch: pytest.MonkeyPatch, *more: str) -> dict[str, bytes]:
    """The files of a site built with a cache of its own, by name."""
    monkeypatch.setenv("SLOWFOLIO_CACHE", str(folder / "cache"))
    out = folder / "site"
    result = CliRunner().invoke(main, ["build", str(root), "--out", str(out), *more])
    assert result.exit_code == 0, result.output
    return {str(path.relative_to(out)): path.read_bytes() for path in out.rglob("*") if path.is_file()}
