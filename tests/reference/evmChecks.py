"""Writes evmChecks.json: rows of the project's table of external checks that concern EVM, values untouched.

The table holds closed forms and handbook rules computed with numpy before the engine existed; every row names its source.

Run: python3 tests/reference/evmChecks.py PATH/TO/THE/CHECKS.json
"""

import json
import pathlib
import sys

IDS = "ME-06 ME-11 ME-13 ME-14 ME-15".split()
FIELDS = ("statement", "source", "formula", "expected", "tolerance", "note")

rows = {row["id"]: row for row in json.load(open(sys.argv[1]))["checks"]}
out = {i: {field: rows[i][field] for field in FIELDS if field in rows[i]} for i in IDS}
path = pathlib.Path(__file__).parent / "evmChecks.json"
path.write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n")
