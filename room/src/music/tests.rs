//! When commands take effect, against bar lines counted by hand.

use super::*;
use windrow_protocol::units::Beats;
use windrow_words::InEnglish as _;

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

fn per_beat(n: u8) -> Option<PerBeat> {
    PerBeat::new(n).ok()
}

/// Quarters at 60, one bar counted in: the count is heard from server time 6 s on, the first note is beat 4, at 10 s, and
/// bar lines are at 10 s, 14 s, 18 s.
fn playing() -> Music {
    playing_exercise("Quarters")
}

fn playing_exercise(name: &str) -> Music {
    let mut music = Music::new();
    music.present = music.book.exercises.iter().position(|e| e.name().as_str() == name).unwrap();
    music.start(6e6 - LEAD_US).unwrap();
    assert_eq!(music.score().unwrap().start_us.get(), 6e6);
    music
}

/// Two bars at 60, two bars at 120, in place of the first exercise: bar lines at 10, 14, 18, 20 and the end at 22 s.
fn playing_two_spans() -> Music {
    let mut music = Music::new();
    let beats = |n| Beats::new(n).unwrap();
    let target = Target::Pulses { per_beat: PerBeat::new(2).unwrap() };
    music.book.exercises[1] = Exercise::new(
        None,
        vec![
            Span::new(bpm(60.0), target).lasting(beats(8.0)),
            Span::new(bpm(120.0), target).lasting(beats(8.0)),
        ],
    );
    music.start(6e6 - LEAD_US).unwrap();
    music
}

/// Length, tempo and, where bars are counted anew, the first bar of each span; a count-in's length is negative.
fn spans(music: &Music) -> Vec<(Option<f64>, f64, Option<i32>)> {
    let length = |s: &Span| {
        let sign = if s.target == Target::CountIn { -1.0 } else { 1.0 };
        s.length_beats.map(|l| sign * l.get())
    };
    music.score().unwrap().spans.iter().map(|s| (length(s), s.bpm.get(), s.first_bar)).collect()
}

/// The count-in of one bar at 60 that all these scores begin with.
const COUNT_IN: (Option<f64>, f64, Option<i32>) = (Some(-4.0), 60.0, Some(0));

#[test]
fn a_start_leaves_time_for_the_fact_and_counts_in() {
    let mut music = Music::new();
    music.start(1e6).unwrap();
    assert_eq!(music.score().unwrap().start_us.get(), 1.6e6);
    assert_eq!(spans(&music), [COUNT_IN, (None, 60.0, None)]);
    music.set_count_in(0).unwrap();
    music.again(Moment::Now, 20e6).unwrap();
    assert_eq!(spans(&music), [(None, 60.0, Some(1))]);
}

#[test]
fn a_start_while_playing_says_what_to_choose() {
    assert!(playing().start(12e6).unwrap_err().contains("choose Again"));
}

#[test]
fn a_tempo_change_waits_for_the_bar_line() {
    let mut music = playing();
    assert_eq!(music.set_tempo(bpm(72.0), Moment::Bar, 15e6), Ok(true));
    // 15 s is beat 9; the next bar line is beat 12, eight beats after the first note.
    assert_eq!(spans(&music), [COUNT_IN, (Some(8.0), 60.0, None), (None, 72.0, None)]);
    assert_eq!(music.score().unwrap().version, 2);
    assert_eq!(music.settings(15e6).bpm.get(), 72.0);
}

#[test]
fn a_change_can_be_asked_for_at_the_next_beat() {
    let mut music = playing();
    music.set_tempo(bpm(72.0), Moment::Beat, 15.5e6).unwrap();
    assert_eq!(spans(&music)[1], (Some(6.0), 60.0, None));
    // Bars go on as they were.
    let timeline = music.timeline().unwrap();
    assert_eq!((timeline.bar_line_at(11.0), timeline.bar_line_at(12.5)), (8.0, 12.0));
}

#[test]
fn a_bar_line_too_near_to_be_known_in_time_is_skipped() {
    let mut music = playing();
    music.set_tempo(bpm(72.0), Moment::Bar, 17.8e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(12.0), 60.0, None), (None, 72.0, None)]);
    let mut music = playing();
    music.set_tempo(bpm(72.0), Moment::Bar, 17.6e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(8.0), 60.0, None), (None, 72.0, None)]);
}

