"""Plans' files: what `windrow plan check` takes and refuses, held against the published schema and jsonschema, which knows
nothing of Windrow. Every plan that the program takes must be good by the schema; what the schema cannot say, the program alone
refuses."""

import copy
import json
import random
import subprocess

import jsonschema

import windrow

# A plan that has every field of the format once.
FULL = {
    "format": "windrow-plan", "version": 1, "name": "every-field", "title": "Every field", "about": "All of it.",
    "takes": "a week", "beats_per_bar": 4,
    "exercises": [
        {"title": "Straight", "part": "First", "play": {"straight": {"bpm": 60, "bars": 4, "dynamic": "mf"}}, "say": "Hold it.",
         "goal": "Steady.", "cautions": ["Stop when it hurts."], "rest_s": 20, "note": "F4", "voicing": "unison",
         "tuning": "equal", "turns": "together",
         "bands": {"rate_percent": 5, "timing_ms": 40, "centre_cents": 10, "depth_db": 3, "swing_cents": 30}},
        {"play": {"pulses": {"bpm": 60, "bpm_to": 80, "values": ["quarters", "rest", "free"], "each": "beat", "times": 4,
                             "dynamic": "p"}}},
        {"play": {"ladder": {"from_bpm": 60, "to_bpm": 80, "value": "triplets", "bars_per_rung": 4, "rest_bars": 1,
                             "go_on": "when-matched", "matched": 0.75, "step_back": True}}},
        {"play": {"ease": {"bpm": 66, "value": "sixteenths", "straight": 4, "growing": 4, "full": 8, "fading": 4,
                           "straight_after": 4, "times": 2, "rest": 4}}},
        {"play": {"hairpin": {"bpm": 60, "values": ["eighths", "triplets"], "from": "p", "to": "f", "growing": 8, "fading": 8,
                              "times": 2, "rest": 4}}},
        {"play": {"music": {"bpm": 72, "rest": 8, "passes": ["measured", "less-measured", "free"], "notes": [
            {"note": "Bb4", "beats": 4, "value": "eighths", "dynamic": "p", "dynamic_to": "f", "tied": True},
            {"note": "Bb4", "beats": 2.5}, {"beats": 1.5}]}}},
        {"play": {"free": {"bpm": 72, "bars": 8}}},
    ],
}
# What is wrong, and how to make it so; a good plan is handed in.
BAD = {
    "another format": lambda p: p.update(format="something"),
    "a newer version": lambda p: p.update(version=2),
    "no title": lambda p: p.pop("title"),
    "a name with a space": lambda p: p.update(name="my plan"),
    "no exercise": lambda p: p.update(exercises=[]),
    "thirteen beats in a bar": lambda p: p.update(beats_per_bar=13),
    "an unknown field": lambda p: p.update(colour="red"),
    "an unknown field of an exercise": lambda p: p["exercises"][0].update(tempo=60),
    "nothing to play": lambda p: p["exercises"][0].pop("play"),
    "two kinds at once": lambda p: p["exercises"][0]["play"].update(free={"bpm": 60}),
    "an unknown kind": lambda p: p["exercises"][0].update(play={"scale": {"bpm": 60}}),
    "a tempo as text": lambda p: p["exercises"][0]["play"]["straight"].update(bpm="60"),
    "a tempo out of range": lambda p: p["exercises"][0]["play"]["straight"].update(bpm=400),
    "half a bar": lambda p: p["exercises"][0]["play"]["straight"].update(bars=0.5),
    "too long a rest": lambda p: p["exercises"][0].update(rest_s=601),
    "a note that is none": lambda p: p["exercises"][0].update(note="H4"),
    "an unknown voicing": lambda p: p["exercises"][0].update(voicing="cluster"),
    "a band out of range": lambda p: p["exercises"][0]["bands"].update(depth_db=31),
    "no values": lambda p: p["exercises"][1]["play"]["pulses"].update(values=[]),
    "an unknown value": lambda p: p["exercises"][1]["play"]["pulses"].update(values=["halves"]),
    "a ladder of free vibrato": lambda p: p["exercises"][2]["play"]["ladder"].update(value="free"),
    "nobody matched": lambda p: p["exercises"][2]["play"]["ladder"].update(matched=0),
    "ease of a straight tone": lambda p: p["exercises"][3]["play"]["ease"].update(value="straight"),
    "a hairpin without a way up": lambda p: p["exercises"][4]["play"]["hairpin"].update(growing=0),
    "a note without a length": lambda p: p["exercises"][5]["play"]["music"]["notes"][1].pop("beats"),
    "a note of no beats": lambda p: p["exercises"][5]["play"]["music"]["notes"][1].update(beats=0),
}
# The same, where no schema can tell.
BAD_BEYOND_THE_SCHEMA = {
    "a ladder that goes down": lambda p: p["exercises"][2]["play"]["ladder"].update(from_bpm=88),
    "a rung that is no metronome mark": lambda p: p["exercises"][2]["play"]["ladder"].update(to_bpm=79),
    "a hairpin that shrinks first": lambda p: p["exercises"][4]["play"]["hairpin"].update({"from": "ff"}),
    "a tie to another note": lambda p: p["exercises"][5]["play"]["music"]["notes"][1].update(note="A4"),
    "a tie over a rest": lambda p: p["exercises"][5]["play"]["music"]["notes"][1].pop("note"),
    "no vibrato in an ease": lambda p: p["exercises"][3]["play"]["ease"].update(growing=0, full=0, fading=0),
    "a tempo that changes without an end": lambda p: p["exercises"][1].update(
        play={"pulses": {"bpm": 60, "bpm_to": 80, "values": ["eighths"]}}),
}
# Put in the place of a number, text, list or object at random.
ODD = [-1, 0, 0.5, 1, 2, 3, 12, 13, 16, 17, 32, 33, 64, 65, 79, 80, 300, 301, 1e6, "", "f", "F4", "sixteenths", "by-hand",
       "x" * 81, None, True, [], ["free"], {}, {"bpm": 60}]


