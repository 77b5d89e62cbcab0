"""The values that the tests of server/src/weeks expect: weighted medians from numpy, Student's t from scipy, weeks from Python.

Run it with the reference's Python to see them again; it knows nothing of the server. The numbers were drawn once (seed
20261126) and rounded.
"""

import datetime

import numpy
import scipy
from scipy import stats

DATES = """1969-12-28 1970-01-01 1976-12-31 1977-01-02 1977-01-03 1999-12-31 2000-01-03 2004-12-31 2005-01-01 2009-12-31
2010-01-03 2015-12-31 2016-01-03 2016-01-04 2020-02-29 2020-12-28 2021-01-03 2021-01-04 2024-12-30 2026-01-01 2026-11-26
2026-12-31 2027-01-03 2027-01-04 2032-12-31 2100-02-28""".split()
VALUES = [6.1, 4.8, 7.3, 5.2, 3.9, 6.6, 5.2, 8.0]
WEIGHTS = [24.0, 10.5, 33.0, 6.2, 41.0, 12.0, 18.5, 2.0]
BEFORE = [31.2, 28.4, 33.0, 29.9]
NOW = [22.1, 24.6, 20.3, 23.8]


def main():
    print("scipy", scipy.__version__, "numpy", numpy.__version__)
    for text in DATES:
        date = datetime.date.fromisoformat(text)
        year, week, _ = date.isocalendar()
        monday = date - datetime.timedelta(days=date.weekday())
        print(text, (date - datetime.date(1970, 1, 1)).days, year, week, monday)
    median = numpy.quantile(VALUES, 0.5, weights=WEIGHTS, method="inverted_cdf")
    print("weighted median", float(median), "of the first three", float(
        numpy.quantile(VALUES[:3], 0.5, weights=WEIGHTS[:3], method="inverted_cdf")
    ))
    print("weighted mean", float(numpy.average(VALUES, weights=WEIGHTS)))
    print("t", repr(float(stats.ttest_ind(NOW, BEFORE, equal_var=True).statistic)))
    print("t of two and two", repr(float(stats.ttest_ind(NOW[:2], BEFORE[:2], equal_var=True).statistic)))
    print("99 % of t, 2, 4, 6", [round(float(stats.t.ppf(0.99, n)), 4) for n in (2, 4, 6)])


if __name__ == "__main__":
    main()
