"""The values that server/src/weeks/togetherness_tests.rs expects: weighted quarters and means of a section's runs, from numpy.

Run it with the reference's Python to see them again; it knows nothing of the server. The numbers were drawn once (seed
20261126) and rounded.
"""

import numpy

TOGETHER = [0.91, 0.62, 0.78, 0.85, 0.44, 0.97, 0.70]
MATCHED = [0.80, 0.35, 0.55, 0.72, 0.20, 0.95, 0.50]
JUDGED = [11, 9, 12, 7, 10, 3, 12]
SECONDS = [64.0, 42.5, 60.0, 31.0, 55.5, 20.0, 48.0]


def main():
    print("numpy", numpy.__version__)
    for share in (0.25, 0.5, 0.75):
        print(share, float(numpy.quantile(TOGETHER, share, weights=JUDGED, method="inverted_cdf")))
    print("matched", repr(float(numpy.average(MATCHED, weights=numpy.multiply(JUDGED, SECONDS)))))


if __name__ == "__main__":
    main()
