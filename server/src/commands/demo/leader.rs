//! The conductor of a plan that is played without anybody: starts it, ends what has no end, lets go of what waits for a
//! conductor, and sees to it that the plan ends. It sees the room's picture alone, as a conductor does, and the plan.

use crate::room::{Lesson, Piece};
use windrow_protocol::messages::{ConductorSays, Flow, Moment, Snapshot};
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Beats;

/// Bars of what has no end, before it is ended. Our own choice: every state of the section shows within them.
pub(crate) const OPEN_BARS: f64 = 8.0;
/// A rung that waits is let go after this many times its written length.
const RUNG_TIMES: f64 = 2.0;
/// An exercise is left after this many times its written length: one that goes back again and again never ends.
const AT_MOST_TIMES: f64 = 3.0;
/// From the end of the rest to the conductor's next start: the room, where it goes on by itself, comes first.
const HESITATES_US: f64 = 4e6;
/// After the last note the devices still tell of it.
const LAST_WORD_US: f64 = 12e6;

/// The plan's conductor.
pub(crate) struct Leader {
    pieces: Vec<Written>,
    beats_per_bar: f64,
    /// Place, from 1, of the exercise that was begun last, and when.
    begun: Option<(u16, f64)>,
    /// Since when nothing is played.
    quiet_us: Option<f64>,
    /// What has been said of the exercise that is played is not said again at once.
    said_us: f64,
    /// All has been played.
    pub(crate) is_done: bool,
}

/// What the conductor knows of an exercise beforehand.
struct Written {
    beats: f64,
    rest_us: f64,
    rung_beats: Option<f64>,
}

impl Written {
    fn new(piece: &Piece, beats_per_bar: f64) -> Self {
        let open = OPEN_BARS * beats_per_bar;
        let beats = |length: Option<Beats>| length.map_or(open, Beats::get);
        let rungs = piece.ladder.iter().flat_map(|climb| &climb.rungs);
        Self {
            beats: piece.spans.iter().map(|span| beats(span.length_beats)).sum(),
            rest_us: 1e6 * f64::from(piece.rest_s),
            rung_beats: rungs
                .filter_map(|&rung| piece.spans.get(rung).map(|span| beats(span.length_beats)))
                .reduce(f64::max),
        }
    }
}

impl Leader {
    /// Who knows the plan.
    pub(crate) fn new(lesson: &Lesson) -> Self {
        let beats_per_bar = f64::from(lesson.beats_per_bar);
        let pieces = lesson.pieces.iter().map(|piece| Written::new(piece, beats_per_bar)).collect();
        Self {
            pieces,
            beats_per_bar,
            begun: None,
            quiet_us: None,
            said_us: f64::NEG_INFINITY,
            is_done: false,
        }
    }

    /// How the plan is begun.
    pub(crate) fn begin(&self) -> Vec<ConductorSays> {
        vec![ConductorSays::SetFlow { flow: Flow::GoOn }, ConductorSays::Start]
    }

    /// What to say on seeing the room.
    pub(crate) fn look(&mut self, room: &Snapshot) -> Vec<ConductorSays> {
        let now_us = room.time_us.get();
        let music = room.score.clone().and_then(|score| Timeline::new(score).ok());
        let is_on = |music: &Timeline| music.end_beat().is_none_or(|end| music.beat_at(now_us) < end);
        match music.filter(is_on) {
            Some(music) => self.watch(room, &music, now_us),
            None => self.go_on(room, now_us),
        }
    }

    /// While something is played or counted in.
    fn watch(&mut self, room: &Snapshot, music: &Timeline, now_us: f64) -> Vec<ConductorSays> {
        self.quiet_us = None;
        let number = room.exercise.number;
        if self.begun.is_none_or(|(begun, _)| begun != number) {
            self.begun = Some((number, now_us));
            self.said_us = f64::NEG_INFINITY;
        }
        let (beat, beat_us) = (music.beat_at(now_us), 60e6 / music.bpm_at(music.beat_at(now_us)));
        let bar_us = self.beats_per_bar * beat_us;
        // What was said takes effect at the next bar line.
        if now_us - self.said_us < 2.0 * bar_us {
            return Vec::new();
        }
        let says = self.says_of(room, music, beat, now_us);
        if says.is_some() {
            self.said_us = now_us;
        }
        says.into_iter().collect()
    }

    fn says_of(&self, room: &Snapshot, music: &Timeline, beat: f64, now_us: f64) -> Option<ConductorSays> {
        let piece = self.pieces.get(usize::from(room.exercise.number) - 1)?;
        let (_, begun_us) = self.begun?;
        let turns = f64::from(n_turns(music)).max(1.0);
        let written_us = turns * piece.beats * 60e6 / music.bpm_at(beat);
        if now_us - begun_us > AT_MOST_TIMES * written_us + 2.0 * LAST_WORD_US {
            return Some(ConductorSays::Stop { at: Moment::Bar });
        }
        // Only the last span may be without end: what has none, or what is held.
        let last = music.score().spans.len() - 1;
        let open_beats =
            music.span_start(last).filter(|_| music.end_beat().is_none()).map(|from| beat - from)?;
        // Half a bar ahead of the bar line that is meant.
        let is_past = |beats: f64| open_beats > beats - self.beats_per_bar / 2.0;
        match piece.rung_beats {
            Some(rung) if is_past(RUNG_TIMES * rung) => Some(ConductorSays::GoOn),
            Some(_) => None,
            None => {
                is_past(OPEN_BARS * self.beats_per_bar).then_some(ConductorSays::Stop { at: Moment::Bar })
            }
        }
    }

    /// While nothing is played.
    fn go_on(&mut self, room: &Snapshot, now_us: f64) -> Vec<ConductorSays> {
        let Some((number, _)) = self.begun else { return Vec::new() };
        let quiet_us = now_us - *self.quiet_us.get_or_insert(now_us);
        if usize::from(number) == self.pieces.len() {
            self.is_done = quiet_us >= LAST_WORD_US;
            return Vec::new();
        }
        let rest_us = self.pieces[usize::from(number) - 1].rest_us;
        if room.exercise.rest_until_us.is_some() || quiet_us < rest_us + HESITATES_US {
            return Vec::new();
        }
        self.quiet_us = None;
        // Where the room has moved on by itself, there is nothing to move.
        let moves = room.exercise.number == number;
        let next = moves.then_some(ConductorSays::Next { at: Moment::Now });
        next.into_iter().chain([ConductorSays::Start]).collect()
    }
}

/// Turns that a span of the music is taken in.
fn n_turns(music: &Timeline) -> u16 {
    let mut turns: Vec<&[u16]> = music.score().spans.iter().map(|span| span.turn.as_slice()).collect();
    turns.sort_unstable();
    turns.dedup();
    turns.retain(|turn| !turn.is_empty());
    u16::try_from(turns.len()).unwrap_or(u16::MAX)
}
