"""Writes toneChecks.json: the rows on two tones of the project's table of external checks, values untouched.

Run: python3 tests/reference/toneChecks.py PATH/TO/THE/TABLE.json
"""

import json
import pathlib
import sys

IDS = "TT-01 TT-02 TT-03 TT-04 TT-05 TT-06 TT-09 TT-12 TT-13".split()
FIELDS = ("statement", "source", "formula", "expected", "tolerance", "note")

rows = {row["id"]: row for row in json.load(open(sys.argv[1]))["checks"]}
out = {name: {field: rows[name][field] for field in FIELDS if rows[name].get(field)} for name in IDS}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n")
