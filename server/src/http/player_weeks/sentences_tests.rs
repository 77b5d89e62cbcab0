//! Every rule has a sentence, in both languages, and says what a teacher would.

use super::*;
use crate::weeks::{IsoWeek, Rung};
use crate::words::Language;
use windrow_protocol::messages::{Practise, PractiseHow};
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

fn rung_of(per_beat: u8, bpm: f64) -> Rung {
    Rung { per_beat: PerBeat::new(per_beat).unwrap(), bpm: Bpm::new(bpm).unwrap() }
}

fn triplets(bpm: f64) -> Rung {
    rung_of(3, bpm)
}

fn home(at: Rung) -> Option<AtHome> {
    let practise =
        Practise { how: PractiseHow::Slower, per_beat: Some(at.per_beat), bpm: Some(at.bpm), then_bpm: None };
    Some(AtHome { practise, breaths: 10 })
}

fn english() -> Words {
    Words::new(Language::English)
}

#[test]
fn the_next_rung_comes_with_its_reason_and_something_for_home() {
    let to = Next {
        rung: Some(triplets(66.0)),
        why: Why::Onwards { held: triplets(63.0), n_weeks: 2 },
        home: home(triplets(60.0)),
    };
    let told = next(english(), &to, None);
    assert_eq!(told.headline, "Next: triplets at 66");
    assert_eq!(told.reason, "Held in 2 weeks lately: 63.");
    assert_eq!(told.home, "At home: triplets at 60, 10 breaths, then a rest.");
    let told = next(english(), &to, Some("Daily ten minutes"));
    assert_eq!(told.home, "At home: the plan that your teacher has set, “Daily ten minutes”.");
}

#[test]
fn a_rung_of_another_subdivision_is_named_whole() {
    let to = Next {
        rung: Some(triplets(60.0)),
        why: Why::Onwards { held: rung_of(2, 88.0), n_weeks: 3 },
        home: None,
    };
    assert_eq!(next(english(), &to, None).reason, "Held in 3 weeks lately: eighths at 88.");
}

#[test]
fn depth_that_is_missing_is_told_in_figures() {
    let stay = Next {
        rung: Some(triplets(63.0)),
        why: Why::Deepen { held: triplets(63.0), depth_db_pp: 2.04 },
        home: None,
    };
    let german = next(Words::new(Language::German), &stay, None);
    assert_eq!(
        german.reason,
        "Hier bleiben und die Pulse größer machen: Sie sind 2,0 dB tief, 3 dB sollen es sein."
    );
}

#[test]
fn every_rule_has_words_without_a_gap_left_open() {
    let (held, tried, state) = (triplets(63.0), triplets(66.0), Some(State::Slow));
    let whys = [
        Why::Nothing,
        Why::FirstPulses,
        Why::Away { n_weeks: 5, held: Some(held) },
        Why::Away { n_weeks: 5, held: None },
        Why::TooFast { tried, n_weeks: 3 },
        Why::NotYet { in_the_way: None },
        Why::NotYet { in_the_way: state },
        Why::Stuck { held, tried, n_weeks: 3, in_the_way: state },
        Why::Stuck { held, tried, n_weeks: 3, in_the_way: None },
        Why::Deepen { held, depth_db_pp: 2.0 },
        Why::AtHome { held },
        Why::TryAgain { held },
        Why::OnceMore { held },
        Why::Onwards { held, n_weeks: 2 },
        Why::Musical { held },
    ];
    for language in Language::ALL {
        for why in whys {
            for rung in [None, Some(tried)] {
                let told = next(Words::new(language), &Next { rung, why, home: home(held) }, None);
                for text in [&told.headline, &told.reason, &told.home] {
                    assert!(text.contains(' ') && !text.contains(['{', '$']), "{why:?}: {text}");
                }
            }
        }
        let measures = [
            Measure::Matched,
            Measure::TimingSpread,
            Measure::Rate,
            Measure::Evenness,
            Measure::Depth,
            Measure::Centre,
            Measure::FromStraight,
        ];
        let all = measures.map(|measure| Better::Measure { measure, before: 20.0, now: 10.0, n_weeks: 8 });
        for text in better(Words::new(language), &all, &[]) {
            assert!(text.contains(' ') && !text.contains(['{', '$']), "{text}");
        }
    }
}

#[test]
fn what_got_better_has_both_numbers_in_its_unit() {
    let week = IsoWeek::of_unix_ms(1_790_000_000_000);
    let said = [
        Better::Rung { to: triplets(66.0), since: week, before: Some(triplets(63.0)) },
        Better::Rung { to: triplets(60.0), since: week, before: Some(rung_of(2, 72.0)) },
        Better::Measure { measure: Measure::Matched, before: 0.55, now: 0.8, n_weeks: 8 },
        Better::Measure { measure: Measure::Rate, before: 0.042, now: 0.018, n_weeks: 8 },
    ];
    // 1790000000 is 21 September 2026 (GNU date -u), a Monday.
    assert_eq!(
        better(english(), &said, &[]),
        [
            "New since 21 Sept: triplets at 66 held. Before that it was 63.",
            "New since 21 Sept: triplets at 60 held. Before that it was eighths at 72.",
            "Matched for more of the time: 80 % now, 55 % before.",
            "Pulses are nearer to the tempo: 1.8 % off now, 4.2 % before.",
        ]
    );
}

#[test]
fn nothing_better_is_told_kindly_and_differently_after_a_month() {
    assert!(better(english(), &[], &[])[0].starts_with("It takes four weeks"));
    let played = (0..4).map(|n| crate::weeks::desk::held(n, 3, 60.0)).collect::<Vec<_>>();
    let weeks = crate::weeks::weeks(&played);
    assert!(better(english(), &[], &weeks)[0].starts_with("Lately nothing has changed"));
}