#[test]
fn a_second_change_before_the_bar_line_takes_the_place_of_the_first() {
    let mut music = playing();
    music.set_tempo(bpm(72.0), Moment::Bar, 15e6).unwrap();
    music.set_tempo(bpm(80.0), Moment::Bar, 15.5e6).unwrap();
    music.set_per_beat(per_beat(3), Moment::Bar, 15.6e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(8.0), 60.0, None), (None, 80.0, None)]);
    let score = music.score().unwrap();
    assert_eq!((score.version, score.spans[2].target.per_beat()), (4, per_beat(3)));
    assert_eq!(score.spans[1].target.per_beat(), per_beat(1), "what is played until then stays");
}

#[test]
fn changes_follow_one_another_on_bar_lines() {
    let mut music = playing();
    music.set_tempo(bpm(120.0), Moment::Bar, 15e6).unwrap();
    // Beat 12 is at 18 s; from there half a second a beat: 19 s is beat 14, the next bar line beat 16.
    music.set_tempo(bpm(60.0), Moment::Bar, 19e6).unwrap();
    let expected = [(Some(8.0), 60.0, None), (Some(4.0), 120.0, None), (None, 60.0, None)];
    assert_eq!(spans(&music)[1..], expected);
}

#[test]
fn the_tempo_that_is_played_already_changes_nothing() {
    let mut music = playing();
    assert_eq!(music.set_tempo(bpm(60.0), Moment::Bar, 15e6), Ok(false));
    assert_eq!((spans(&music).len(), music.score().unwrap().version), (2, 1));
}

#[test]
fn a_new_tempo_in_the_count_in_counts_in_anew() {
    let mut music = playing();
    music.set_tempo(bpm(120.0), Moment::Bar, 8e6).unwrap();
    assert_eq!(spans(&music), [(Some(-4.0), 120.0, Some(0)), (None, 120.0, None)]);
    assert_eq!(music.score().unwrap().start_us.get(), 8e6 + LEAD_US);
}

#[test]
fn a_new_subdivision_in_the_count_in_keeps_the_count() {
    let mut music = playing();
    music.set_per_beat(None, Moment::Bar, 8e6).unwrap();
    let score = music.score().unwrap();
    assert_eq!((score.start_us.get(), score.spans[1].target), (6e6, Target::Straight));
    assert_eq!(music.timeline().unwrap().span_start(1), Some(4.0));
}

#[test]
fn a_step_takes_the_whole_exercise_along_the_metronome_marks() {
    let mut music = playing_two_spans();
    music.step(Step::Faster, Moment::Bar, 15e6).unwrap();
    // The bar line at 18 s is the second span's first beat: it alone is left to change.
    assert_eq!(spans(&music)[1..], [(Some(8.0), 60.0, None), (Some(8.0), 126.0, None)]);
    music.again(Moment::Now, 16e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(8.0), 63.0, None), (Some(8.0), 126.0, None)]);
    assert_eq!(
        (music.settings(16e6).slower_bpm, music.settings(16e6).faster_bpm),
        (Some(bpm(60.0)), Some(bpm(66.0)))
    );
}

#[test]
fn a_change_for_the_next_time_leaves_what_is_played() {
    let mut music = playing_two_spans();
    assert_eq!(music.step(Step::Slower, Moment::Exercise, 12e6), Ok(false));
    assert_eq!(spans(&music)[1..], [(Some(8.0), 60.0, None), (Some(8.0), 120.0, None)]);
    music.again(Moment::Now, 16e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(8.0), 58.0, None), (Some(8.0), 116.0, None)]);
}

#[test]
fn a_stop_goes_on_later_in_the_bar_it_was_in() {
    let mut music = playing_two_spans();
    assert_eq!(music.stop(Moment::Now, 15e6), Ok(true));
    assert!(music.score().is_none() && music.exercise_now(15e6).can_go_on);
    // 15 s was in the second bar: four beats of the first span are left, counted in as bar 1 and played as bar 2.
    music.go_on(30e6).unwrap();
    let expected = [(Some(-4.0), 60.0, Some(1)), (Some(4.0), 60.0, None), (Some(8.0), 120.0, None)];
    assert_eq!(spans(&music), expected);
    assert_eq!(music.timeline().unwrap().bar_at(4.0), 2);
    assert!(music.go_on(31e6).unwrap_err().contains("going on already"));
}

