"""Rehearsals as files: documents written here, taken in by `windrow records import` and out again by `windrow records export`,
held against the published schema (jsonschema), and what pandas and Python's csv module read in the tables against the documents
and against what SQLite holds. Must know nothing of how Windrow reads or writes."""

import copy
import csv
import json
import math
import random
import shutil
import sqlite3
import subprocess

import jsonschema
import numpy
import pandas

import windrow

EXAMPLE = windrow.PROJECT / "server" / "records" / "example.session.json"
# What is hard on tables: separators, quotes, formulas, signs of other scripts, one that turns the direction.
NAMES = ["Wren", "O'Brien, Ada", 'Tobias "T"', "=1+2", "+49 30", "-Piers", "@Hadley", "'=quoted", "Zoë 🎵", "שרה", "علي", "semi;colon",
         "tab\u2003wide", "Æ" * 40]
INSTRUMENTS = ["flute", "oboe", "bassoon", "alto-sax", "horn"]
TITLES = ["Triplets", 'A "quoted", comma', "=SUM(A1)", "line\nbreak", "Übung ♪"]
STATES = ["matched", "fast", "drifting-sharp", "choked-valleys", "blended"]
# Columns of results.csv and where a stretch has the same.
STRETCH = {"bpm": "bpm", "bpm_to": "bpm_to", "bars": "bars", "asked_s": "asked_s", "judged_s": "judged_s",
           "timing_spread_ms": "timing_spread_ms"}
MEASURES = {"trusted_share": "trusted", "matched_share": "matched", "n_pulses": "n_pulses", "pulse_rate_hz": "pulse_rate_hz",
            "pulses_per_beat": "pulses_per_beat", "timing_ms": "timing_ms", "depth_db_pp": "depth_db_pp",
            "swing_cents_pp": "swing_cents_pp", "centre_cents": "centre_cents", "drift_cents": "drift_cents",
            "from_straight_cents": "from_straight_cents", "evenness_cv": "evenness_cv"}
# The same in the records' own table.
IN_SQLITE = ["bpm", "bpm_to", "bars", "asked_s", "judged_s", "timing_spread_ms", "n_pulses", "pulse_rate_hz", "pulses_per_beat",
             "timing_ms", "depth_db_pp", "swing_cents_pp", "centre_cents", "drift_cents", "from_straight_cents", "evenness_cv"]
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
# Pulses of sessions that are over may be packed: a tenth of a millisecond, a hundredth of a decibel, a tenth of a cent.
PACKED = {"time_s": 0.5e-4, "depth_db_pp": 0.005, "swing_cents_pp": 0.05, "mean_cents": 0.05}
# Put in the place of anything at random.
ODD = [-1, 0, 1, 2, 65536, 1e6, 1e300, "", "x", "0000-wren", "matched", None, True, [], {}, [1], {"kind": "pulses"}, "2026-11-25T18:00:00Z"]


def example():
    return json.loads(EXAMPLE.read_text(encoding="utf-8"))


def made(number, chance):
    """A rehearsal with everything at random that has no meaning for another part of it."""
    document = example()
    session = document["sessions"][0]
    a_player, a_run = session["players"][0], session["runs"][0]
    document["rehearsal_id"] = session["session_id"] = session["origin_id"] = f"made-{number}"
    session["invented"] = chance.random() < 0.5
    session["time_nought_utc"] = f"2026-{chance.randint(1, 12):02}-{chance.randint(1, 28):02}T18:00:00.{chance.randint(0, 999):03}Z"
    names = chance.sample(NAMES, chance.randint(1, len(NAMES)))
    session["players"] = []
    for i, name in enumerate(names):
        player = copy.deepcopy(a_player)
        n = chance.randint(0, 200)
        times = sorted(chance.randrange(60_000_000, 600_000_000) for _ in range(n))
        player |= {"player_id": f"made-{number}-{i}", "name": name, "chair": i + 1, "instrument": chance.choice(INSTRUMENTS),
                   "calibrated": chance.random() < 0.5}
        player["pulses"] = {
            "time_us": times, "depth_db_pp": [round(chance.uniform(0, 24), 2) for _ in times],
            "swing_cents_pp": [round(chance.uniform(0, 90), 1) for _ in times],
            "mean_cents": [None if chance.random() < 0.1 else round(chance.uniform(-50, 50), 1) for _ in times],
            "choked": [chance.random() < 0.1 for _ in times]}
        session["players"].append(player)
    session["runs"] = [made_run(a_run, session["players"], i, chance) for i in range(chance.randint(0, 4))]
    return document


