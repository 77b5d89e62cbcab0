//! What players need, from made-up runs. Tempos are those of a metronome, by hand.

use super::*;
use windrow_protocol::messages::SectionResult;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Name, Share};

fn measures(state: State) -> Measures {
    let trusted = if state == State::NotHeard { 0.0 } else { 0.9 };
    let golden = include_str!("../../web/protocol/golden/results.json");
    let all: Vec<windrow_protocol::messages::Results> = serde_json::from_str(golden).unwrap();
    Measures { state, trusted: Share::new(trusted).unwrap(), ..all[0].runs[0].players[0].whole }
}

/// One player's runs, each a value, a tempo and what it came to; 0 is a straight tone.
fn check(runs: &[(u8, f64, State)], expected: Option<(State, PractiseHow, u8, f64, f64)>) {
    let made: Vec<(Run, PartAsked)> = runs.iter().map(|&(n, bpm, state)| run(n, bpm, state)).collect();
    let played: Vec<Played<'_>> =
        made.iter().map(|(run, asked)| (run, std::slice::from_ref(asked))).collect();
    let found = needs(&played).pop().map(|need| {
        let Practise { how, per_beat, bpm, then_bpm } = need.practise;
        let told = |bpm: Option<Bpm>| bpm.map_or(0.0, Bpm::get);
        (need.state, how, per_beat.map_or(0, PerBeat::get), told(bpm), told(then_bpm))
    });
    assert_eq!(found, expected, "{runs:?}");
}

fn run(per_beat: u8, bpm: f64, state: State) -> (Run, PartAsked) {
    let target = PerBeat::new(per_beat).map_or(Target::Straight, |per_beat| Target::Pulses { per_beat });
    let player = PlayerResult {
        player_id: "a".to_owned(),
        chair: 1,
        name: Name::new("Wren").unwrap(),
        part: String::new(),
        whole: measures(state),
        spans: vec![Some(measures(state))],
        ease_beats: None,
        hairpin: None,
    };
    let run = Run {
        number: 1,
        exercise: 1,
        name: Phrase::default(),
        is_over: true,
        imaginary: false,
        spans: vec![Phrase::default()],
        section: SectionResult::default(),
        players: vec![player],
    };
    (run, PartAsked { target, bpm: Bpm::new(bpm).unwrap() })
}

#[test]
fn who_was_matched_is_ready_for_the_next_mark_of_the_fastest() {
    use State::{Late, Matched};
    let ready = |n, bpm| Some((Matched, PractiseHow::Faster, n, bpm, 0.0));
    // 3 x 69 is more than 1 x 120.
    check(&[(1, 120.0, Matched), (3, 69.0, Matched)], ready(3, 72.0));
    // One slip of five.
    check(
        &[(1, 60.0, Matched), (2, 60.0, Late), (3, 66.0, Matched), (2, 60.0, Matched), (1, 60.0, Matched)],
        ready(3, 69.0),
    );
    check(&[(0, 60.0, Matched)], Some((Matched, PractiseHow::Next, 0, 0.0, 0.0)));
}

#[test]
fn a_fault_is_practised_where_it_was_shown() {
    use State::{Fast, Late, Matched, Shallow, Uneven};
    check(&[(3, 66.0, Matched), (3, 66.0, Fast)], Some((Fast, PractiseHow::SlowerThenBack, 3, 63.0, 66.0)));
    check(&[(4, 60.0, Uneven)], Some((Uneven, PractiseHow::Slower, 4, 54.0, 0.0)));
    check(&[(4, 60.0, Shallow)], Some((Shallow, PractiseHow::Deep, 1, 60.0, 0.0)));
    check(&[(2, 60.0, Late)], Some((Late, PractiseHow::WithTick, 2, 58.0, 0.0)));
    // Pulses where a straight tone was asked.
    check(&[(0, 60.0, Uneven)], Some((Uneven, PractiseHow::Straight, 0, 0.0, 0.0)));
    // There is no slower mark than 40.
    check(&[(3, 40.0, Fast)], Some((Fast, PractiseHow::SlowerThenBack, 3, 40.0, 0.0)));
}

#[test]
fn of_several_faults_the_one_that_stood_longest_and_lately_counts() {
    use State::{Fast, Matched, PitchLed, Sharp};
    let practised = |runs: &[(u8, f64, State)], state| {
        let made: Vec<_> = runs.iter().map(|&(n, bpm, s)| run(n, bpm, s)).collect();
        let played: Vec<Played<'_>> =
            made.iter().map(|(r, asked)| (r, std::slice::from_ref(asked))).collect();
        assert_eq!(needs(&played)[0].state, state, "{runs:?}");
    };
    practised(&[(1, 60.0, Sharp), (2, 60.0, Matched), (3, 60.0, Fast)], Fast);
    practised(&[(1, 60.0, Sharp), (2, 60.0, Sharp), (3, 60.0, Fast)], Sharp);
    practised(&[(1, 60.0, PitchLed), (2, 60.0, Matched), (3, 60.0, Matched)], Matched);
}

#[test]
fn who_could_not_be_heard_is_helped_to_be_heard() {
    use State::{Blended, Matched, NotHeard, Resting};
    check(
        &[(3, 66.0, Matched), (3, 66.0, Blended), (3, 66.0, Blended)],
        Some((Blended, PractiseHow::DownTheLine, 0, 0.0, 0.0)),
    );
    check(&[(3, 66.0, NotHeard)], Some((NotHeard, PractiseHow::Microphone, 0, 0.0, 0.0)));
    check(&[(3, 66.0, Resting)], None);
    check(&[], None);
}

#[test]
fn every_state_that_can_be_acted_on_has_something_to_practise() {
    for state in State::ALL.into_iter().filter(|&s| urgency(s).is_some()) {
        let (run, asked) = run(3, 66.0, state);
        let all = needs(&[(&run, std::slice::from_ref(&asked))]);
        assert_eq!((all.len(), all[0].state), (1, state));
        let has_tempo = all[0].practise.bpm.is_some();
        assert_eq!(has_tempo, all[0].practise.per_beat.is_some(), "{state:?}");
    }
}
