"""Writes pathChecks.json: the rows on the transmit and observation paths of the project's table of external checks, values untouched.

Run: python3 tests/reference/pathChecks.py PATH/TO/THE/TABLE.json
"""

import json
import pathlib
import sys

IDS = "ME-10 ME-11 ME-12 ME-13 ME-14 LI-01 LI-04 LI-07".split()
FIELDS = ("statement", "source", "formula", "expected", "tolerance", "note")

rows = {row["id"]: row for row in json.load(open(sys.argv[1]))["checks"]}
out = {name: {field: rows[name][field] for field in FIELDS if rows[name].get(field)} for name in IDS}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n")
