//! What a plan does by itself, seen from the conductor's page: rests, ladders, wishes, latecomers. Used by tests alone.

use super::desk::{Desk, cannot, picture, pulsed};
use super::event::{ConnectionId, Effect, Event};
use super::lesson::{Climb, Lesson, Piece, Wishes};
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{
    Brief, ConductorSays, Flow, GoOn, Moment, PlayerHears, Reading, Snapshot, Turns,
};
use windrow_protocol::note::Note;
use windrow_protocol::score::{PerBeat, Span, Target};
use windrow_protocol::units::{Beats, Bpm, Hertz, Share};
use windrow_protocol::voicing::Voicing;
use windrow_words::InEnglish as _;

fn span(bpm: f64, target: Target, beats: f64) -> Span {
    Span::new(Bpm::new(bpm).unwrap(), target).lasting(Beats::new(beats).unwrap())
}

fn triplets() -> Target {
    Target::Pulses { per_beat: PerBeat::new(3).unwrap() }
}

fn piece(name: &str, spans: Vec<Span>) -> Piece {
    Piece {
        brief: Brief { name: name.into(), ..Brief::default() },
        spans,
        wishes: Wishes::default(),
        bands: Bands::default(),
        rest_s: 10,
        ladder: None,
    }
}

/// Two rungs of two bars at 60 and 66 (where [`pulsed`] is right), two beats of rest between.
fn ladder(go_on: GoOn, step_back: bool) -> Piece {
    let spans = vec![span(60.0, triplets(), 8.0), span(66.0, Target::Rest, 2.0), span(66.0, triplets(), 8.0)];
    let matched = Share::new(0.75).unwrap();
    let climb = Climb { rungs: vec![0, 2], go_on, matched, step_back };
    Piece { ladder: Some(climb), ..piece("Ladder", spans) }
}

/// Some of four exercises: two that end, two ladders.
pub(super) fn lesson(n_first: usize) -> Lesson {
    let straight = |rest_s| Piece { rest_s, ..piece("Straight", vec![span(60.0, Target::Straight, 4.0)]) };
    let wishes =
        Wishes { voicing: Some(Voicing::Triad), turns: Some(Turns::DownTheLine), ..Wishes::default() };
    let turns = Piece { wishes, ..straight(0) };
    let pieces = [straight(3), ladder(GoOn::WhenMatched, true), turns, ladder(GoOn::ByHand, true)];
    let pieces = pieces.into_iter().cycle().skip(n_first).take(4).collect();
    Lesson { title: "Some".to_owned(), text: String::new(), beats_per_bar: 4, pieces }
}

fn desk_with(pieces: Vec<Piece>) -> Desk {
    let mut desk = Desk::new();
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    let lesson = Lesson { title: "A short one".to_owned(), text: String::new(), beats_per_bar: 4, pieces };
    desk.apply(Event::Plan(Box::new(lesson)));
    desk
}

/// Starts so that the first beat falls on server time 10 s, and stands there.
fn start(desk: &mut Desk) {
    desk.now_us = 9.4e6;
    desk.command(ConductorSays::Start);
    desk.now_us = 10e6;
}

/// Looks five times a second until a time.
fn look_until(desk: &mut Desk, until_us: f64) -> Snapshot {
    while desk.now_us < until_us {
        desk.now_us += 0.2e6;
        desk.look();
    }
    desk.look()
}

/// A reading that is right at 60, where [`pulsed`] is right at 66.
fn pulsed_at_60() -> Reading {
    Reading { pulse_rate_hz: Some(Hertz::new(3.0).unwrap()), ..pulsed() }
}

fn briefs_of(effects: &[Effect]) -> Vec<&'static str> {
    let told = effects.iter().filter_map(|effect| match effect {
        Effect::SendAll { message: PlayerHears::Exercise(brief), .. } => Some(brief.name.as_str()),
        _ => None,
    });
    told.collect()
}

