"""Synthetic tones measured by the program: renders in worker processes, measures, compares. Must not know budgets."""

from concurrent.futures import ProcessPoolExecutor
from functools import partial

import numpy as np
import soundfile

import errors
import signals
import windrow

N_WORKERS = 2


def write(folder, tone):
    """Renders one tone to a 16-bit file, as devices record; its path and truth."""
    samples, truth = signals.render(tone)
    path = folder / f"{tone.name}.wav"
    soundfile.write(path, np.round(samples * 32767.0).astype(np.int16), tone.condition.rate_hz)
    return path, truth


def write_all(folder, tones):
    folder.mkdir(parents=True, exist_ok=True)
    with ProcessPoolExecutor(N_WORKERS) as workers:
        return list(workers.map(partial(write, folder), tones, chunksize=4))


def about(tone):
    return dict(name=tone.name, group=tone.group, condition=tone.condition.name, seconds=tone.seconds)


def compare(tones, truths, records):
    return [errors.of_reading(about(tone), truth, r) for tone, truth, r in zip(tones, truths, records)]


def run(folder, n_pulsed, n_straight):
    """Errors tone by tone, with paths and CPU seconds a second of sound."""
    tones = signals.plan(n_pulsed, n_straight)
    written = write_all(folder, tones)
    paths, truths = [path for path, _ in written], [truth for _, truth in written]
    records, cpu_s = windrow.measure(paths)
    seconds = sum(soundfile.info(path).duration for path in paths)
    return {"tones": tones, "paths": paths, "truths": truths, "records": records,
            "errors": compare(tones, truths, records), "cpu_share": cpu_s / seconds}
