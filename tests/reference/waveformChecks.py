"""Writes waveformChecks.json: rows of the project's table of external checks that concern waveforms, values untouched.

The table holds closed forms, handbook rules and simulations made with numpy before the engine existed; every row names
its source. numerologyRows.json holds the rows of the standards' numerology tables from the table of limits, untouched.

Run: python3 tests/reference/waveformChecks.py PATH/TO/THE/CHECKS.json PATH/TO/THE/LIMITS.json
"""

import json
import pathlib
import sys

IDS = "PR-01 PR-02 PR-03 PR-03b PR-04 PR-05 PR-08 TT-13 OF-01".split()
FIELDS = ("statement", "source", "formula", "expected", "tolerance", "verified", "note")
here = pathlib.Path(__file__).parent


def write(name, content):
    (here / name).write_text(json.dumps(content, indent=1, ensure_ascii=False) + "\n")


checks = json.load(open(sys.argv[1]))
rows = {row["id"]: row for row in checks["checks"]}
write(
    "waveformChecks.json",
    {name: {field: rows[name][field] for field in FIELDS if rows[name].get(field)} for name in IDS},
)

limits = json.load(open(sys.argv[2]))
tables = {"lte": limits["numerology_lte_dl_15kHz"], "nr": limits["numerology_nr_fr1"]}
write("numerologyRows.json", {name: {k: v for k, v in table.items() if k != "src"} for name, table in tables.items()})
