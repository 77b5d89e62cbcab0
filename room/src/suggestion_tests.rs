//! Each reason and the step that follows from it, from results made up by hand.

use super::*;
use windrow_protocol::messages::{Brief, GoOn, Measures, RungNow, SectionResult};
use windrow_protocol::score::{PerBeat, Target, TickFrom};
use windrow_protocol::units::{Bpm, Name, Share};
use windrow_words::InEnglish as _;

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

fn player(chair: u16, state: State) -> PlayerResult {
    let names = ["Imogen", "Wren", "Hollis", "Tobias", "Linnet", "Rowan", "Maren", "Piers"];
    let is_judged = !matches!(state, State::Blended | State::NotHeard | State::Resting);
    let matched = if state == State::Matched { 0.9 } else { 0.1 };
    PlayerResult {
        player_id: format!("p{chair}"),
        chair,
        name: Name::new(names[usize::from(chair) - 1]).unwrap(),
        part: String::new(),
        whole: Measures {
            state,
            trusted: Share::new(0.9).unwrap(),
            matched: Share::new(matched).ok().filter(|_| is_judged),
            n_pulses: 40,
            pulse_rate_hz: None,
            pulses_per_beat: None,
            timing_ms: None,
            depth_db_pp: None,
            swing_cents_pp: None,
            centre_cents: None,
            drift_cents: None,
            from_straight_cents: None,
            evenness_cv: None,
        },
        spans: Vec::new(),
        ease_beats: None,
        hairpin: None,
    }
}

fn run(states: &[State]) -> Run {
    let players: Vec<PlayerResult> = (1..).zip(states).map(|(chair, &state)| player(chair, state)).collect();
    let judged = players.iter().filter(|p| p.whole.matched.is_some());
    let n_matched = players.iter().filter(|p| p.whole.state == State::Matched).count() as u16;
    let out = judged.clone().filter(|p| p.whole.state != State::Matched).map(|p| p.chair).collect();
    let n_judged = judged.count() as u16;
    Run {
        number: 2,
        exercise: 4,
        name: "Triplets".into(),
        is_over: true,
        imaginary: false,
        spans: Vec::new(),
        section: SectionResult {
            n_judged,
            n_matched,
            matched: Share::new(f64::from(n_matched) / f64::from(n_judged.max(1))).ok(),
            out,
            ..SectionResult::default()
        },
        players,
    }
}

struct Made {
    latest: Latest,
    before: Option<Run>,
    exercise: ExerciseNow,
    settings: Settings,
    tired: Option<Tired>,
}

/// Triplets at 66 in unison, a short time after another exercise.
fn made(states: &[State]) -> Made {
    Made {
        latest: Latest { run: run(states), bars: 4.0 },
        before: None,
        exercise: ExerciseNow {
            name: "Triplets".into(),
            number: 4,
            of: 9,
            has_end: true,
            held: false,
            can_go_on: false,
            plan: String::new(),
            brief: Brief::default(),
            next: Some("Sixteenths".into()),
            names: Vec::new(),
            rung: None,
            rest_s: 0,
            rest_until_us: None,
        },
        settings: Settings {
            bpm: bpm(66.0),
            slower_bpm: Some(bpm(63.0)),
            faster_bpm: Some(bpm(69.0)),
            beats_per_bar: 4,
            target: Target::Pulses { per_beat: PerBeat::new(3).unwrap() },
            count_in_bars: 1,
            note: None,
            notes: Vec::new(),
            voicing: Voicing::Unison,
            tuning: windrow_protocol::voicing::Tuning::default(),
            turns: Turns::Together,
            flow: windrow_protocol::messages::Flow::default(),
            tick: TickFrom::default(),
        },
        tired: None,
    }
}

fn check(made: &Made, step: NextStep, text: &str, reason: &str) {
    let situation = || Situation {
        latest: Some(&made.latest),
        before: made.before.as_ref(),
        exercise: &made.exercise,
        settings: &made.settings,
        tired: made.tired,
    };
    let said = suggest(&situation()).unwrap();
    assert_eq!((said.step, said.text.as_str(), said.reason.as_str()), (step, text, reason));
    assert_eq!(suggest(&situation()).unwrap(), said);
}

use State::{Blended, Fast, Matched, NotHeard, Resting, Shallow, Slow};

const SEVEN_OF_EIGHT: [State; 8] = [Matched, Matched, Fast, Matched, Matched, Matched, Matched, Matched];

#[test]
fn matched_once_is_played_again_and_twice_is_gone_on_from() {
    let mut m = made(&SEVEN_OF_EIGHT);
    check(&m, NextStep::Again, "Once more, to be sure.", "seven of eight were matched");
    m.before = Some(run(&SEVEN_OF_EIGHT));
    let twice = "seven of eight were matched, twice running";
    check(&m, NextStep::Next, "Go on to \u{201c}Sixteenths\u{201d}.", twice);
    // The one before was another exercise.
    m.before = Some(Run { exercise: 3, ..run(&SEVEN_OF_EIGHT) });
    check(&m, NextStep::Again, "Once more, to be sure.", "seven of eight were matched");
    // Eight bars stand for twice.
    m.latest.bars = 8.0;
    let long = "seven of eight were matched for most of the time";
    check(&m, NextStep::Next, "Go on to \u{201c}Sixteenths\u{201d}.", long);
}

