"""What a server counts, read by the Python client of Prometheus: `/metrics` of a demonstration that plays, as OpenMetrics 1.0, again and again, held
against itself over time, against `/healthz` and against what the system says of the process. Must know nothing of how Windrow counts."""

import json
import re
import subprocess
import time
import urllib.request

from prometheus_client.openmetrics.parser import text_string_to_metric_families

import windrow

KIND = "application/openmetrics-text; version=1.0.0; charset=utf-8"
# What has to be there, with its type.
FAMILIES = {
    "windrow_build": "info", "windrow_rooms": "gauge", "windrow_players": "gauge", "windrow_connections": "gauge",
    "windrow_player_messages": "counter", "windrow_conductor_messages": "counter", "windrow_connections_refused": "counter",
    "windrow_waiting_events": "gauge", "windrow_waiting_records": "gauge", "windrow_records_written": "counter",
    "windrow_records_failed": "counter", "windrow_records_turned_away": "counter", "windrow_acknowledgement_seconds": "histogram",
    "windrow_tick_seconds": "histogram", "process_cpu_seconds": "counter", "process_resident_memory_bytes": "gauge",
    "process_open_fds": "gauge", "process_threads": "gauge",
}
N_PLAYERS = 8
# A quiet machine's demonstration has all players in after a second or two; a busy one's may take long.
PATIENCE_S = 90


def run(n_readings):
    """What was read, and what is wrong with it."""
    command = [windrow.program(), "demo", "--http", "127.0.0.1:0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as demo:
        try:
            return _watch(demo, n_readings)
        finally:
            demo.terminate()


def _watch(demo, n_readings):
    address = next(m.group(0) for m in map(re.compile(r"http://127\.0\.0\.1:\d+").search, demo.stdout) if m)
    wrong, before, readings = [], {}, 0
    until = time.monotonic() + PATIENCE_S
    while readings < n_readings and time.monotonic() < until:
        time.sleep(0.5)
        families, sentences = _read(address)
        wrong += sentences
        values = {(s.name, tuple(sorted(s.labels.items()))): s.value for f in families.values() for s in f.samples}
        growing = [(s.name, tuple(sorted(s.labels.items()))) for f in families.values() if f.type in ("counter", "histogram")
                   for s in f.samples]
        wrong += [f"{name} fell" for name in growing if values[name] < before.get(name, 0)]
        before = values
        if values[("windrow_players", ())] == N_PLAYERS and values[("windrow_acknowledgement_seconds_count", ())] > 0:
            readings += 1
            wrong += _against_others(demo.pid, address, values)
    if readings < n_readings:
        wrong.append(f"/metrics: in {PATIENCE_S} s never {N_PLAYERS} players and an acknowledgement")
    return f"{len(before)} samples, {readings} readings", wrong


def _read(address):
    with urllib.request.urlopen(f"{address}/metrics") as answer:
        kind, text = answer.headers["Content-Type"], answer.read().decode("utf-8")
    wrong = [] if kind == KIND else [f"/metrics is {kind}"]
    try:
        families = {family.name: family for family in text_string_to_metric_families(text)}
    except ValueError as error:
        return {}, [*wrong, f"/metrics cannot be read: {error}"]
    types = {name: family.type for name, family in families.items()}
    wrong += [f"/metrics: {name} is {types.get(name)}, not {kind}" for name, kind in FAMILIES.items() if types.get(name) != kind]
    wrong += [f"/metrics: {name} was not expected" for name in types.keys() - FAMILIES.keys()]
    for name, family in families.items():
        unit = next((unit for unit in ("seconds", "bytes") if name.endswith(f"_{unit}")), "")
        if family.unit != unit or not family.documentation:
            wrong.append(f"/metrics: {name} has the unit {family.unit!r} and says {family.documentation!r}")
    return families, wrong


def _against_others(pid, address, values):
    with urllib.request.urlopen(f"{address}/healthz") as answer:
        health = json.load(answer)
    wrong = []
    if (health["rooms"], health["players"]) != (values[("windrow_rooms", ())], values[("windrow_players", ())]):
        wrong.append(f"/metrics: other rooms or players than {health}")
    pages = int(open(f"/proc/{pid}/statm", encoding="ascii").read().split()[1])
    memory = values[("process_resident_memory_bytes", ())]
    # It grows and shrinks between both looks.
    if not 0.7 < memory / (pages * 4096) < 1.4:
        wrong.append(f"/metrics: {memory} bytes held, the system says {pages * 4096}")
    return wrong
