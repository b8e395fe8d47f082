"""How long one transient solve takes, as a ratio to what scikit-fem takes on the same board at equal error.

Not a test: run `python tests/bench/ratio_to_finite_elements.py [TURNS]`. The board is that of the independent judge
(tests/judged_case.py); the error is the root mean square over all joints, tops and places at ten times, against finite
elements on a mesh twice as fine and steps half as long. Of each way the cheapest setting tried whose error is under
1 C is timed, in turn and in one process, factors with the steps and assembly apart. Both factor by the same routine.
"""

import sys
from collections.abc import Callable
from functools import partial

import numpy as np

from judged_case import Seen, judged, judging
from leeward.heat.grid import Resolution

MOST_C = 1.0
SECONDS = np.linspace(20.0, 200.0, 10)
Way = tuple[str, Callable[[], Seen]]
OURS: tuple[Way, ...] = tuple(
    (f"cells of {mm} mm, steps times {pace:g}", partial(judged, Resolution(mm, 4.0, 1.25, 40.0), pace))
    for mm, pace in ((1.0, 2.0), (1.0, 1.0), (0.75, 2.0), (0.75, 1.0), (0.5, 2.0), (0.5, 1.0))
)
THEIRS: tuple[Way, ...] = tuple(
    (f"boxes of {mm} mm, steps times {pace:g}", partial(judging, mm, pace))
    for mm, pace in ((4.0, 4.0), (4.0, 2.0), (2.0, 2.0), (2.0, 1.0), (1.0, 2.0), (1.0, 1.0))
)


def error_c(seen: Seen, truth: Seen) -> float:
    """Return the root mean square difference."""
    return float(np.sqrt(np.mean((seen.at_c(SECONDS) - truth.at_c(SECONDS)) ** 2)))


def cheapest(ways: tuple[Way, ...], truth: Seen) -> Way:
    """Return the first way whose error is small enough; print all that were tried."""
    for way in ways:
        seen = way[1]()
        off = error_c(seen, truth)
        sys.stdout.write(f"{way[0]:<34} {seen.unknowns:7d} unknowns {seen.stepping_s:7.2f} s  error {off:.2f} C\n")
        sys.stdout.flush()
        if off <= MOST_C:
            return way
    raise SystemExit("no setting tried is as exact as asked for")


def main() -> None:
    """Print what was tried, and the ratio of the least times over a few turns."""
    turns = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    truth = judging(0.5, 0.5)
    sys.stdout.write(f"truth: {truth.unknowns} unknowns of finite elements, {truth.stepping_s:.0f} s\n")
    ours, theirs = cheapest(OURS, truth), cheapest(THEIRS, truth)
    runs = [(ours[1](), theirs[1]()) for _ in range(turns)]
    for name, column in (("leeward", 0), ("scikit-fem", 1)):
        assembly, stepping = (min(getattr(run[column], key) for run in runs) for key in ("assembly_s", "stepping_s"))
        sys.stdout.write(f"{name:<11} assembly {assembly:6.2f} s   factors and steps {stepping:6.2f} s\n")
    least, other = (min(run[column].stepping_s for run in runs) for column in (0, 1))
    sys.stdout.write(f"ratio {least / other:.3f}\n")


if __name__ == "__main__":
    main()
