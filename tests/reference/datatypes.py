"""Writes datatypes.json: records as numpy writes them, in every SigMF datatype and byte order, and as text.

Samples come from the congruential generator of lcg.ts. Fixed point is numpy's own rounding to integers of the stated
full scale 2^(bits-1); unsigned types are offset binary. The values are what numpy reads back from the bytes.

Run: python3 tests/reference/datatypes.py   (numpy 2.4)
"""

import base64
import io
import json
import pathlib

import numpy as np

from numeric import lcg


def record(name):
    kind, bits = name[1], int(name[2:].split("_")[0])
    order = {"l": "<", "b": ">"}[name.split("_")[1][0]] if "_" in name else "|"
    dtype = np.dtype(f"{order}{kind}{bits // 8}")
    pairs = lcg(24)
    if kind == "f":
        stored = (3 * pairs).astype(dtype)
        values = stored.astype(np.float64)
    else:
        full = 2.0 ** (bits - 1)
        offset = full if kind == "u" else 0.0
        # The first two components stand at the ends of the converter's range.
        codes = np.clip(np.rint(2 * pairs * full), -full, full - 1)
        codes[:2] = [-full, full - 1]
        stored = (codes + offset).astype(dtype)
        values = (stored.astype(np.float64) - offset) / full
    return {
        "name": name,
        "base64": base64.b64encode(stored.tobytes()).decode(),
        "re": values[0::2].tolist(),
        "im": values[1::2].tolist(),
    }


def text_record():
    rate = 30.72e6
    pairs = lcg(24).reshape(-1, 2)
    table = np.column_stack([np.arange(12) / rate, pairs])
    out = io.StringIO()
    np.savetxt(out, table, delimiter=",", header="sample_rate 30.72e6")
    return {"text": out.getvalue(), "rateHz": rate, "re": pairs[:, 0].tolist(), "im": pairs[:, 1].tolist()}


NAMES = ["ci8", "cu8"] + [
    f"c{kind}{bits}_{order}"
    for kind, sizes in (("i", (16, 32)), ("u", (16, 32)), ("f", (32, 64)))
    for bits in sizes
    for order in ("le", "be")
]

if __name__ == "__main__":
    out = pathlib.Path(__file__).with_suffix(".json")
    out.write_text(json.dumps({"records": [record(name) for name in NAMES], "text": text_record()}) + "\n")