#[test]
fn a_plan_shows_its_exercises_and_the_first_is_ready() {
    let mut desk =
        desk_with(vec![piece("One", vec![span(60.0, Target::Straight, 4.0)]), ladder(GoOn::ByHand, false)]);
    let exercise = desk.look().exercise;
    assert_eq!(
        (exercise.plan.as_str(), exercise.name.as_str(), exercise.number, exercise.of),
        ("A short one", "One", 1, 2)
    );
    assert_eq!(
        (exercise.next.map(|n| n.as_str()), exercise.names.iter().map(|n| n.as_str()).collect()),
        (Some("Ladder"), vec!["One", "Ladder"])
    );
    let effects = desk.command(ConductorSays::Choose { exercise: 2, at: Moment::Bar });
    assert_eq!(briefs_of(&effects), ["Ladder"]);
    let rung = picture(&desk, &effects).exercise.rung.unwrap();
    assert_eq!((rung.number, rung.of, rung.go_on), (1, 2, GoOn::ByHand));
    let refused = desk.command(ConductorSays::Choose { exercise: 3, at: Moment::Bar });
    assert_eq!(cannot(&refused).unwrap().as_str(), "there is no exercise 3: choose one from 1 to 2");
}

#[test]
fn while_music_plays_no_other_plan_is_taken() {
    let mut desk = desk_with(vec![piece("One", vec![span(60.0, Target::Straight, 40.0)])]);
    start(&mut desk);
    let lesson = Lesson {
        title: "Other".to_owned(),
        text: String::new(),
        beats_per_bar: 4,
        pieces: vec![piece("Two", vec![])],
    };
    let effects = desk.apply(Event::Plan(Box::new(lesson)));
    assert!(
        matches!(&effects[0], Effect::CannotDo { text } if text.contains("stop it first")),
        "{effects:?}"
    );
    assert_eq!(desk.look().exercise.plan, "A short one");
}

#[test]
fn the_next_exercise_is_counted_in_after_the_rest() {
    let pieces = ["One", "Two"].map(|name| piece(name, vec![span(60.0, Target::Straight, 4.0)]));
    let mut desk = desk_with(pieces.into());
    desk.join("Imogen");
    desk.command(ConductorSays::SetFlow { flow: Flow::GoOn });
    start(&mut desk);
    // The exercise ends at 14 s, its rest of 10 s at 24 s.
    let resting = look_until(&mut desk, 18e6);
    assert_eq!((resting.exercise.rest_until_us.map(f64::from), resting.score), (Some(24e6), None));
    assert_eq!((resting.exercise.name.as_str(), resting.lanes[0].state), ("One", State::Resting));
    let playing = look_until(&mut desk, 23.6e6);
    assert_eq!((playing.exercise.name.as_str(), playing.exercise.rest_until_us), ("Two", None));
    assert!((playing.score.unwrap().start_us.get() - 24e6).abs() < 0.3e6);
    // After the last one nothing comes.
    let over = look_until(&mut desk, 60e6);
    assert_eq!((over.exercise.name.as_str(), over.score, over.exercise.rest_until_us), ("Two", None, None));
}

#[test]
fn in_a_rest_the_players_read_what_comes_and_the_conductor_may_begin_it() {
    let pieces = ["One", "Two"].map(|name| piece(name, vec![span(60.0, Target::Straight, 4.0)]));
    let mut desk = desk_with(pieces.into());
    desk.command(ConductorSays::SetFlow { flow: Flow::GoOn });
    start(&mut desk);
    let mut told = Vec::new();
    while desk.now_us < 17e6 {
        desk.now_us += 0.2e6;
        told.extend(briefs_of(&desk.apply(Event::Tick)));
    }
    assert_eq!(told, ["Two"]);
    let effects = desk.command(ConductorSays::Start);
    let begun = picture(&desk, &effects);
    assert_eq!((begun.exercise.name.as_str(), begun.exercise.rest_until_us), ("Two", None));
}

#[test]
fn a_rest_between_exercises_is_nobodys_own() {
    let pieces = ["One", "Two"].map(|name| piece(name, vec![span(60.0, Target::Straight, 4.0)]));
    let mut desk = desk_with(pieces.into());
    desk.join("Imogen");
    desk.command(ConductorSays::SetFlow { flow: Flow::GoOn });
    start(&mut desk);
    let mut told = Vec::new();
    while desk.now_us < 30e6 {
        desk.now_us += 0.2e6;
        for effect in desk.apply(Event::Tick) {
            if let Effect::Send { message: PlayerHears::You(you), .. } = effect {
                told.push(you.sentence);
            }
        }
    }
    let rest = told.iter().position(|sentence| sentence.starts_with("Rest: breathe")).unwrap();
    // Whoever asked for no rest is not told to come back at leisure when the next exercise is counted in.
    assert!(told[rest..].iter().any(|sentence| sentence.starts_with("Play when the beat comes")), "{told:?}");
    assert!(!told.iter().any(|sentence| sentence.starts_with("Take your time")), "{told:?}");
}

