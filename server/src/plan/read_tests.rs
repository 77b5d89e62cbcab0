//! Plans from text: what is taken, and what a teacher is told of what is not.

use super::*;
use crate::words::Language;
use proptest::prelude::*;
use serde_json::{Value, json};

/// A plan of these exercises.
fn plan_of(exercises: Value) -> Value {
    json!({
        "format": "windrow-plan", "version": 1, "name": "monday", "title": "Monday", "exercises": exercises
    })
}

fn complaints(value: &Value) -> Vec<String> {
    read(&value.to_string())
        .map_or_else(|bad| bad.found().iter().map(ToString::to_string).collect(), |_| Vec::new())
}

/// A plan of one exercise with this play is refused with this message alone.
fn refused(play: Value, message: &str) {
    assert_eq!(complaints(&plan_of(json!([{ "title": "Try", "play": play }]))), [message]);
}

fn accepted(play: Value) {
    assert_eq!(complaints(&plan_of(json!([{ "play": play }]))), Vec::<String>::new());
}

#[test]
fn every_built_in_plan_is_good_and_stands_in_its_file_as_it_is_written() {
    let names: Vec<&str> = built_in(Language::English).iter().map(|plan| plan.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "first-lesson",
            "first-fortnight",
            "daily-ten-minutes",
            "matching-a-section",
            "vibrato-with-the-tuner",
            "hairpins",
            "into-music"
        ]
    );
    for language in Language::ALL {
        for (plan, text) in built_in(language).iter().zip(built_in::files(language)) {
            assert_eq!(check(plan), [], "{}", plan.name);
            assert_eq!(text.replace("\r\n", "\n"), write(plan), "{}: lay it out as on the right", plan.name);
            assert_eq!(built_in_named(&plan.name, language), Some(plan));
        }
    }
    assert_eq!(built_in_named("nothing", Language::English), None);
}

#[test]
fn a_number_out_of_range_is_told_with_its_place_and_the_range() {
    let ladder =
        json!({ "ladder": { "from_bpm": 400, "to_bpm": 80, "value": "eighths", "bars_per_rung": 4 } });
    let straight = json!({ "play": { "straight": { "bpm": 60 } } });
    let plan = plan_of(json!([straight, straight, straight, { "title": "Ladder", "play": ladder }]));
    assert_eq!(
        complaints(&plan),
        ["exercise 4, \"Ladder\", play.ladder.from_bpm: tempo (bpm) must be from 20 to 300, but is 400"]
    );
    refused(
        json!({ "straight": { "bpm": 60, "bars": 65 } }),
        "exercise 1, \"Try\", play.straight.bars: must be from 1 to 64, but is 65",
    );
    refused(
        json!({ "straight": { "bpm": 60, "bars": -1 } }),
        "exercise 1, \"Try\", play.straight.bars: must be from 1 to 64, but is -1",
    );
    refused(
        json!({ "straight": { "bpm": 60, "bars": 2.5 } }),
        "exercise 1, \"Try\", play.straight.bars: must be a whole number, 0 or more, but is 2.5",
    );
    refused(
        json!({ "music": { "bpm": 60, "notes": [{ "note": "F4", "beats": 4 }, { "note": "F4", "beats": 0 }] } }),
        "exercise 1, \"Try\", play.music, note 2, beats: must be above 0 and at most 64, but is 0",
    );
}

#[test]
fn a_wrong_name_is_told_with_the_one_that_was_meant() {
    refused(
        json!({ "straight": { "bpn": 60 } }),
        "exercise 1, \"Try\", play.straight: there is no \"bpn\" here; did you mean \"bpm\"? There may be: \"bpm\", \
         \"bars\", \"dynamic\"",
    );
    let known = "There may be: \"straight\", \"quarters\", \"eighths\", \"triplets\", \"sixteenths\", \
                 \"quintuplets\", \"sextuplets\", \"free\", \"rest\"";
    refused(
        json!({ "pulses": { "bpm": 60, "values": ["quarters", "tripplets"] } }),
        &format!(
            "exercise 1, \"Try\", play.pulses, value 2: there is no \"tripplets\" here; did you mean \
             \"triplets\"? {known}"
        ),
    );
    refused(
        json!({ "lader": {} }),
        "exercise 1, \"Try\", play: there is no \"lader\" here; did you mean \"ladder\"? There may be: \"straight\", \
         \"pulses\", \"ladder\", \"ease\", \"hairpin\", \"music\", \"free\"",
    );
}

