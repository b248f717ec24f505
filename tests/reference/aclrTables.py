"""Writes aclrTables.json: the ACLR and CACLR tables of the project's list of published limits, and the external checks
of Gaussian waveforms behind a soft limiter and a hard one, values untouched. Every row names its source and how it was
read.

Run: python3 tests/reference/aclrTables.py PATH/TO/THE/LIMITS.json PATH/TO/THE/CHECKS.json
"""

import json
import pathlib
import sys

FIELDS = ("statement", "source", "formula", "expected", "tolerance", "note")
limits = json.load(open(sys.argv[1]))
rows = {row["id"]: row for row in json.load(open(sys.argv[2]))["checks"]}
out = {"aclr": limits["aclr"], "sources": limits["sources"]}
for name in ("GA-06", "GA-14", "GA-15"):
    out[name] = {field: rows[name][field] for field in FIELDS if rows[name].get(field)}
pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n")
