"""The run: every part in turn, tables to the terminal, everything as JSON to target/reference/. Must know no figure."""

import argparse
import json
import shutil
import subprocess
import sys
import time
from dataclasses import asdict

import budgets
import case
import cramer_rao
import errors
import from_outside
import general_midi
import lossy
import open_metrics
import peers
import plain_track
import plan_files
import published
import recorded
import report
import rooms
import session_files
import synthetic
import windrow

OUT = windrow.PROJECT / "target" / "reference"
# How much of everything: --quick for the gate, --full by hand. Peers read every so manyth tone: seven has no
# divisor in common with the numbers of styles, conditions and instruments.
LENGTHS = {
    "quick": dict(pulsed=260, straight=60, midi_each=2, notes=30, note_each=2, peers_every=7, bound_each=30, plans=300, lossy=40,
                  rehearsals=8, damaged=100, metrics=5),
    "full": dict(pulsed=1100, straight=220, midi_each=5, notes=100, note_each=5, peers_every=7, bound_each=200, plans=3000, lossy=200,
                 rehearsals=40, damaged=1000, metrics=60),
}
# How far the centres may be off that truth takes from the plain track: a tenth of what is asked of Windrow at 95 %.
TRUTH_CENTS = 0.1


def main():
    length = _asked()
    if length == "outside":
        return _told(_from_outside())
    n = LENGTHS[length]
    started = time.monotonic()
    asked = [windrow.program(), "--version"]
    version = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.strip()
    print(f"{version}, {length}\n", flush=True)
    results = {"version": version, "length": length, "libraries": peers.names()}

    cases, natural = _cases(n)
    readings, cpu_s = windrow.measure([c.path for c in cases])
    found = case.compare(cases, readings)
    mixed = errors.summary(found)
    broken = budgets.broken(mixed)
    results |= {"mixed": mixed, "tones": [e.as_dict() for e in found], "plain_track_cents": plain_track.check(cases)}
    if results["plain_track_cents"] > TRUTH_CENTS:
        broken.append(f"the plain track is off by {results['plain_track_cents']:.3f} cents, may be {TRUTH_CENTS}")
    _section("Windrow, mixed sound (* worse than asked)", report.figures(mixed))
    for key in ("part", "group", "condition"):
        _section(f"by {key}", report.by(found, key))
    _section("the worst ten", report.worst(found))

    results["peers"] = _beside_peers(cases, found, cpu_s, n["peers_every"])
    results["natural"] = _natural(natural)
    results["bound"] = cramer_rao.run(_fresh("bound"), n["bound_each"])
    _section("scatter of the rate over its bound, 2 s", report.bound(results["bound"]))

    checks = published.run(_fresh("published"))
    results["published"] = [asdict(c) for c in checks]
    broken += [f"{c.what}: {c.measured}, published {c.expected}" for c in checks if not c.holds()]
    _section(f"published values: {sum(c.holds() for c in checks)} of {len(checks)} hold", "")

    results["lossy"], wrong = lossy.run(_fresh("lossy"), cases, n["lossy"])
    broken += wrong
    rows = [[what, *(f"{key} {value:.4f}" for key, value in apart.items())] for what, apart in results["lossy"].items()]
    _section("MP3, differences in 95 of 100 tones", report.columns(rows))

    said, wrong = plan_files.run(n["plans"])
    broken += wrong
    _section(f"plans' files: {said}, {len(wrong)} judged otherwise than by the schema", "")

    said, wrong = session_files.run(_fresh("sessions"), n["rehearsals"], n["damaged"])
    broken += wrong
    _section(f"rehearsals' files: {said}, {len(wrong)} figures or judgements otherwise than outside", "")

    broken += _from_outside()
    said, wrong = open_metrics.run(n["metrics"])
    broken += wrong
    _section(f"what a server counts: {said}, {len(wrong)} otherwise than OpenMetrics or the system", "")

    broken += _rooms(results, length)
    results["broken"] = broken
    (OUT / "results.json").write_text(json.dumps(results, indent=1, default=str))
    print(f"took {time.monotonic() - started:.0f} s; everything is in {OUT / 'results.json'}")
    return _told(broken)


def _told(broken):
    for sentence in broken:
        print(f"broken: {sentence}", file=sys.stderr)
    return 1 if broken else 0


def _asked():
    parser = argparse.ArgumentParser(prog="tests/reference/run", description="Hold windrow measure against truth.")
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--quick", action="store_const", dest="length", const="quick", help="the gate's run (default)")
    length.add_argument("--full", action="store_const", dest="length", const="full", help="four times as many tones")
    length.add_argument("--outside", action="store_const", dest="length", const="outside", help="TLS and WebSockets alone")
    parser.set_defaults(length="quick")
    return parser.parse_args().length


def _cases(n):
    """Everything with known truth, and the real vibrato without."""
    tones = synthetic.cases(_fresh("synthetic"), n["pulsed"], n["straight"])
    midi, left_out = general_midi.cases(_fresh("general-midi"), n["midi_each"])
    _section(f"{general_midi.SOUND_SET}: left out for a vibrato of their own", "\n".join(left_out))
    notes = recorded.fetch(OUT / "packages")
    folder = _fresh("recorded")
    played = recorded.cases(folder, notes, n["notes"], n["note_each"])
    return [*tones, *midi, *played], recorded.natural(folder, notes)


def _beside_peers(cases, found, cpu_s, every):
    """The peers' figures beside Windrow's on the same files, and CPU time a second of sound."""
    some = slice(0, None, every)
    others = peers.run(cases[some])
    names = peers.names()
    summaries = {name: errors.summary(other["errors"]) for name, other in others.items()}
    _section(f"every {every}th tone beside {', '.join(names.values())}, each with the same plain pulse finder",
             report.figures(errors.summary(found[some]), summaries))
    cpu = {"Windrow, whole program": cpu_s / sum(c.seconds for c in cases)}
    cpu |= {f"{name}, tracker alone": other["cpu_share"] for name, other in others.items()}
    _section("share of one core for a stream", report.columns([[k, f"{100 * v:.2f} %"] for k, v in cpu.items()]))
    return {"summaries": summaries, "windrow": errors.summary(found[some]), "cpu_share": cpu}


def _natural(natural):
    """Real vibrato: Windrow beside the strongest sinusoid of a plain track. No truth, no floor."""
    records, _ = windrow.measure([path for path, _, _ in natural])
    rows = [dict(name=name, plain=plain, windrow=record) for (_, name, plain), record in zip(natural, records)]
    _section("recordings with the player's own vibrato (no truth)", report.natural(rows))
    return rows


def _from_outside():
    """The server's listeners, as other programs meet them."""
    lines, wrong = from_outside.run()
    _section(f"from outside: {len(wrong)} things otherwise than asked", "\n".join(lines))
    return wrong


def _rooms(results, length):
    """The simulated rooms of players with open microphones."""
    results["rooms"] = rooms.measure(windrow.program(), length == "quick")
    _section("a room of players", rooms.table(results["rooms"]))
    return results["rooms"]["broken"]


def _section(title, text):
    print(f"{title}\n{text}\n" if text else f"{title}\n", flush=True)


def _fresh(name):
    """An empty folder: a tone of an earlier run must not stand in for one that was not made."""
    folder = OUT / name
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


if __name__ == "__main__":
    sys.exit(main())