#[test]
fn a_stop_can_wait_for_the_bar_or_the_end() {
    let mut music = playing_two_spans();
    music.stop(Moment::Bar, 15e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (Some(8.0), 60.0, None)]);
    assert!(music.is_playing(17.9e6) && !music.is_playing(18.1e6));
    assert!(!music.pass(Tally::default(), 19e6), "devices still tell of the last span");
    assert!(music.pass(Tally::default(), 20.1e6) && music.score().is_none());
    music.go_on(30e6).unwrap();
    assert_eq!(spans(&music)[1..], [(Some(8.0), 120.0, None)]);

    assert_eq!(playing_two_spans().stop(Moment::Exercise, 12e6), Ok(false), "it ends by itself");
    let refused = playing().stop(Moment::Exercise, 12e6).unwrap_err();
    assert!(refused.contains("stop now or at the bar"), "{refused:?}");
}

#[test]
fn an_exercise_that_has_ended_by_itself_is_not_gone_on_with() {
    let mut music = playing_two_spans();
    assert!(music.pass(Tally::default(), 24.1e6));
    assert!(music.go_on(30e6).unwrap_err().contains("choose Start"));
    assert_eq!(music.start(30e6), Ok(true));
}

#[test]
fn a_held_span_goes_on_until_it_is_let_go_at_a_bar_line() {
    let mut music = playing_two_spans();
    music.hold(12e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (None, 60.0, None)]);
    assert!(music.exercise_now(12e6).held);
    // 30 s is beat 24, twenty beats after the first note: a bar line, but too near.
    music.go_on(29.9e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (Some(24.0), 60.0, None), (Some(8.0), 120.0, None)]);
    assert!(!music.exercise_now(29.9e6).held);
}

#[test]
fn what_is_let_go_before_it_is_heard_is_played_as_written() {
    // While it is counted in, and with no count before the first note, which is at 6 s.
    for (bars, now_us, count) in [(1, 7e6, &[COUNT_IN][..]), (0, 5.5e6, &[])] {
        let mut music = playing_two_spans();
        music.set_count_in(bars).unwrap();
        music.again(Moment::Now, 5.4e6).unwrap();
        let written = spans(&music);
        assert_eq!(written.len(), count.len() + 2);
        music.hold(now_us).unwrap();
        assert_eq!(spans(&music).len(), count.len() + 1);
        music.go_on(now_us).unwrap();
        assert_eq!(spans(&music), written, "{bars} bars counted in");
        assert!(!music.exercise_now(now_us).held);
    }
    // The one that follows, while the one before is played: bar lines at 14 s and 18 s.
    let mut music = playing();
    music.book.exercises[2] = playing_two_spans().book.exercises[1].clone();
    music.move_by(1, Moment::Bar, 15e6).unwrap();
    let written = spans(&music);
    music.hold(15.1e6).unwrap();
    music.go_on(15.2e6).unwrap();
    assert_eq!(spans(&music), written);
}

#[test]
fn a_held_span_can_be_changed_and_stays_held() {
    let mut music = playing_two_spans();
    music.hold(12e6).unwrap();
    music.set_tempo(bpm(72.0), Moment::Bar, 15e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (Some(8.0), 60.0, None), (None, 72.0, None)]);
    assert!(playing().hold(12e6).unwrap_err().contains("until you stop it"));
    assert!(Music::new().hold(12e6).unwrap_err().contains("press Start"));
}

