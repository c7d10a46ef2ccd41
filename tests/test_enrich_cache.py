"""The result cache: believed only when whole, of the right kind and unchanged."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from slowfolio.enrich.cache import Cache, content_key


@dataclass(frozen=True)
class Answer:
    finish_h: float
    names: tuple[str, ...]


KEY = content_key("a", 1.5)
ANSWER = Answer(8.25, ("flat", "point"))


@pytest.fixture
def cache(tmp_path: Path) -> Cache:
    return Cache(tmp_path / "kept")


def entry(cache: Cache) -> Path:
    return next(file for file in cache.folder.rglob("*") if file.is_file())


def test_an_entry_reads_back_as_written(cache: Cache) -> None:
    cache.write(KEY, ANSWER)
    assert cache.read(KEY, Answer) == ANSWER


def test_an_absent_entry_is_computed_once(cache: Cache) -> None:
    calls: list[int] = []

    def compute() -> Answer:
        calls.append(1)
        return ANSWER

    assert cache.fetch(KEY, Answer, compute) == cache.fetch(KEY, Answer, compute) == ANSWER
    assert len(calls) == 1


@pytest.mark.parametrize("keep", [0, 10, 64, 80, -1])
def test_a_truncated_entry_is_not_believed(cache: Cache, keep: int) -> None:
    cache.write(KEY, ANSWER)
    file = entry(cache)
    file.write_bytes(file.read_bytes()[:keep])
    assert cache.read(KEY, Answer) is None


def test_a_changed_number_is_not_believed(cache: Cache) -> None:
    cache.write(KEY, ANSWER)
    file = entry(cache)
    file.write_bytes(file.read_bytes().replace(b"8.25", b"9.25"))
    assert cache.read(KEY, Answer) is None


def test_an_entry_of_another_kind_is_not_believed(cache: Cache) -> None:
    cache.write(KEY, {"finish_h": "late", "names": []})
    assert cache.read(KEY, Answer) is None


def test_a_folder_that_cannot_be_written_only_keeps_nothing(tmp_path: Path) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("in the way")
    cache = Cache(blocked / "inside")
    cache.write(KEY, ANSWER)
    assert cache.fetch(KEY, Answer, lambda: ANSWER) == ANSWER


def test_keys_tell_contents_apart_and_ignore_the_order_of_names() -> None:
    assert content_key({"a": 1, "b": 2}) == content_key({"b": 2, "a": 1})
    assert content_key("a", 1.5) != content_key("a", 1.25)
    assert content_key(ANSWER) != content_key(Answer(8.25, ("flat",)))
