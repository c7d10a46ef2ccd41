"""The At the pit page on a slowed processor: what an update by readings takes, and what the ensemble weighs.

A site of one method is enough: its ensemble has all its members. `python -m benchmarks pit` prints the rows.
"""

import gzip
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from benchmarks.bench_pages import BOOK, SLOW_DOWN, browser, first_visit, served
from benchmarks.report import Row
from slowfolio.book.reading import read_book
from slowfolio.enrich.pipeline import CARRIED_PER_MEMBER, MEMBERS, SEED
from slowfolio.forecast.carry import carry
from slowfolio.site.build import write_site
from slowfolio.site.pages import BuildInfo, build_site_value

METHOD = "foil-boat-humid-hold"
UPDATE_MS, WEIGHT_KB = 50.0, 60.0
READINGS, TURNS = 9, 15

BEGIN = "() => { document.querySelector('#pit-label').form.requestSubmit(); }"
UPDATE = """([count, turns]) => {
  const ensemble = Slowfolio.pit.ensemble(), now = 7.5 * 3600, places = ["thick", "thin", "pit"];
  const readings = Array.from({length: count}, (_, i) => ({
    at_s: (i + 1) * now / (count + 1), place: places[i % 3], temp_c: [40 + 5 * i, 45 + 5 * i, 125][i % 3],
  }));
  const events = [{at_s: 4 * 3600, kind: "stage ended", stage: 0, as_asked: true}];
  return Array.from({length: turns}, () => {
    const from = performance.now();
    Slowfolio.update.forecast(ensemble, readings, events, now);
    return performance.now() - from;
  }).sort((a, b) => a - b);
}"""


def rows() -> Iterator[Row]:
    """Weight of the ensemble compressed; time of an update, the middle and the slowest of several."""
    book = read_book(BOOK).book
    assert book is not None
    method = book.methods[METHOD]
    carried = carry(method, book, members=MEMBERS * CARRIED_PER_MEMBER, seed=SEED)
    alone = replace(book, methods={METHOD: method}, tastings={}, cooks={})
    site = build_site_value(alone, {}, BuildInfo("bench"), carried={METHOD: carried})
    packed = len(gzip.compress(site.files[f"cook-data/{METHOD}.js"].encode(), 6)) / 1000.0
    yield Row(f"ensemble of {carried.members} members, compressed", packed, "kB", WEIGHT_KB)
    with tempfile.TemporaryDirectory() as folder:
        built = write_site(site, Path(folder) / "site")
        with (
            served(built) as address,
            browser() as chromium,
            first_visit(chromium, slowed=SLOW_DOWN) as (page, _),
        ):
            page.goto(f"{address}at-the-pit/{METHOD}.html", wait_until="load")
            page.wait_for_timeout(1500)
            page.evaluate(BEGIN)
            took = page.evaluate(UPDATE, [READINGS, TURNS])
    name = f"update by {READINGS} readings at {SLOW_DOWN}x CPU slow-down"
    yield Row(f"{name}, middle of {TURNS}", took[TURNS // 2], "ms", UPDATE_MS)
    yield Row(f"{name}, slowest (for information: one of them also compiles)", took[-1], "ms")
