"""The calculations of the bench `lines` by psychrolib and NumPy, a line of JSON in, a line out."""

import json
import sys

import numpy as np
import psychrolib

psychrolib.SetUnitSystem(psychrolib.SI)


def celsius(text):
    value, unit = text.split()
    value = float(value)
    return value if unit == "C" else (value - 32) / 1.8


def saturation(line):
    return {"pressure_pa": psychrolib.GetSatVapPres(celsius(line["temperature"]))}


def surface_humidity(line):
    over = psychrolib.GetSatVapPres(celsius(line["air"])) / psychrolib.GetSatVapPres(celsius(line["surface"]))
    return {"humidity_pct": line["humidity"] * over}


def wood_moisture(line):
    t = celsius(line["temperature"])
    h = line["humidity"] / 100
    w, k, k1, k2 = np.array(
        [
            [349, 1.29, 0.0135],
            [0.805, 0.000736, -0.00000273],
            [6.27, -0.00938, -0.000303],
            [1.91, 0.0407, -0.000293],
        ]
    ) @ np.array([1, t, t * t])
    kh = k * h
    moisture = 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh * kh) / (1 + k1 * kh + k1 * k2 * kh * kh))
    return {"moisture_pct": float(moisture)}


def radon_average(line):
    results = np.array([float(text.split()[0]) for text in line["results"]])
    return {"average_pci_l": float(results.mean())}


DO = {
    "saturation": saturation,
    "surface-humidity": surface_humidity,
    "wood-moisture": wood_moisture,
    "radon-average": radon_average,
}

for text in sys.stdin:
    line = json.loads(text)
    print(json.dumps({"id": line["id"], "result": DO[line["reckon"]](line)}))
