//! From simulated players' sound to the word on the conductor's page where vibrato is to grow and to fade, where loudness
//! changes, where the measure is only felt, and where each chair has another note of a line. Without sockets and faster than
//! time. Who plays what is asked must not be blamed.

use super::ear::Source;
use super::{Habit, SimulatedPlayer, SimulatedSound};
use crate::room::desk::Desk;
use crate::room::{ConnectionId, Lesson, Piece, Told, Wishes};
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::{Bands, State};
use windrow_protocol::messages::{Brief, ConductorSays, PlayerSays, SpanResult};
use windrow_protocol::note::Note;
use windrow_protocol::score::{Dynamic, Dynamics, Ease, PerBeat, Score, Span, Target};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::{Beats, Bpm, Decibels, Name, Share};
use windrow_protocol::voicing::{Tuning, Voicing};
use windrow_web::{Config, Listener, TimeMap};

/// Sound comes in blocks of 20 ms, the room is looked at five times a second.
const BLOCK_S: f64 = 0.02;
const BLOCKS_PER_LOOK: u32 = 10;

/// What became of one player.
struct Course {
    /// Span and state at each look, one for each change.
    states: Vec<(usize, State)>,
    results: Vec<SpanResult>,
}

/// A player's device.
struct Device {
    connection: ConnectionId,
    listener: Listener,
    sound: SimulatedSound,
    course: Course,
}

/// Lets players of these habits play an exercise in unison, counted in by a bar.
fn rehearse(spans: Vec<Span>, habits: &[Habit]) -> Vec<Course> {
    rehearse_voiced(spans, Wishes::default(), habits)
}

/// The same in a voicing and a tuning.
fn rehearse_voiced(spans: Vec<Span>, wishes: Wishes, habits: &[Habit]) -> Vec<Course> {
    let beats: f64 = spans.iter().filter_map(|span| span.length_beats).map(Beats::get).sum();
    let seconds = 60.0 / spans[0].bpm.get() * (beats + 4.0) + 4.0;
    let mut desk = Desk::new();
    let brief = Brief { name: "Test".into(), ..Brief::default() };
    let piece = Piece { brief, spans, wishes, bands: Bands::default(), rest_s: 0, ladder: None };
    desk.take_plan(Lesson {
        title: "Test".to_owned(),
        text: String::new(),
        beats_per_bar: 4,
        pieces: vec![piece],
    });
    let time_map = TimeMap::new(desk.now_us, 1e6).unwrap();
    let mut devices: Vec<Device> =
        habits.iter().enumerate().map(|(i, &habit)| device(&mut desk, i, habit, time_map)).collect();
    desk.command(ConductorSays::Start);
    let score = desk.timeline().unwrap().score().clone();
    let music: Vec<Timeline> = (1..)
        .take(habits.len())
        .map(|chair| {
            let spans = score.spans.iter().map(|span| span.for_chair(chair)).collect();
            Timeline::new(Score { spans, ..score.clone() }).unwrap()
        })
        .collect();
    for (device, music) in devices.iter_mut().zip(&music) {
        device.listener.set_score(Some(music.score().clone())).unwrap();
    }
    let begin_us = desk.now_us;
    for block in 1..=(seconds / BLOCK_S) as u32 {
        desk.now_us = begin_us + f64::from(block) * BLOCK_S * 1e6;
        for (device, music) in devices.iter_mut().zip(&music) {
            device.hear(&mut desk, music, &time_map);
        }
        if block % BLOCKS_PER_LOOK == 0 {
            let here = music[0].span_index_at(music[0].beat_at(desk.now_us));
            for (device, lane) in devices.iter_mut().zip(desk.look().lanes) {
                // The first span of the score is the count-in.
                let now = here.filter(|&span| span > 0).map(|span| (span - 1, lane.state));
                device.course.states.extend(now.filter(|now| device.course.states.last() != Some(now)));
            }
        }
    }
    devices.into_iter().map(|device| device.course).collect()
}

fn device(desk: &mut Desk, i: usize, habit: Habit, time_map: TimeMap) -> Device {
    let name = ["Imogen", "Tobias", "Wren"][i];
    let (instrument, seed) = (Instrument::Flute, 7 + i as u64);
    let note = "F4".parse().unwrap();
    let player = SimulatedPlayer { name: Name::new(name).unwrap(), instrument, note, habit, seed };
    let sound = SimulatedSound::new(&player, 440.0);
    let config = Config { sample_rate_hz: sound.sample_rate_hz(), a4_hz: 440.0, expected_midi: None };
    let mut listener = Listener::new(config).unwrap();
    listener.set_time_map(time_map);
    let course = Course { states: Vec::new(), results: Vec::new() };
    Device { connection: desk.join(name), listener, sound, course }
}

impl Device {
    fn hear(&mut self, desk: &mut Desk, music: &Timeline, time_map: &TimeMap) {
        let mut samples = vec![0.0; (self.sound.sample_rate_hz() * BLOCK_S) as usize];
        self.sound.fill(&mut samples, Some(music), time_map);
        for message in self.listener.push(&samples) {
            let what = match message {
                PlayerSays::Reading(reading) => Told::Reading(Box::new(reading)),
                PlayerSays::Pulses(batch) => Told::Pulses(batch),
                PlayerSays::SpanResult(result) => {
                    self.course.results.push(result.clone());
                    Told::SpanResult(Box::new(result))
                }
                other => panic!("a listener says no such thing: {other:?}"),
            };
            desk.tell(self.connection, what);
        }
    }
}

