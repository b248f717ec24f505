"""Monotone cubics through measured points by scipy, for tests/engine/amplifier/envelopePoints.test.ts.

Run: python3 tests/reference/envelopePoints.py > tests/reference/envelopePoints.json
Points: 21 of a soft knee with gain expansion and phase, 1.5 dB apart, rounded to 0.01 as an instrument prints them.
Interpolation: scipy.interpolate.PchipInterpolator of output amplitude and phase over input amplitude. Its end slope at
the first point differs from ours, so that only what lies beyond the second point is compared.
"""

import json

import numpy as np
from scipy.interpolate import PchipInterpolator

input_dbm = np.round(np.linspace(-20, 10, 21), 2)
r = 10 ** ((input_dbm - 5) / 20)
gain_db = 30 + 20 * np.log10((1 + 0.08 * np.exp(-(((r - 0.4) / 0.2) ** 2))) / (1 + r**4) ** 0.25)
output_dbm = np.round(input_dbm + gain_db, 2)
phase_deg = np.round(14 * r**2 / (0.4 + r**2), 2)
x = 10 ** (input_dbm / 20)
amplitude = PchipInterpolator(x, 10 ** (output_dbm / 20))
phase = PchipInterpolator(x, phase_deg)
at_dbm = np.round(np.linspace(-18.4, 9.9, 60), 3)
at = 10 ** (at_dbm / 20)
print(
    json.dumps(
        {
            "points": [
                {"inputDbm": float(a), "outputDbm": float(b), "phaseDeg": float(c)}
                for a, b, c in zip(input_dbm, output_dbm, phase_deg)
            ],
            "at": [
                {"inputDbm": float(d), "amplitude": float(amplitude(a)), "phaseDeg": float(phase(a))}
                for d, a in zip(at_dbm, at)
            ],
        },
        indent=1,
    )
)
