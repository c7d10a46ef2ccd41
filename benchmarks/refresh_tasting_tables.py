"""Write the tables of powers and panel sizes anew: `python -m benchmarks.refresh_tasting_tables`.

Takes some minutes, most of them for exact rankings of four products. Run it when a function of
`slowfolio.tasting.plan` or what it rests on changes a power.
"""

from dataclasses import asdict

import msgspec

from slowfolio.tasting.tables import FILE, computed_row, rows_asked


def main() -> None:
    """Compute every row and write the file whole."""
    rows = {asked.key: asdict(computed_row(asked)) for asked in rows_asked()}
    lines = (
        f"{msgspec.json.encode(key).decode()}:{msgspec.json.encode(row).decode()}"
        for key, row in rows.items()
    )
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", "utf-8")


if __name__ == "__main__":
    main()