def made_run(a_run, players, i, chance):
    run = copy.deepcopy(a_run)
    began_us = 60e6 + i * 100e6
    run |= {"began_us": began_us, "ended_us": began_us + 90e6}
    run["score"]["start_us"] = began_us
    run["told"] |= {"number": i + 1, "exercise": chance.randint(1, 9), "name": chance.choice(TITLES),
                    "spans": [chance.choice(TITLES) for _ in range(2)], "players": []}
    run["glance"]["number"] = i + 1
    a_trace, a_lane = run["traces"][0], run["glance"]["lanes"][0]
    run["traces"], run["glance"]["lanes"], run["stretches"] = [], [], []
    for player in players:
        ids = {"player_id": player["player_id"]}
        parts = [made_measures(chance) for _ in range(2)]
        run["told"]["players"].append(ids | {"chair": player["chair"], "name": player["name"], "part": "flute 1",
                                             "whole": parts[0], "spans": parts})
        run["traces"].append(a_trace | ids)
        run["glance"]["lanes"].append(a_lane | ids | {"chair": player["chair"]})
        for part, measures in enumerate(parts):
            run["stretches"].append(ids | {
                "part": part, "began_us": began_us + part * 45e6,
                "target": chance.choice([{"kind": "pulses", "per_beat": chance.randint(1, 8)}, {"kind": "straight"}, {"kind": "free"}]),
                "bpm": round(chance.uniform(40, 144), 1), "bpm_to": None if chance.random() < 0.7 else 96.0,
                "loosely": chance.random() < 0.1, "bars": float(chance.randint(1, 16)), "asked_s": round(chance.uniform(1, 90), 2),
                "judged_s": round(chance.uniform(0, 80), 2), "held": chance.random() < 0.4,
                "timing_spread_ms": None if chance.random() < 0.2 else round(chance.uniform(5, 60), 1), "measures": measures})
    return run


def made_measures(chance):
    all_of_it = {"state": chance.choice(STATES), "trusted": chance.random(), "matched": chance.random(), "n_pulses": chance.randint(0, 400),
                 "pulse_rate_hz": chance.uniform(1, 8), "pulses_per_beat": chance.uniform(1, 6), "timing_ms": chance.uniform(-60, 60),
                 "depth_db_pp": chance.uniform(0, 20), "swing_cents_pp": chance.uniform(0, 80), "centre_cents": chance.uniform(-40, 40),
                 "drift_cents": chance.uniform(-20, 20), "from_straight_cents": chance.uniform(-20, 20), "evenness_cv": chance.uniform(0, 0.5)}
    needed = ("state", "trusted", "n_pulses")
    return {key: value for key, value in all_of_it.items() if key in needed or chance.random() < 0.9}


def called(*arguments):
    return subprocess.run([windrow.program(), "records", *map(str, arguments)], capture_output=True, text=True)


