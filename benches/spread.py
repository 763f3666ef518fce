"""Percentiles of the cost of waiting: `stemwall reckon deferral-spread` beside NumPy, vectorised over the paths.

30 findings, 30 years, 100,000 paths each, percentiles after every year from 1 to 30. Usage: spread.py BINARY. The answers are
compared: means within six standard errors of the exact expectation, percentiles where other paths have them within six standard
errors of both; and the binary on one processor has to say what it says on all, byte by byte. Exit status 0 if all agree and the
promise is kept.
"""
import json
import os
import subprocess
import sys
import time

try:
    import numpy as np
except ImportError:
    print("spread: skipped, because this python3 has no numpy (STEMWALL_PYTHON names another)")
    sys.exit(0)

FINDINGS, YEARS, PATHS, PROMISED = 30, 30, 100_000, 10.0
AT = list(range(1, YEARS + 1))
SHARES = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]


def findings():
    rng = np.random.default_rng(20)
    for number in range(FINDINGS):
        stages = 4 + number % 3
        repair = np.cumsum(rng.uniform(300, 4000, stages)).round()
        damage = np.sort(rng.uniform(0, 900, stages)).round()
        advance = rng.uniform(0.03, 0.3, stages - 1).round(3)
        yield {"id": number, "reckon": "deferral-spread", "repair": repair.tolist(), "damage": damage.tolist(),
               "advance": advance.tolist(), "start": 0, "escalation": 0.02, "discount": 0.03, "years": YEARS, "at": AT,
               "paths": PATHS, "seed": 1, "quantiles": SHARES}


def totals(finding, rng):
    """What each path costs after 1, 2, ... years."""
    repair, damage = np.array(finding["repair"]), np.array(finding["damage"])
    advance = np.append(finding["advance"], 0.0)
    k = (1 + finding["escalation"]) / (1 + finding["discount"])
    stage, paid = np.zeros(PATHS, dtype=np.int64), np.zeros(PATHS)
    for year in range(1, YEARS + 1):
        paid += k**year * damage[stage]
        stage += rng.random(PATHS) < advance[stage]
        yield paid + k**year * repair[stage]


def by_numpy(finding, rng):
    return [(total.mean(), np.quantile(total, SHARES, method="inverted_cdf")) for total in totals(finding, rng)]


def exact(finding):
    n = len(finding["repair"])
    matrix = np.diag(1 - np.append(finding["advance"], 0.0)) + np.diag(finding["advance"], 1)
    held, k, damage, found = np.eye(n)[0], (1 + 0.02) / (1 + 0.03), 0.0, []
    for year in range(1, YEARS + 1):
        damage += k**year * held @ finding["damage"]
        held = held @ matrix
        found.append(damage + k**year * held @ finding["repair"])
    return found


def run(binary, lines, processors=None):
    command = [binary, "reckon", "--lines"]
    pin = (lambda: os.sched_setaffinity(0, processors)) if processors else None
    begun = time.perf_counter()
    answer = subprocess.run(command, input=lines, capture_output=True, check=True, preexec_fn=pin).stdout
    return time.perf_counter() - begun, answer


def compared(finding, line):
    """How many standard errors our means are off the exact expectation; every percentile lies where NumPy's paths have it."""
    worst, rng = 0.0, np.random.default_rng(7)
    told = json.loads(line)["result"]["at"]
    for found, wanted, total in zip(told, exact(finding), totals(finding, rng)):
        total.sort()
        error = total.std() / PATHS**0.5
        worst = max(worst, abs(found["mean"] - wanted) / error)
        assert worst < 6 and abs(total.mean() - wanted) < 6 * error, (finding["id"], found["year"])
        for share, cost in found["quantiles"]:
            off = 6 * (2 * share * (1 - share) / PATHS) ** 0.5
            low, high = (np.clip([share - off, share + off], 0, 1) * (PATHS - 1)).astype(int)
            assert total[low] - 1e-9 <= cost <= total[min(high + 1, PATHS - 1)] + 1e-9, (finding["id"], found["year"], share)
    return worst


def main():
    binary = sys.argv[1]
    asked = list(findings())
    lines = "".join(json.dumps(finding) + "\n" for finding in asked).encode()
    # The best of several: what the machine does beside it only ever adds.
    ours, answer = min((run(binary, lines) for _ in range(5)), key=lambda timed: timed[0])
    one, alone = run(binary, lines, {min(os.sched_getaffinity(0))})
    assert answer == alone, "the figures hang on the number of processors"
    timed = []
    for _ in range(3):
        rng = np.random.default_rng(1)
        begun = time.perf_counter()
        for finding in asked:
            by_numpy(finding, rng)
        timed.append(time.perf_counter() - begun)
    theirs = min(timed)
    worst = max(compared(finding, line) for finding, line in zip(asked, answer.splitlines()))
    ratio = theirs / ours
    kept = ratio >= PROMISED
    processors = len(os.sched_getaffinity(0))
    print(f"spread: {FINDINGS} findings x {YEARS} years x {PATHS} paths, percentiles after every year")
    print(f"  stemwall {ours:.3f} s on {processors} processors ({one:.3f} s on one, the same bytes), NumPy {np.__version__} {theirs:.3f} s")
    print(f"  {ratio:.1f} x NumPy, promised {PROMISED:.0f} x: {'reached' if kept else 'MISSED'}; means within {worst:.1f} standard errors of the exact")
    sys.exit(0 if kept else 1)


if __name__ == "__main__":
    main()
