"""The run: every part in turn, tables to the terminal, everything as JSON to target/reference/. Must know no figure."""

import argparse
import json
import shutil
import subprocess
import sys
import time
from pathlib import Path

import budgets
import errors
import report
import synthetic
import windrow

HERE = Path(__file__).resolve().parent
OUT = windrow.PROJECT / "target" / "reference"
# Tones with vibrato and without: --quick for the gate, --full by hand.
N_TONES = {"quick": (260, 60), "full": (1100, 220)}


def main():
    parser = argparse.ArgumentParser(prog="tests/reference/run", description="Compare windrow measure with known truth.")
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--quick", action="store_const", dest="length", const="quick", help="the gate's run (default)")
    length.add_argument("--full", action="store_const", dest="length", const="full", help="four times as many tones")
    parser.set_defaults(length="quick")
    length = parser.parse_args().length

    started = time.monotonic()
    version = subprocess.run([windrow.program(), "--version"], capture_output=True, text=True, check=True).stdout.strip()
    print(f"{version}, {length}\n")
    results, all_broken = {"version": version, "length": length}, []

    tones = synthetic.run(_fresh(OUT / "synthetic"), *N_TONES[length])
    print(report.figures(errors.summary(tones["errors"])))
    print("(* worse than asked)\n")
    print(report.by(tones["errors"], "group") + "\n")
    print(report.by(tones["errors"], "condition") + "\n")
    print(report.worst(tones["errors"]) + "\n")
    all_broken += budgets.broken(errors.summary(tones["errors"]))
    results["mixed"] = errors.summary(tones["errors"])
    results["tones"] = [e.as_dict() for e in tones["errors"]]

    results["broken"] = all_broken
    (OUT / "results.json").write_text(json.dumps(results, indent=1))
    print(f"took {time.monotonic() - started:.0f} s; everything is in {OUT / 'results.json'}")
    for sentence in all_broken:
        print(f"broken: {sentence}", file=sys.stderr)
    return 1 if all_broken else 0


def _fresh(folder):
    """An empty folder: a tone of an earlier run must not stand in for one that was not made."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return folder


if __name__ == "__main__":
    sys.exit(main())
