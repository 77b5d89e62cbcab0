"""The values that room/src/statistics_tests.rs expects of circular and rank statistics, from scipy and numpy.

Run it with the reference's Python to see them again; it knows nothing of the server. Angles were drawn once from a von Mises
distribution (seed 20261126, mean -160 degrees, concentration 1.2) and rounded to tenths.
"""

import numpy
import scipy
from scipy import stats

ANGLES_DEG = [59.7, 172.5, 232.6, 257.8, 143.7, 198.9, 101.9, 275.0, 182.3, 157.7, 194.7, 219.7]
TIED = ([3, 1, 4, 1, 5, 9, 2, 6, 5, 3], [2, 7, 1, 8, 2, 8, 1, 8, 2, 8])
HAIRPIN = (
    [-31.0, -28.5, -26.0, -22.5, -20.0, -21.0, -24.0, -27.5],
    [2.1, 2.8, 3.9, 5.5, 6.2, 6.9, 4.0, 2.0],
)
INTERVALS_MS = [310.0, 295.0, 305.0, 322.0, 289.0, 301.0]
LINE = ([0, 1, 2.5, 4, 7], [1.0, 0.5, 3.0, 2.0, 6.5])


def main():
    angles = numpy.deg2rad(ANGLES_DEG)
    unit = numpy.c_[numpy.cos(angles), numpy.sin(angles)]
    half_turn = {"high": numpy.pi, "low": -numpy.pi}
    print("scipy", scipy.__version__, "numpy", numpy.__version__)
    print("mean angle, rad", repr(float(stats.circmean(angles, **half_turn))))
    print("circular deviation, rad", repr(float(stats.circstd(angles, **half_turn))))
    print("resultant length", repr(float(stats.directional_stats(unit).mean_resultant_length)))
    print("spearman, tied", repr(float(stats.spearmanr(*TIED).statistic)))
    print("spearman, hairpin", repr(float(stats.spearmanr(*HAIRPIN).statistic)))
    print("variation", repr(float(stats.variation(INTERVALS_MS, ddof=1))))
    print("medians", numpy.median([4, 1, 3, 2]), numpy.median([9, -1, 4]))
    print("slope", repr(float(stats.linregress(*LINE).slope)))


if __name__ == "__main__":
    main()