#[test]
fn most_too_fast_or_too_slow_take_it_slower() {
    let m = made(&[Fast, Fast, Fast, Matched, Matched]);
    check(&m, NextStep::Slower, "Take it slower: 63.", "three of five were fast");
    let m = made(&[Fast, Slow, Slow, Matched, Matched]);
    check(&m, NextStep::Slower, "Take it slower: 63.", "one of five was fast, two slow");
}

#[test]
fn one_is_spoken_to_and_two_are_heard_alone() {
    let m = made(&[Matched, Shallow, Matched]);
    check(&m, NextStep::Again, "Speak to Wren, then play it once more.", "Wren was shallow");
    let mut m = made(&[Matched, Shallow, Fast, Matched, Matched]);
    let reason = "Wren was shallow, Hollis was fast";
    check(&m, NextStep::DownTheLine, "Hear them one after another.", reason);
    m.settings.turns = Turns::DownTheLine;
    check(&m, NextStep::Again, "Speak to Wren and Hollis, then play it once more.", reason);
}

#[test]
fn who_blends_in_unison_is_spread_over_a_chord() {
    let mut m = made(&[Matched, Shallow, Fast, Slow, Blended, Blended]);
    let reason = "two of six could not be told from their neighbours on one note";
    check(&m, NextStep::Spread, "Spread the notes over a chord.", reason);
    m.settings.voicing = Voicing::Triad;
    check(&m, NextStep::Again, "Play it once more.", "one of four was matched");
    let mut m = made(&[Matched, Blended, Blended, Blended]);
    let reason = "three of four could not be told from their neighbours on one note";
    check(&m, NextStep::Spread, "Spread the notes over a chord.", reason);
    m.settings.voicing = Voicing::Triad;
    let reason = "three of four could not be told from their neighbours";
    check(&m, NextStep::DownTheLine, "Hear them one after another.", reason);
}

#[test]
fn where_too_few_were_heard_the_microphones_come_first() {
    let mut m = made(&[Matched, NotHeard, NotHeard, Resting]);
    let longer = "two of three were heard for too short a time to say more";
    check(&m, NextStep::Again, "Play it once more, and a little longer.", longer);
    m.latest.run.players.iter_mut().for_each(|p| p.whole.trusted = Share::new(0.1).unwrap());
    let text = "Look at the microphones, then play it once more.";
    check(&m, NextStep::Again, text, "two of three were not heard");
}

#[test]
fn a_ladder_that_fell_apart_goes_a_rung_back() {
    let mut m = made(&[Fast, Slow, Shallow, Matched]);
    m.exercise.rung = Some(RungNow { number: 3, of: 7, go_on: GoOn::ByHand });
    check(&m, NextStep::StepBack, "Go one rung back.", "one of four was matched");
    m.exercise.rung = Some(RungNow { number: 1, of: 7, go_on: GoOn::ByHand });
    check(&m, NextStep::Slower, "Take it slower: 63.", "one of four was matched");
}

#[test]
fn a_fault_that_most_share_is_named() {
    let m = made(&[Shallow, Shallow, Shallow, Matched]);
    check(&m, NextStep::Again, "Once more, with bigger pulses.", "three of four were shallow");
}

#[test]
fn a_rest_comes_before_everything() {
    let mut m = made(&SEVEN_OF_EIGHT);
    m.tired = Some(Tired::Played(12));
    let reason = "12 minutes have been played without a rest";
    check(&m, NextStep::Rest, "Rest first, for two minutes.", reason);
    m.tired = Some(Tired::Loud(21));
    check(&m, NextStep::Rest, "Rest first, for two minutes.", "21 minutes of the last half hour were loud");
}

#[test]
fn results_of_another_exercise_suggest_nothing() {
    let mut m = made(&SEVEN_OF_EIGHT);
    m.exercise.number = 5;
    let (latest, exercise, settings) = (Some(&m.latest), &m.exercise, &m.settings);
    assert_eq!(suggest(&Situation { latest, before: None, exercise, settings, tired: None }), None);
    let m = made(&[Resting, Resting]);
    let (latest, exercise, settings) = (Some(&m.latest), &m.exercise, &m.settings);
    assert_eq!(suggest(&Situation { latest, before: None, exercise, settings, tired: None }), None);
}

#[test]
fn after_the_last_exercise_there_is_no_next() {
    let mut m = made(&SEVEN_OF_EIGHT);
    (m.exercise.next, m.before) = (None, Some(run(&SEVEN_OF_EIGHT)));
    check(&m, NextStep::Again, "Speak to Hollis, then play it once more.", "Hollis was fast");
}
