"""MP3: a tone measured from it, beside the same tone without loss and beside what libsndfile decodes of the same file. Must not
know truth: what loss changes is asked here, not what is right."""

import soundfile

import windrow

# Of soundfile's scale, 0 the best; and how far the same tone may be off beside the one without loss, in 95 of 100 tones, the rate as
# a share: about twice what we measured (26 November 2026, 40 tones, LAME 3.100 through libsndfile 1.2.2).
COMPRESSIONS = {
    "128 kbit/s": (0.6, {"pulse_rate_hz": 0.006, "depth_db_pp": 0.6, "swing_cents_pp": 3.5, "centre_cents": 0.1, "time_s": 0.007}),
    "smallest": (0.95, {"pulse_rate_hz": 0.006, "depth_db_pp": 1.1, "swing_cents_pp": 10.5, "centre_cents": 0.3, "time_s": 0.013}),
}
# And beside libsndfile's own decoding of the same bytes: two decoders of one standard.
DECODER_BOUNDS = {"pulse_rate_hz": 0.0005, "depth_db_pp": 0.02, "swing_cents_pp": 0.1, "centre_cents": 0.02, "time_s": 0.0005}


def run(folder, cases, n_tones):
    """Largest differences at the 95th percentile by what was compared, and what does not hold."""
    tones = [case for case in cases if case.truth.kind == "vibrato"][:n_tones]
    plain, _ = windrow.measure([case.path for case in tones])
    found, broken = {}, []
    for name, (compression, bounds) in COMPRESSIONS.items():
        lossy, decoded = [], []
        for number, tone in enumerate(tones):
            samples, rate_hz = soundfile.read(tone.path)
            path = folder / f"{name.split()[0]}-{number}.mp3"
            soundfile.write(path, samples, rate_hz, format="MP3", subtype="MPEG_LAYER_III", compression_level=compression)
            again, rate_hz = soundfile.read(path)
            soundfile.write(path.with_suffix(".wav"), again, rate_hz, subtype="FLOAT")
            lossy.append(path)
            decoded.append(path.with_suffix(".wav"))
        lossy, _ = windrow.measure(lossy)
        decoded, _ = windrow.measure(decoded)
        for what, others, bounds in ((f"{name} beside no loss", plain, bounds), (f"{name} beside libsndfile", decoded, DECODER_BOUNDS)):
            found[what] = _apart(lossy, others)
            if found[what]["n_compared"] < len(tones) // 2:
                broken.append(f"MP3 of {what}: only {found[what]['n_compared']} of {len(tones)} tones can be compared")
            broken += [
                f"MP3 of {what}: {measure} is {value:.4f} apart, may be {bounds[measure]}"
                for measure, value in found[what].items()
                if measure in bounds and value > bounds[measure]
            ]
    return found, broken


def _apart(ones, others):
    apart = {measure: [] for measure in DECODER_BOUNDS}
    n_compared = 0
    for one, other in zip(ones, others):
        if not one or not other or not one["trusted"] or not other["trusted"]:
            continue
        n_compared += 1
        for measure in ("pulse_rate_hz", "depth_db_pp", "swing_cents_pp", "centre_cents"):
            if one[measure] is not None and other[measure] is not None:
                scale = other[measure] if measure == "pulse_rate_hz" else 1
                apart[measure].append(abs(one[measure] - other[measure]) / scale)
        times = other["pulse_times_s"]
        apart["time_s"] += [min(abs(time - t) for t in times) for time in one["pulse_times_s"][1:-1]] if times else []
    at_95 = {measure: sorted(values)[int(0.95 * (len(values) - 1))] for measure, values in apart.items() if values}
    return {"n_compared": n_compared} | at_95
