"""Reads the published tables in the folder beside this file; sources and tolerances stand in their first lines."""

import csv
from pathlib import Path


def rows(name):
    """Give the rows of a table as dictionaries, numbers as numbers and an empty cell as None."""
    lines = (Path(__file__).parent / "tables" / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    found = [
        {column: _cell(cell) for column, cell in row.items()}
        for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    ]
    assert lines[0].startswith("# ")
    assert found
    return found


def _cell(text):
    if not text:
        return None
    return float(text) if text.lstrip("-")[0].isdigit() else text