#[test]
fn a_value_of_the_wrong_kind_is_told_with_what_stands_there() {
    refused(
        json!({ "straight": { "bpm": "60" } }),
        "exercise 1, \"Try\", play.straight.bpm: must be a number, but is the text \"60\"",
    );
    refused(
        json!({ "straight": [60, 4] }),
        "exercise 1, \"Try\", play.straight: must not be a list in square brackets",
    );
    refused(json!({ "straight": {} }), "exercise 1, \"Try\", play.straight: \"bpm\" is missing");
    refused(
        json!({ "pulses": { "bpm": 60, "values": "quarters" } }),
        "exercise 1, \"Try\", play.pulses.values: must be a list in square brackets, but is the text \"quarters\"",
    );
    let one_kind =
        "an object with one name in it, that of what is played, such as {\"straight\": {\"bpm\": 60}}";
    refused(
        json!("straight"),
        &format!("exercise 1, \"Try\", play.straight: must be {one_kind}, but is only its name"),
    );
    refused(json!(3), &format!("exercise 1, \"Try\", play: must be {one_kind}, but is 3"));
    refused(
        json!({ "music": { "bpm": 60, "notes": [{ "note": "H4", "beats": 1 }] } }),
        "exercise 1, \"Try\", play.music, note 1, note: \"H4\" is not a note: write a letter, # or b if needed, and \
         an octave, such as C4, F#3 or Bb2",
    );
}

#[test]
fn what_makes_no_sense_together_is_refused() {
    let ladder = |from, to, value| json!({ "ladder": { "from_bpm": from, "to_bpm": to, "value": value, "bars_per_rung": 4 } });
    let at = |field: &str, text: &str| format!("exercise 1, \"Try\", play.{field}: {text}");
    refused(
        ladder(80, 60, "eighths"),
        &at("ladder.to_bpm", "must be faster than from_bpm (80), since a ladder goes up, but is 60"),
    );
    refused(
        ladder(60, 79, "eighths"),
        &at("ladder.to_bpm", "must be a mark of the metronome, such as 76 or 80, but is 79"),
    );
    refused(
        ladder(60, 80, "free"),
        &at("ladder.value", "must be counted pulses, such as \"triplets\": there is no ladder of \"free\""),
    );
    accepted(ladder(40, 208, "eighths"));
    refused(
        json!({ "hairpin": { "bpm": 60, "values": ["free"], "from": "f", "to": "p", "growing": 4, "fading": 4 } }),
        &at("hairpin.to", "must be louder than from, since a hairpin grows first"),
    );
    refused(
        json!({ "pulses": { "bpm": 60, "bpm_to": 80, "values": ["eighths"] } }),
        &at("pulses.times", "is missing: a tempo that changes on the way needs an end"),
    );
    let none = json!({ "ease": {
        "bpm": 60, "value": "eighths", "straight": 4, "growing": 0, "full": 0, "fading": 0, "straight_after": 4
    } });
    refused(none, &at("ease", "growing, full and fading are all 0: at least one needs a length"));
}

#[test]
fn ties_lead_to_the_same_note() {
    let music = |notes: Value| json!({ "music": { "bpm": 60, "notes": notes } });
    let at = |text: &str| format!("exercise 1, \"Try\", play.music, note 1, tied: {text}");
    let tied = |note: &str| json!({ "note": note, "beats": 2, "tied": true });
    let after = |next: Value| music(json!([tied("F4"), next]));
    refused(
        after(json!({ "note": "G4", "beats": 2 })),
        &at("leads from F4 to G4: a tie holds the same note, so take it away"),
    );
    refused(after(json!({ "beats": 2 })), &at("goes over to a rest: a tie leads to the same note"));
    refused(music(json!([tied("F4")])), &at("ties the last note, after which there is none"));
    accepted(after(json!({ "note": "F4", "beats": 2 })));
    // The same key by two names.
    accepted(music(json!([tied("F#4"), { "note": "Gb4", "beats": 1 }])));
}

#[test]
fn everything_that_is_wrong_is_told_at_once() {
    let mut plan = plan_of(json!([
        { "play": { "straight": { "bpm": 5 } } },
        { "play": { "free": { "bpm": 60 } }, "rest_s": 601, "bands": { "depth_db": 31 } }
    ]));
    plan["name"] = json!("My Plan!");
    plan["beats_per_bar"] = json!(13);
    assert_eq!(
        complaints(&plan),
        [
            "beats_per_bar: must be from 1 to 12, but is 13",
            "name: must be small letters, digits and hyphens, such as \"first-lesson\", but is \"My Plan!\"",
            "exercise 1 (straight), play.straight.bpm: tempo (bpm) must be from 20 to 300, but is 5",
            "exercise 2 (free), rest_s: must be from 0 to 600, but is 601",
            "exercise 2 (free), bands.depth_db: must be from 0 to 30, but is 31",
        ]
    );
}

