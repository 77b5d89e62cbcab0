"""The synthetic tones as files, rendered in worker processes. Must not know who reads them."""

from concurrent.futures import ProcessPoolExecutor
from functools import partial

import case
import signals

N_WORKERS = 2


def _write(folder, tone):
    samples, truth = signals.render(tone)
    return case.write(folder, samples, tone.condition.rate_hz, truth, name=tone.name, part="synthetic",
                      group=tone.group, condition=tone.condition.name)


def cases(folder, n_pulsed, n_straight):
    with ProcessPoolExecutor(N_WORKERS) as workers:
        return list(workers.map(partial(_write, folder), signals.plan(n_pulsed, n_straight), chunksize=4))
