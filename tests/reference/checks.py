"""Writes checks.json: the rows of the project's table of external checks that the tests use, values untouched.

The table holds closed forms, handbook rules and published worked examples, each computed independently with
numpy/scipy; every row names its source. DI-02 and DI-04 are cut to the figures that the tests read.

Run: python3 tests/reference/checks.py PATH/TO/THE/TABLE.json
"""

import json
import pathlib
import sys

IDS = (
    "TT-02 GA-03 GA-04 GA-08 GA-09 GA-13 PR-08 DI-01 DI-02 DI-03 DI-04 DI-06 OP-01 OP-03 "
    "ME-01 ME-02 OF-02 LI-01 LI-09 DX-03 DX-04 DX-05 DX-06 PA-09 PA-10 "
    "PW-01 PW-02 PW-03 PW-04 PW-05 PW-06 PW-07 PW-08 PW-09 PW-10"
).split()
FIELDS = ("statement", "source", "formula", "inputs", "expected", "tolerance", "note")
READ = ("ACLR1_L", "ACLR1_U", "NMSE_dB")

table = json.load(open(sys.argv[1]))
rows = {row["id"]: row for row in table["checks"]}
out = {"meta": {"origin": table["meta"]["about"]}}
for name in IDS:
    out[name] = {field: rows[name][field] for field in FIELDS if rows[name].get(field)}


def cut(reading):
    return {key: reading[key] for key in READ}


for level in [*out["DI-02"]["expected"].values(), *out["DI-04"]["expected"].values()]:
    level["before"] = cut(level["before"])
    level["after"] = {structure: cut(reading) for structure, reading in level["after"].items()}

pathlib.Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1, ensure_ascii=False) + "\n")