fn span(target: Target, beats: f64) -> Span {
    Span::new(Bpm::new(60.0).unwrap(), target).lasting(Beats::new(beats).unwrap())
}

fn pulses(per_beat: u8) -> Target {
    Target::Pulses { per_beat: PerBeat::new(per_beat).unwrap() }
}

fn ease(from: f64, to: f64) -> Option<Ease> {
    Some(Ease { from: Share::new(from).unwrap(), to: Share::new(to).unwrap() })
}

/// Whatever is said while these spans are played must be among what is allowed in each.
fn check(what: &str, course: &Course, allowed: impl Fn(usize) -> &'static [State]) {
    assert!(course.states.len() > 2, "{what}: {:?}", course.states);
    for &(span, state) in &course.states {
        assert!(allowed(span).contains(&state), "{what}: {state:?} in span {span}, {:?}", course.states);
    }
}

/// What may be said of who plays what is asked: at the beginning, nothing is heard yet, and who rests is called so.
const NOT_BLAMED: &[State] = &[State::NotHeard, State::Matched, State::Resting];

/// Straight, growing, full, fading, straight.
fn eased(per_beat: u8) -> Vec<Span> {
    let full = span(pulses(per_beat), 8.0);
    vec![
        span(Target::Straight, 8.0),
        Span { ease: ease(0.0, 1.0), ..full.clone() },
        full.clone(),
        Span { ease: ease(1.0, 0.0), ..full },
        span(Target::Straight, 8.0),
    ]
}

#[test]
fn who_eases_in_and_out_is_matched_all_the_way() {
    for per_beat in [2, 3, 4] {
        let courses = rehearse(eased(per_beat), &[Habit::Matched, Habit::Unvarying]);
        for (habit, course) in ["eases", "is there at once"].into_iter().zip(&courses) {
            check(&format!("{habit}, {per_beat} to the beat"), course, |_| NOT_BLAMED);
        }
        // Half of the full depth of 6.5 dB in the middle of the way, all of it where it should be full.
        let depth_db =
            |course: &Course, span: usize| course.results[span].depth_db_pp.map(Decibels::get).unwrap();
        for (span, eased_db) in [(1, 3.25), (2, 6.5), (3, 3.25)] {
            let found_db = depth_db(&courses[0], span);
            assert!((found_db - eased_db).abs() < 0.8, "{per_beat} to the beat, span {span}: {found_db} dB");
            let found_db = depth_db(&courses[1], span);
            assert!((found_db - 6.5).abs() < 0.5, "{per_beat} to the beat, span {span}: {found_db} dB");
        }
        for course in &courses {
            assert_eq!(
                (course.results[0].n_pulses, course.results[4].n_pulses),
                (0, 0),
                "straight before and after"
            );
        }
    }
}

#[test]
fn a_hairpin_is_nobodys_fault() {
    let way = |from, to| Some(Dynamics { from, to });
    for target in [Target::Free, pulses(3)] {
        let up = Span { dynamics: way(Dynamic::P, Dynamic::F), ease: ease(0.3, 1.0), ..span(target, 8.0) };
        let down = Span { dynamics: way(Dynamic::F, Dynamic::P), ease: ease(1.0, 0.3), ..span(target, 8.0) };
        let spans = vec![up.clone(), down.clone(), span(Target::Rest, 4.0), up, down];
        let courses = rehearse(spans, &[Habit::Matched, Habit::Unvarying]);
        for (habit, course) in ["swells", "does not vary"].into_iter().zip(&courses) {
            check(&format!("{habit}, {target:?}"), course, |_| NOT_BLAMED);
        }
    }
}

#[test]
fn a_slurred_line_in_a_tuned_chord_is_told_note_by_note() {
    let wishes = Wishes { voicing: Some(Voicing::Triad), tuning: Some(Tuning::Just), ..Wishes::default() };
    let note = |midi, target, beats| Span { note: Note::from_midi(midi), ..span(target, beats) };
    for loosely in [false, true] {
        let mut line = vec![
            note(65, pulses(2), 4.0),
            note(69, pulses(3), 4.0),
            note(67, Target::Straight, 4.0),
            note(70, pulses(4), 4.0),
            note(72, pulses(4), 8.0),
        ];
        for span in line.iter_mut().filter(|span| span.target.per_beat().is_some()) {
            span.loosely = loosely;
        }
        let courses = rehearse_voiced(line, wishes, &[Habit::Matched, Habit::Matched, Habit::Slow]);
        check("the root", &courses[0], |_| NOT_BLAMED);
        check("the third", &courses[1], |_| NOT_BLAMED);
        // By the last note there were pulses enough to tell that the other one is slow.
        let last = courses[2].states.last();
        assert!(loosely || last == Some(&(4, State::Slow)), "{last:?}");
        for result in courses[..2].iter().flat_map(|course| &course.results) {
            let centre_cents = result.centre_cents.unwrap().get();
            assert!(centre_cents.abs() < 1.0, "{result:?}");
        }
    }
}