#[test]
fn what_is_no_plan_is_told_from_a_plan_with_a_mistake() {
    let one = |text: &str| read(text).unwrap_err().to_string();
    assert_eq!(one(""), "the file is empty");
    assert_eq!(
        one("[]"),
        "this is not a plan: a plan begins with \"format\": \"windrow-plan\", \"version\": 1"
    );
    assert!(one("{}").starts_with("\"format\" is missing"));
    assert!(one("<score-partwise/>").starts_with("this is XML"));
    let mut newer = plan_of(json!([]));
    newer["version"] = json!(2);
    newer["colours"] = json!(true);
    assert_eq!(
        complaints(&newer),
        ["this file is of version 2, this Windrow reads up to 1: get a newer Windrow"]
    );
    assert_eq!(
        complaints(&plan_of(json!([]))),
        ["exercises: must not be empty: at least one has to stand there"]
    );
    let big = format!("\"{}\"", "x".repeat(1 << 20));
    assert_eq!(one(&big), "the file is too big: 1024 KiB, and a plan has at most 1024");
    // Deeper than any plan, as a file of brackets alone may be.
    assert!(read(&"[".repeat(100_000)).is_err());
}

#[test]
fn broken_signs_are_told_by_line() {
    let good = write(&built_in(Language::English)[0]);
    let with = |from: &str, to: &str| read(&good.replacen(from, to, 1)).unwrap_err().to_string();
    assert_eq!(
        with("\"version\": 1,", "\"version\": 1"),
        "line 4, column 3: a comma or the closing \"}\" is missing (the line is: \"name\": \"first-lesson\",)"
    );
    assert_eq!(
        with("\"version\": 1,", "version: 1,"),
        "line 3, column 3: a name in double quotes has to stand here (the line is: version: 1,)"
    );
    assert_eq!(
        with("\"version\": 1,", "\"version\": 1, \"version\": 1,"),
        "line 3, column 25: \"version\" stands here twice: take one of them away (the line is: \"version\": 1, \"version\": 1,)"
    );
    assert!(read(&good[..200]).unwrap_err().to_string().contains("the file ends too early"));
    assert!(read(&format!("\u{feff}{good}")).is_ok());
}

/// A plan as an editor could make it, of parts that are all allowed.
fn any_plan() -> impl Strategy<Value = Plan> {
    let some = proptest::collection::vec(
        0..built_in(Language::English).iter().map(|p| p.exercises.len()).sum::<usize>(),
        1..12,
    );
    (some, 1_u8..=12, "[ -~äß♯\"\\\\]{1,40}", 200_u16..=3000).prop_map(
        |(picked, beats_per_bar, text, bpm)| {
            let all: Vec<Exercise> =
                built_in(Language::English).iter().flat_map(|plan| plan.exercises.clone()).collect();
            let mut exercises: Vec<Exercise> = picked.iter().map(|&i| all[i].clone()).collect();
            for exercise in &mut exercises {
                exercise.say.clone_from(&text);
                if let Play::Pulses(pulses) = &mut exercise.play {
                    pulses.bpm = windrow_protocol::units::Bpm::new(f64::from(bpm) / 10.0).unwrap();
                }
            }
            Plan { beats_per_bar, exercises, takes: text, ..built_in(Language::English)[0].clone() }
        },
    )
}

proptest! {
    #[test]
    fn what_is_written_reads_back_equal(plan in any_plan()) {
        let text = write(&plan);
        prop_assert_eq!(read(&text).unwrap(), plan);
        prop_assert!(text.lines().all(|line| line.chars().count() <= 400));
    }

    #[test]
    fn no_text_breaks_the_reader(text in ".{0,200}", at in 0_usize..2000, cut in 0_usize..40) {
        let _ = read(&text);
        let mut damaged: Vec<char> = write(&built_in(Language::English)[0]).chars().collect();
        let at = at.min(damaged.len());
        damaged.splice(at..(at + cut).min(damaged.len()), text.chars());
        // A damaged plan is either still one or is refused with something to read.
        if let Err(bad) = read(&damaged.into_iter().collect::<String>()) {
            prop_assert!(!bad.to_string().is_empty());
        }
    }
}

#[test]
fn a_file_that_is_wrong_a_hundred_thousand_times_is_told_so_in_two_hundred_lines() {
    let head = format!(r#"{{"format": "{FORMAT}", "version": 1, "exercises": ["#);
    let numbers = format!("{head}{}]}}", vec!["1"; 100_000].join(","));
    assert_eq!(read(&numbers).unwrap_err().found().len(), 200);
    // Each of them would repeat the name.
    let name = "n".repeat(400_000);
    let nulls: Vec<String> = (0..40_000).map(|i| format!("\"{i}\": null")).collect();
    let nested = format!("{head}{{\"{name}\": {{{}}}}}]}}", nulls.join(", "));
    let said = read(&nested).unwrap_err();
    assert!(said.found().len() == 200 && said.to_string().len() < 100_000, "{}", said.to_string().len());
}