#[test]
fn a_gradual_change_is_held_at_the_tempo_it_has_reached() {
    // 32 beats from 60 to 80: v² = 3600 + 2800 b / 32, so after 8 beats 65.57 bpm.
    let mut music = playing_exercise("Rising tempo");
    let at_beat_8_us = music.timeline().unwrap().time_of(4.0 + 8.0);
    music.hold(at_beat_8_us - 0.35e6).unwrap();
    let score = music.score().unwrap();
    assert_eq!(score.spans[1].length_beats.unwrap().get(), 8.0);
    assert_eq!((score.spans[2].length_beats, score.spans[2].bpm_to), (None, None));
    assert!((score.spans[2].bpm.get() - 4300f64.sqrt()).abs() < 1e-9);
    assert!((music.timeline().unwrap().time_of(12.0) - at_beat_8_us).abs() < 1.0);
}

#[test]
fn the_next_exercise_is_counted_in_from_the_bar_line() {
    let mut music = playing();
    music.move_by(1, Moment::Bar, 15e6).unwrap();
    let expected = [COUNT_IN, (Some(8.0), 60.0, None), COUNT_IN, (None, 60.0, None)];
    assert_eq!(spans(&music), expected);
    assert_eq!(music.title(17e6).as_str(), "Quarters at 60");
    assert_eq!(music.title(19e6).as_str(), "Eighths at 60", "what is counted in");
    let timeline = music.timeline().unwrap();
    assert_eq!((timeline.spoken_at(12.0), timeline.bar_at(16.0)), (Some(1), 1));
    assert_eq!(music.exercise_now(15e6).name.as_str(), "Eighths");
    // Another tempo before the count-in belongs to the new exercise.
    music.set_tempo(bpm(72.0), Moment::Bar, 16e6).unwrap();
    let expected = [COUNT_IN, (Some(8.0), 60.0, None), (Some(-4.0), 72.0, Some(0)), (None, 72.0, None)];
    assert_eq!(spans(&music), expected);
    music.move_by(-1, Moment::Now, 30e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (None, 60.0, None)]);
}

#[test]
fn a_turn_on_a_beat_begins_a_bar_there() {
    let mut music = playing();
    music.move_by(1, Moment::Beat, 14.5e6).unwrap();
    let timeline = music.timeline().unwrap();
    // 14.8 s is beat 8.8: beat 9 begins the count-in.
    assert_eq!(
        (timeline.bar_line_at(9.0), timeline.bar_line_at(12.9), timeline.bar_line_at(13.0)),
        (9.0, 9.0, 13.0)
    );
}

#[test]
fn the_next_exercise_can_follow_by_itself() {
    let mut music = playing_two_spans();
    music.move_by(1, Moment::Exercise, 12e6).unwrap();
    let rest = [(Some(8.0), 60.0, None), (Some(8.0), 120.0, None), COUNT_IN, (None, 60.0, None)];
    assert_eq!(spans(&music)[1..], rest);
    assert_eq!(music.exercise_now(12e6).number, 2);
    // Changes meanwhile belong to what is played, and the next exercise stays where it is.
    music.step(Step::Faster, Moment::Bar, 12e6).unwrap();
    let rest = [
        (Some(4.0), 60.0, None),
        (Some(4.0), 63.0, None),
        (Some(8.0), 126.0, None),
        COUNT_IN,
        (None, 60.0, None),
    ];
    assert_eq!(spans(&music)[1..], rest);
    assert!(!music.pass(Tally::default(), 23e6));
    assert_eq!(music.exercise_now(23e6).number, 3);
    let refused = playing().move_by(1, Moment::Exercise, 12e6).unwrap_err();
    assert!(refused.contains("choose the next bar"), "{refused:?}");
}

#[test]
fn there_is_nothing_before_the_first_and_after_the_last_exercise() {
    let mut music = Music::new();
    music.move_by(-1, Moment::Bar, 1e6).unwrap();
    assert_eq!(music.title(1e6).as_str(), "Straight tone at 60");
    assert!(music.move_by(-1, Moment::Bar, 1e6).unwrap_err().contains("first"));
    let refused = (0..99).find_map(|_| music.move_by(1, Moment::Bar, 1e6).err()).unwrap();
    assert!(refused.contains("last"), "{refused:?}");
}

