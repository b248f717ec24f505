"""Independent fit of the record pairs in tests/captures, with numpy and scipy alone.

For each pair: delay by minimising the residual of a static fit, whose columns hold x|x|^(k-1), their conjugates and 1,
so that image and leak are found in the same least-squares step; then structures fitted to the first half and judged on
the second. Prints identifiedPairs.json:  python3 identifiedPairs.py > identifiedPairs.json
"""
import json
import pathlib

import numpy as np
from scipy.optimize import minimize_scalar

CAPTURES = pathlib.Path(__file__).parent.parent / "captures"
RATE = 122.88e6
GUARD = 16


def read(name):
    raw = np.fromfile(CAPTURES / f"{name}.sigmf-data", "<i2").astype(float) / 32768
    return raw[::2] + 1j * raw[1::2]


def delayed(y, d):
    f = np.fft.fftfreq(len(y))
    return np.fft.ifft(np.fft.fft(y) * np.exp(-2j * np.pi * f * d))


def columns(x, orders, depth, lead=0, cross=(), cross_depth=3):
    made = [np.roll(x * abs(x) ** (k - 1), l) for l in range(-lead, depth) for k in orders]
    made += [
        np.roll(x * np.roll(abs(x), m) ** (k - 1), l)
        for l in range(min(depth, cross_depth))
        for m in (1, -1)
        for k in cross
    ]
    return np.array(made).T


def solve(a, y):
    norm = np.linalg.norm(a, axis=0)
    return np.linalg.lstsq(a / norm, y, rcond=None)[0] / norm


def db(ratio):
    return float(10 * np.log10(ratio))


def power(x):
    return np.mean(abs(x) ** 2)


def aligned(x, y):
    """Delay, and the observation with it taken out, its leak and image too."""
    r = np.fft.ifft(np.fft.fft(y) * np.fft.fft(x).conj())
    whole = int(np.argmax(abs(r)))
    whole -= len(x) if whole > len(x) / 2 else 0
    f = columns(x, (1, 3, 5, 7, 9), 1)
    a = np.hstack([f, f.conj(), np.ones((len(x), 1))])

    def left(fraction):
        z = delayed(y, -whole - fraction)
        return power(z - a @ solve(a, z))

    found = minimize_scalar(left, bounds=(-0.6, 0.6), method="bounded", options={"xatol": 1e-9})
    delay = whole + found.x
    z = delayed(y, -delay)
    c = solve(a, z)
    model = f @ c[:5]
    # z = model + image conj(model) + leak: the share that explains the conjugate part best.
    image = np.vdot(model.conj(), f.conj() @ c[5:10]) / np.vdot(model, model).real
    return delay, z - image * model.conj() - c[10], db(abs(image) ** 2), db(abs(c[10]) ** 2 / power(model)), z


def judged(x, clean, a):
    n = len(x)
    train, fresh = slice(0, n // 2 - GUARD), slice(n // 2 + GUARD, n - GUARD)
    model = a @ solve(a[train], clean[train])
    return db(power((clean - model)[fresh]) / power(model[fresh]))


STRUCTURES = {
    "static, odd to 9": dict(orders=(1, 3, 5, 7, 9), depth=1),
    "memory 9x5, odd": dict(orders=(1, 3, 5, 7, 9), depth=5),
    "memory 9x3, one ahead, all": dict(orders=range(1, 10), depth=3, lead=1),
    "cross 9x2, one ahead, all": dict(orders=range(1, 10), depth=2, lead=1, cross=(2, 3, 4, 5)),
}

out = {}
for name in ("harbour-link-10mhz", "harbour-link-10mhz-second", "ridge-relay-20mhz"):
    x, y = read(f"{name}.drive"), read(f"{name}.observed")
    delay, clean, image, leak, raw = aligned(x, y)
    out[name] = {
        "delaySamples": delay,
        "imageDb": image,
        "carrierLeakDbc": leak,
        "heldOutDb": {key: judged(x, clean, columns(x, **s)) for key, s in STRUCTURES.items()},
        "heldOutWithReceiverErrorsDb": judged(x, raw, columns(x, (1, 3, 5, 7, 9), 5)),
    }

# The model of the first pair on the second: its own delay, gain, leak and image taken out.
x, y = read("harbour-link-10mhz.drive"), read("harbour-link-10mhz.observed")
a = columns(x, (1, 3, 5, 7, 9), 3)
c = solve(a, aligned(x, y)[1])
x2, y2 = read("harbour-link-10mhz-second.drive"), read("harbour-link-10mhz-second.observed")
clean2 = aligned(x2, y2)[1]
model2 = columns(x2, (1, 3, 5, 7, 9), 3) @ c
gain = np.vdot(model2, clean2) / np.vdot(model2, model2).real
out["harbour-link-10mhz-second"]["predictedByFirstDb"] = db(power(clean2 / gain - model2) / power(model2))
print(json.dumps(out, indent=2))
