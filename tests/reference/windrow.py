"""Runs the built program on sound files. Must not know truth or budgets."""

import json
import os
import resource
import subprocess
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
# Files to one call: starting the program costs less than a file does.
N_FILES_A_CALL = 40


def program():
    """The release binary, or what `WINDROW` names."""
    path = Path(os.environ.get("WINDROW", PROJECT / "target" / "release" / "windrow"))
    if not path.exists():
        raise SystemExit(f"{path} is missing: build it with cargo build --release")
    return path


def measure(paths, *options, program_path=None):
    """Records of `windrow measure --json`, one a file in order (None where it gave none), and CPU seconds it took.

    `program_path` None: the program of `program`.
    """
    program_path = program_path or program()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    records = {}
    paths = [str(path) for path in paths]
    for start in range(0, len(paths), N_FILES_A_CALL):
        batch = paths[start : start + N_FILES_A_CALL]
        done = subprocess.run([program_path, "measure", "--json", *options, *batch], capture_output=True, text=True)
        for line in done.stdout.splitlines():
            record = json.loads(line)
            records[record["file"]] = record
        if done.stderr:
            print(done.stderr.strip())
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu_s = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    return [records.get(path) for path in paths], cpu_s