#[test]
fn notes_wait_for_the_next_start_and_the_tick_does_not() {
    let mut music = playing();
    let (f4, a4) = ("F4".parse().unwrap(), "A4".parse().unwrap());
    music.set_note(Some(f4), None).unwrap();
    music.set_note(Some(a4), Some(3)).unwrap();
    assert_eq!(music.set_tick(TickFrom::Devices), Ok(true));
    music.set_tempo(bpm(72.0), Moment::Bar, 15e6).unwrap();
    let score = music.score().unwrap();
    assert_eq!((score.tick, score.spans[2].note_of(1)), (TickFrom::Devices, None));
    music.again(Moment::Now, 20e6).unwrap();
    let score = music.score().unwrap();
    assert!(score.spans.iter().all(|s| (s.note_of(1), s.note_of(3)) == (Some(f4), Some(a4))));
    music.set_note(None, Some(3)).unwrap();
    assert_eq!(music.settings(20e6).notes, []);
}

#[test]
fn nothing_is_asked_before_the_first_note() {
    let music = playing();
    assert_eq!(music.now(9.9e6).asked, Asked::NOTHING);
    let now = music.now(10.1e6);
    assert_eq!((now.asked.pulse_rate_hz, now.since_us, now.beat_us), (Some(1.0), Some(10e6), 1e6));
}

#[test]
fn the_title_names_what_is_played_not_what_is_to_come() {
    let mut music = playing();
    music.set_tempo(bpm(72.5), Moment::Bar, 15e6).unwrap();
    assert_eq!(music.title(16e6).as_str(), "Quarters at 60");
    assert_eq!(music.title(18.1e6).as_str(), "Quarters at 72.5");
    music.stop(Moment::Now, 19e6).unwrap();
    music.set_per_beat(None, Moment::Bar, 20e6).unwrap();
    assert_eq!(music.title(20e6).as_str(), "Straight tone at 72.5");
    assert_eq!(playing_exercise("Rising tempo").title(11e6).as_str(), "Eighths, 60 to 80");
}

#[test]
fn a_score_changed_too_often_says_what_to_do() {
    let mut music = playing();
    let mut tempos = [bpm(300.0), bpm(299.0)].into_iter().cycle();
    let mut now_us = 10e6;
    let (before, refused) = loop {
        // Longer than a bar, so that each change has a bar line of its own.
        now_us += 5e6;
        let before = music.settings(now_us);
        if let Err(text) = music.set_tempo(tempos.next().unwrap(), Moment::Bar, now_us) {
            break (before, text);
        }
    };
    assert_eq!(music.score().unwrap().spans.len(), Score::MAX_SPANS);
    assert!(refused.contains("choose Again"), "{refused:?}");
    assert_eq!(music.settings(now_us), before);
}

#[test]
fn what_is_still_to_come_is_changed_without_losing_it() {
    let mut music = playing();
    music.move_by(4, Moment::Bar, 15e6).unwrap();
    assert_eq!(music.exercise_now(15e6).name.as_str(), "Ladder");
    let (first, rungs) = (spans(&music)[..3].to_vec(), spans(&music).len());
    assert_eq!(first, [COUNT_IN, (Some(8.0), 60.0, None), COUNT_IN]);
    // The next beat is still the old exercise's: the change waits for the new one's count-in.
    music.step(Step::Faster, Moment::Beat, 15.1e6).unwrap();
    assert_eq!(spans(&music)[1..3], [(Some(8.0), 60.0, None), (Some(-4.0), 63.0, Some(0))]);
    assert_eq!(spans(&music).len(), rungs);
    music.hold(15.2e6).unwrap();
    assert_eq!(spans(&music)[3..], [(None, 63.0, None)]);
}

#[test]
fn a_hold_outlives_a_change_while_the_exercise_is_to_be_played_again() {
    let mut music = playing_two_spans();
    music.again(Moment::Exercise, 12e6).unwrap();
    assert!(!music.pass(Tally::default(), 12.2e6));
    music.hold(12.4e6).unwrap();
    assert!(!music.pass(Tally::default(), 12.6e6));
    music.set_tempo(bpm(72.0), Moment::Bar, 13e6).unwrap();
    assert_eq!(spans(&music), [COUNT_IN, (Some(4.0), 60.0, None), (None, 72.0, None)]);
    music.go_on(16e6).unwrap();
    assert_eq!(
        spans(&music).len(),
        7,
        "the second span, and the exercise once more, counted in: {:?}",
        spans(&music)
    );
}
