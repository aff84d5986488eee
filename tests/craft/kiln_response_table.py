"""Writes the table of kiln responses anew: run this file after the kiln tables or the heat balance changed."""

from __future__ import annotations

from pathlib import Path

from enamelwright.craft.kiln_responses import table_text

TABLE = Path(__file__).parents[2] / "src" / "enamelwright" / "reference" / "heat" / "kiln_responses.csv"

if __name__ == "__main__":
    TABLE.write_text(table_text(), encoding="utf-8")