def run(folder, n_rehearsals, n_damaged):
    """What was looked at, in a sentence, and what does not hold. `folder` is empty."""
    chance = random.Random(8)
    schema = json.loads(called("schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    is_good = jsonschema.Draft202012Validator(schema).is_valid
    broken = []
    documents = [example(), *(made(i, chance) for i in range(n_rehearsals))]
    for document in documents:
        (folder / f"{document['rehearsal_id']}.json").write_text(json.dumps(document, ensure_ascii=False), encoding="utf-8")
        if not is_good(document):
            broken.append(f"{document['rehearsal_id']}: the schema refuses it")
    data, out = folder / "data", folder / "out"
    done = called("import", "--data", data, *sorted(folder.glob("*.json")))
    again = called("import", "--data", data, *sorted(folder.glob("*.json")))
    written = called("export", "--data", data, out)
    for what, ended in (("import", done), ("second import", again), ("export", written)):
        if ended.returncode != 0:
            return "", [f"{what} ended with {ended.returncode}: {ended.stderr}"]
    if again.stdout.count("0 new") != len(documents):
        broken.append(f"taken in twice: {again.stdout}")
    for path in out.glob("*.json"):
        told = json.loads(path.read_text(encoding="utf-8"))
        if not is_good(told):
            broken.append(f"{path.name}: the schema refuses what the program writes")
    n_results, wrong = results(out / "results.csv", documents, data)
    broken += wrong
    n_pulses, wrong = pulses(out / "pulses.csv", documents)
    broken += wrong
    n_taken, wrong = damage(folder, is_good, chance, n_damaged)
    broken += wrong
    said = (f"{len(documents)} with {n_results} results and {n_pulses} pulses, {n_damaged} damaged at random ({n_taken} still good)")
    return said, broken


def without_guard(text):
    """As the documentation says: one apostrophe before what would be a formula."""
    return text[1:] if text.startswith("'") and text.lstrip("'").startswith(FORMULA_SIGNS) else text


def same(read, truth, tolerance=0.0):
    if truth is None or read is None:
        return truth is None and (read is None or math.isnan(read))
    return abs(float(read) - float(truth)) <= tolerance


def results(path, documents, data):
    """results.csv as pandas and csv read it, the documents, and the records' own table."""
    broken = []
    table = pandas.read_csv(path, float_precision="round_trip", keep_default_na=False, na_values=[""], dtype={"person_id": str})
    with path.open(newline="", encoding="utf-8-sig") as file:
        plain = list(csv.DictReader(file))
    if list(table.columns) != list(plain[0]) or len(table) != len(plain):
        broken.append("pandas and csv read other columns or rows")
    if str(table["held"].dtype) != "bool" or str(table["run"].dtype) != "int64":
        broken.append(f"pandas takes held for {table['held'].dtype}, run for {table['run'].dtype}")
    pandas.to_datetime(table["began_utc"], format="ISO8601", utc=True)
    records = sqlite3.connect(f"file:{data / 'windrow.sqlite3'}?mode=ro", uri=True)
    rows = table.set_index(["player_id", "run", "part"])
    n = 0
    for document in documents:
        session = document["sessions"][0]
        names = {player["player_id"]: player["name"].strip() for player in session["players"]}
        for played in session["runs"]:
            for stretch in played["stretches"]:
                key = (stretch["player_id"], played["told"]["number"], stretch["part"] + 1)
                row = rows.loc[key]
                n += 1
                truth = {c: stretch[k] for c, k in STRETCH.items()} | {c: stretch["measures"].get(k) for c, k in MEASURES.items()}
                off = [c for c, value in truth.items() if not same(row[c], value)]
                texts = {"name": names[stretch["player_id"]], "exercise_name": played["told"]["name"],
                         "part_title": played["told"]["spans"][stretch["part"]], "state": stretch["measures"]["state"]}
                off += [c for c, text in texts.items() if without_guard(row[c]) != text]
                off += [c for c in ("name", "exercise_name", "part_title") if str(row[c]).startswith(FORMULA_SIGNS)]
                stored = records.execute(f"select {', '.join(IN_SQLITE)} from stretches where player_id = ? and number = ? and part_idx = ?",
                                         (key[0], key[1], stretch["part"])).fetchone()
                off += [f"{c} in SQLite" for c, value in zip(IN_SQLITE, stored) if not same(row[c], value)]
                if off:
                    broken.append(f"results.csv, {key}: {', '.join(off)}")
    if n != len(table):
        broken.append(f"results.csv has {len(table)} rows instead of {n}")
    return n, broken


def pulses(path, documents):
    """pulses.csv as pandas reads it, and the documents."""
    broken = []
    table = pandas.read_csv(path, float_precision="round_trip", keep_default_na=False, na_values=[""], dtype={"person_id": str})
    by_player = dict(list(table.groupby("player_id")))
    n = 0
    for document in documents:
        nought = pandas.Timestamp(document["sessions"][0]["time_nought_utc"])
        for player in document["sessions"][0]["players"]:
            truth = player["pulses"]
            n += len(truth["time_us"])
            if not truth["time_us"]:
                continue
            rows = by_player[player["player_id"]]
            columns = {"time_s": numpy.array(truth["time_us"]) / 1e6, "depth_db_pp": truth["depth_db_pp"],
                       "swing_cents_pp": truth["swing_cents_pp"], "mean_cents": [math.nan if v is None else v for v in truth["mean_cents"]]}
            for name, value in columns.items():
                if not numpy.allclose(rows[name], numpy.array(value, dtype=float), rtol=0, atol=PACKED[name] + 1e-9, equal_nan=True):
                    broken.append(f"pulses.csv, {player['player_id']}: {name}")
            if list(rows["choked"]) != truth["choked"]:
                broken.append(f"pulses.csv, {player['player_id']}: choked")
            told = pandas.to_datetime(rows["time_utc"], format="ISO8601", utc=True)
            off_s = (told - nought).dt.total_seconds() - rows["time_s"]
            if off_s.abs().max() > 1e-6:
                broken.append(f"pulses.csv, {player['player_id']}: time_utc and time_s are {off_s.abs().max()} s apart")
    if n != len(table):
        broken.append(f"pulses.csv has {len(table)} rows instead of {n}")
    return n, broken


def damage(folder, is_good, chance, n_damaged):
    """What the program takes although something odd stands in it must be good by the schema, and a refusal must name a reason and
    leave the records as they were."""
    broken, n_taken = [], 0
    data = folder / "damaged-data"
    for i in range(n_damaged):
        document = damaged(chance)
        path = folder / "damaged.json"
        path.write_text(json.dumps(document), encoding="utf-8")
        shutil.rmtree(data, ignore_errors=True)
        done = called("import", "--data", data, path)
        if done.returncode == 0:
            n_taken += 1
            if not is_good(document):
                broken.append(f"the program takes what the schema refuses: {json.dumps(document)}")
            elif called("export", "--data", data, folder / "damaged-out").returncode != 0:
                broken.append(f"what was taken in cannot be written again: {json.dumps(document)}")
        else:
            held = sqlite3.connect(data / "windrow.sqlite3").execute("select count(*) from sessions").fetchone()[0]
            if held or "was not taken in" not in done.stderr or "panicked" in done.stderr:
                broken.append(f"a refusal: {held} sessions, {done.stderr}")
    if n_damaged and not 0 < n_taken < n_damaged:
        broken.append(f"of {n_damaged} damaged rehearsals {n_taken} are taken: the damage shows nothing")
    return n_taken, broken


def damaged(chance):
    """A copy of the example with something odd in one random place, or without it."""
    document = example()
    places = []

    def collect(value):
        for key in value if isinstance(value, dict) else range(len(value)):
            places.append((value, key))
            if isinstance(value[key], (dict, list)):
                collect(value[key])

    for player in document["sessions"][0]["players"]:
        # So that pulses are not all that is ever hit.
        player["pulses"] = {name: column[:2] for name, column in player["pulses"].items()}
    for trace in document["sessions"][0]["runs"][0]["traces"]:
        trace["pulses"] = trace["pulses"][:4]
    collect(document)
    holder, key = chance.choice(places)
    if chance.random() < 0.2:
        del holder[key]
    else:
        holder[key] = copy.deepcopy(chance.choice(ODD))
    return document