#[test]
fn who_stops_at_the_end_is_not_led_on() {
    let pieces = ["One", "Two"].map(|name| piece(name, vec![span(60.0, Target::Straight, 8.0)]));
    let mut desk = desk_with(pieces.into());
    desk.command(ConductorSays::SetFlow { flow: Flow::GoOn });
    for at in [Moment::Exercise, Moment::Bar, Moment::Now] {
        desk.now_us += 60e6;
        desk.command(ConductorSays::Start);
        desk.now_us += 2e6;
        desk.command(ConductorSays::Stop { at });
        let until_us = desk.now_us + 40e6;
        let later = look_until(&mut desk, until_us);
        assert_eq!((later.exercise.name.as_str(), later.score), ("One", None), "{at:?}");
    }
}

#[test]
fn who_stops_before_the_next_exercise_has_begun_begins_with_that_one() {
    let one = piece("One", vec![span(60.0, Target::Straight, 8.0), span(60.0, Target::Straight, 8.0)]);
    let mut desk = desk_with(vec![one, ladder(GoOn::ByHand, false)]);
    start(&mut desk);
    // In the second span of the first exercise, short before a bar line.
    look_until(&mut desk, 21.5e6);
    desk.command(ConductorSays::Next { at: Moment::Bar });
    desk.command(ConductorSays::Stop { at: Moment::Now });
    let now = look_until(&mut desk, 23e6);
    assert_eq!((now.exercise.number, now.exercise.can_go_on, now.score), (2, false, None));
    assert_eq!(now.exercise.rung.map(|rung| rung.number), Some(1));
}

#[test]
fn a_rung_by_hand_goes_on_until_the_conductor_says_so() {
    let mut desk = desk_with(vec![ladder(GoOn::ByHand, false)]);
    start(&mut desk);
    let held = look_until(&mut desk, 40e6);
    assert!(held.exercise.held && held.title.as_str() == "Triplets at 60", "{held:?}");
    desk.command(ConductorSays::GoOn);
    let next = look_until(&mut desk, 48e6);
    assert_eq!((next.exercise.rung.unwrap().number, next.title.as_str()), (2, "Triplets at 66"));
    // The last rung waits as well.
    assert!(look_until(&mut desk, 80e6).exercise.held);
    desk.command(ConductorSays::GoOn);
    assert_eq!(look_until(&mut desk, 90e6).score, None);
}

/// Plays until a time with one reading of all.
fn play_until(desk: &mut Desk, players: &[ConnectionId], until_us: f64, reading: &Reading) -> Snapshot {
    desk.play_all(players, (until_us - desk.now_us) / 1e6, reading)
}

#[test]
fn a_ladder_goes_on_once_the_section_is_matched() {
    let mut desk = desk_with(vec![ladder(GoOn::WhenMatched, false)]);
    let players = ["Imogen", "Wren"].map(|name| desk.join(name));
    start(&mut desk);
    // Triplets at 60 want 3.0 pulses a second; these are 10 % faster.
    let held = play_until(&mut desk, &players, 30e6, &pulsed());
    assert_eq!((held.exercise.held, held.exercise.rung.unwrap().number), (true, 1));
    let on = play_until(&mut desk, &players, 42e6, &pulsed_at_60());
    assert_eq!((on.exercise.held, on.exercise.rung.unwrap().number), (false, 2));
}

#[test]
fn a_ladder_whose_section_is_matched_in_time_does_not_wait() {
    // Long enough to be heard, to be matched, and to be so for a bar.
    let spans =
        vec![span(60.0, triplets(), 16.0), span(66.0, Target::Rest, 2.0), span(66.0, triplets(), 16.0)];
    let mut desk = desk_with(vec![Piece { spans, ..ladder(GoOn::WhenMatched, false) }]);
    let players = [desk.join("Imogen")];
    start(&mut desk);
    let version = desk.timeline().unwrap().score().version;
    let on = play_until(&mut desk, &players, 28.5e6, &pulsed_at_60());
    assert_eq!((on.exercise.held, on.title.as_str()), (false, "Triplets at 66"));
    assert_eq!(desk.timeline().unwrap().score().version, version);
}