def is_taken(plan):
    """Whether the program takes a plan; a message has to come with a refusal."""
    done = subprocess.run([windrow.program(), "plan", "check", "-"], input=json.dumps(plan), capture_output=True, text=True)
    if done.returncode not in (0, 1) or not done.stdout or (done.returncode == 1 and done.stdout.count("\n") < 2):
        raise SystemExit(f"windrow plan check ended with {done.returncode}: {done.stdout}{done.stderr}")
    return done.returncode == 0


def changed(plan, change):
    plan = copy.deepcopy(plan)
    change(plan)
    return plan


def damaged(plan, chance):
    """A copy with something odd in one random place, or without it."""
    plan = copy.deepcopy(plan)
    places = []

    def collect(value):
        for key in value if isinstance(value, dict) else range(len(value)):
            places.append((value, key))
            if isinstance(value[key], (dict, list)):
                collect(value[key])

    collect(plan)
    holder, key = chance.choice(places)
    if chance.random() < 0.2:
        del holder[key]
    else:
        holder[key] = copy.deepcopy(chance.choice(ODD))
    return plan


def run(n_damaged):
    """What was looked at, in a sentence, and what does not hold."""
    printed = subprocess.run([windrow.program(), "plan", "schema"], capture_output=True, text=True, check=True).stdout
    schema = json.loads(printed)
    jsonschema.Draft202012Validator.check_schema(schema)
    is_good = jsonschema.Draft202012Validator(schema).is_valid
    broken = []

    def expect(what, plan, by_schema, by_program):
        if is_good(plan) != by_schema:
            broken.append(f"{what}: the schema {'takes' if not by_schema else 'refuses'} it")
        if is_taken(plan) != by_program:
            broken.append(f"{what}: the program {'takes' if not by_program else 'refuses'} it")

    expect("a plan with every field", FULL, True, True)
    files = sorted((windrow.PROJECT / "server" / "plans").glob("*.json"))
    plans = [path for path in files if path.name != "plan.schema.json"]
    for path in plans:
        expect(path.name, json.loads(path.read_text(encoding="utf-8")), True, True)
    for what, change in BAD.items():
        expect(what, changed(FULL, change), False, False)
    for what, change in BAD_BEYOND_THE_SCHEMA.items():
        expect(what, changed(FULL, change), True, False)
    chance = random.Random(6)
    n_taken = 0
    for _ in range(n_damaged):
        plan = damaged(FULL, chance)
        taken = is_taken(plan)
        n_taken += taken
        if taken and not is_good(plan):
            broken.append(f"the program takes what the schema refuses: {json.dumps(plan)}")
    if not 0 < n_taken < n_damaged:
        broken.append(f"of {n_damaged} damaged plans {n_taken} are taken: the damage shows nothing")
    n_bad = len(BAD) + len(BAD_BEYOND_THE_SCHEMA)
    said = f"{len(plans) + 1} good and {n_bad} bad ones, {n_damaged} damaged at random ({n_taken} still good)"
    return said, broken