#[test]
fn a_ladder_steps_back_when_the_section_falls_apart() {
    let mut desk = desk_with(vec![Piece {
        spans: vec![span(60.0, triplets(), 8.0), span(66.0, Target::Rest, 2.0), span(66.0, triplets(), 80.0)],
        ..ladder(GoOn::ByItself, true)
    }]);
    let players = ["Imogen", "Wren"].map(|name| desk.join(name));
    start(&mut desk);
    let on = play_until(&mut desk, &players, 19e6, &pulsed_at_60());
    assert_eq!(on.exercise.rung.unwrap().number, 2);
    // 3.0 pulses a second are 9 % slow at 66.
    let back = (20..50).map(|s| play_until(&mut desk, &players, 1e6 * f64::from(s), &pulsed_at_60()));
    let back: Vec<_> = back.skip_while(|seen| seen.exercise.rung.unwrap().number == 2).collect();
    assert_eq!(back[1].title.as_str(), "Triplets at 60");
}

#[test]
fn nobody_steps_back_from_the_first_rung() {
    let mut desk = desk_with(vec![ladder(GoOn::ByItself, true)]);
    let refused = desk.command(ConductorSays::StepBack);
    assert!(matches!(&refused[0], Effect::CannotDo { text } if text.contains("first rung")), "{refused:?}");
}

#[test]
fn an_exercise_brings_its_wishes_and_the_conductor_may_overrule_them() {
    let wishes = Wishes { voicing: Some(Voicing::Triad), turns: Some(Turns::Pairs), ..Wishes::default() };
    let straight = |name| piece(name, vec![span(60.0, Target::Straight, 4.0)]);
    let mut desk = desk_with(vec![straight("One"), Piece { wishes, ..straight("Two") }, straight("Three")]);
    let set = |snapshot: Snapshot| (snapshot.settings.voicing, snapshot.settings.turns);
    assert_eq!(set(desk.look()), (Voicing::Unison, Turns::Together));
    desk.command(ConductorSays::Next { at: Moment::Bar });
    assert_eq!(set(desk.look()), (Voicing::Triad, Turns::Pairs));
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Fifth });
    assert_eq!(set(desk.look()), (Voicing::Fifth, Turns::Pairs));
    desk.command(ConductorSays::Next { at: Moment::Bar });
    assert_eq!(set(desk.look()), (Voicing::Unison, Turns::Together));
}

#[test]
fn whoever_comes_late_gets_a_note_of_the_chord_and_others_keep_theirs() {
    let mut desk = desk_with(vec![piece("Long", vec![span(60.0, triplets(), 400.0)])]);
    desk.command(ConductorSays::SetVoicing { voicing: Voicing::Triad });
    desk.command(ConductorSays::SetNote { note: "F4".parse().ok(), chair: None });
    desk.join("Imogen");
    desk.join("Wren");
    start(&mut desk);
    let notes = |desk: &Desk| {
        let timeline = desk.timeline().unwrap();
        let span = &timeline.score().spans[0];
        (1..=3).map(|chair| span.note_of(chair).unwrap().to_string()).collect::<Vec<_>>()
    };
    assert_eq!(notes(&desk), ["F4", "A4", "F4"]);
    look_until(&mut desk, 14e6);
    desk.join("Sami");
    look_until(&mut desk, 14.4e6);
    assert_eq!(notes(&desk), ["F4", "A4", "C5"]);
}

#[test]
fn a_written_note_comes_before_what_was_set_by_hand() {
    let a4: Option<Note> = "A4".parse().ok();
    let long = Span { note: a4, ..span(60.0, Target::Straight, 4.0) };
    let mut desk = desk_with(vec![piece("Line", vec![long, span(60.0, Target::Straight, 4.0)])]);
    desk.join("Imogen");
    desk.command(ConductorSays::SetNote { note: "G4".parse().ok(), chair: Some(1) });
    start(&mut desk);
    let timeline = desk.timeline().unwrap();
    let own: Vec<_> = timeline.score().spans.iter().map(|s| s.note_of(1).unwrap().to_string()).collect();
    assert_eq!(own, ["A4", "G4"]);
}
