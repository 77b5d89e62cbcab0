//! What is different between two pictures of a room, so that a page that has one need not be sent the other whole. A change
//! is made for one page, from the last picture that this page was sent, so a page that skips some, comes late or comes back
//! always ends with the room as it is. Plain data; no rule of a rehearsal.

use super::{
    Capture, CheckNow, DoorState, ExerciseNow, Lane, LanePulse, MicrophoneCheck, MicrophoneStatus, Notice,
    Say, SectionNow, Settings, Snapshot, Suggestion,
};
use crate::judge::State;
use crate::note::Note;
use crate::phrase::Phrase;
use crate::score::Score;
use crate::units::{Cents, Decibels, Hertz, Micros};
use serde::{Deserialize, Deserializer, Serialize};

/// Reads what may have become nothing: `null` is that, and an absent field no change.
fn told<'de, D: Deserializer<'de>, T: Deserialize<'de>>(reader: D) -> Result<Option<T>, D::Error> {
    T::deserialize(reader).map(Some)
}

/// Makes a struct of changes: each field is as in the whole, and absent where it is the same.
macro_rules! changes {
    ($(#[$doc:meta])* $name:ident of $whole:ident with $extra:tt { $($field:ident: $type:ty,)* }) => {
        changes!(@make $(#[$doc])* $name $extra { $($field: $type,)* });

        impl $name {
            /// Takes over what is different in the fields that are told one by one.
            fn take_fields(&mut self, from: &$whole, to: &$whole) {
                $(if from.$field != to.$field {
                    self.$field = Some(to.$field.clone());
                })*
            }

            fn has_fields(&self) -> bool {
                $(self.$field.is_some())||*
            }

            fn put_fields(&mut self, into: &mut $whole) {
                $(if let Some(value) = self.$field.take() {
                    into.$field = value;
                })*
            }
        }
    };
    (@make $(#[$doc:meta])* $name:ident { $($(#[$meta:meta])* $key:ident: $kept:ty,)* } { $($field:ident: $type:ty,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        pub struct $name {
            $($(#[$meta])* pub $key: $kept,)*
            $(
                /// As in the whole.
                #[serde(default, skip_serializing_if = "Option::is_none", deserialize_with = "told")]
                pub $field: Option<$type>,
            )*
        }

        impl $name {
            fn with($($key: $kept),*) -> Self {
                Self { $($key,)* $($field: None,)* }
            }
        }
    };
}

changes! {
    /// What has become different in a room since an earlier picture of it.
    RoomChange of Snapshot with {
        /// Server time of the later picture.
        time_us: Micros,
        /// Everybody, where others are in or somebody's name, chair or instrument is another.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lanes: Option<Vec<Lane>>,
        /// Otherwise those about whom something is different.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        changed: Vec<LaneChange>,
        /// The music, where it is another; `null` where there is none any more.
        #[serde(default, skip_serializing_if = "Option::is_none", deserialize_with = "told")]
        score: Option<Option<Score>>,
    } {
        code: String,
        door: DoorState,
        section_name: String,
        title: Phrase,
        settings: Settings,
        exercise: ExerciseNow,
        section: SectionNow,
        say: Option<Say>,
        suggestion: Option<Suggestion>,
        results: u32,
        turn: Vec<u16>,
        check: Option<CheckNow>,
        expected: u16,
        notices: Vec<Notice>,
        imaginary: bool,
    }
}

changes! {
    /// What has become different about one player.
    LaneChange of Lane with {
        /// Place among the lanes, from 0.
        place: u16,
        /// Pulses that are new, and how many of the oldest are gone.
        #[serde(default, skip_serializing_if = "Row::is_same")]
        pulses: Row<LanePulse>,
        /// The same of the pitch centre.
        #[serde(default, skip_serializing_if = "Row::is_same")]
        centre_tail: Row<(f64, f64)>,
    } {
        state: State,
        evidence: Phrase,
        trusted: bool,
        microphone: Option<MicrophoneStatus>,
        capture: Option<Capture>,
        gain_control_on: bool,
        check: Option<MicrophoneCheck>,
        over_line: bool,
        calibrated: bool,
        note: Option<Note>,
        pulse_rate_hz: Option<Hertz>,
        centre_cents: Option<Cents>,
        depth_db_pp: Option<Decibels>,
        swing_cents_pp: Option<Cents>,
        timing_ms: Option<f64>,
    }
}

/// A row that loses its oldest and gains new ones at its end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(bound(deserialize = "T: Deserialize<'de>"))]
pub struct Row<T> {
    /// So many of the oldest are gone.
    #[serde(default, skip_serializing_if = "is_nought")]
    pub gone: usize,
    /// These follow the rest.
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub new: Vec<T>,
}

impl<T> Default for Row<T> {
    fn default() -> Self {
        Self { gone: 0, new: Vec::new() }
    }
}

impl<T: Copy + PartialEq> Row<T> {
    fn between(from: &[T], to: &[T]) -> Self {
        let gone = to.first().and_then(|first| from.iter().position(|item| item == first));
        let gone = gone.filter(|&gone| to.starts_with(&from[gone..])).unwrap_or(from.len());
        Self { gone, new: to[from.len() - gone..].to_vec() }
    }

    fn put(self, into: &mut Vec<T>) {
        into.drain(..self.gone.min(into.len()));
        into.extend(self.new);
    }

    fn is_same(&self) -> bool {
        self.gone == 0 && self.new.is_empty()
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks for a reference")]
fn is_nought(n: &usize) -> bool {
    *n == 0
}

/// What of a lane is told whole or not at all.
fn is_same_player(a: &Lane, b: &Lane) -> bool {
    a.player_id == b.player_id
        && a.chair == b.chair
        && a.name == b.name
        && a.instrument == b.instrument
        && a.part == b.part
}

/// Scores of one room count up: of the same version they are the same.
fn is_same_score(a: Option<&Score>, b: Option<&Score>) -> bool {
    a.map(|s| (s.version, s.start_us)) == b.map(|s| (s.version, s.start_us))
}

impl RoomChange {
    /// From one picture of a room to a later one.
    #[must_use]
    pub fn between(from: &Snapshot, to: &Snapshot) -> Self {
        let score = !is_same_score(from.score.as_ref(), to.score.as_ref());
        let score = score.then(|| to.score.clone());
        let pairs = || from.lanes.iter().zip(&to.lanes);
        let are_same = from.lanes.len() == to.lanes.len() && pairs().all(|(a, b)| is_same_player(a, b));
        let lanes = (!are_same).then(|| to.lanes.clone());
        let changed = match lanes {
            None => (0..).zip(pairs()).filter_map(|(i, (a, b))| LaneChange::between(i, a, b)).collect(),
            Some(_) => Vec::new(),
        };
        let mut change = Self::with(to.time_us, lanes, changed, score);
        change.take_fields(from, to);
        change
    }

    /// Whether only time has passed.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        self.lanes.is_none() && self.changed.is_empty() && self.score.is_none() && !self.has_fields()
    }

    /// Makes of the earlier picture the later one.
    pub fn put(mut self, into: &mut Snapshot) {
        self.put_fields(into);
        into.time_us = self.time_us;
        if let Some(score) = self.score {
            into.score = score;
        }
        if let Some(lanes) = self.lanes {
            into.lanes = lanes;
        }
        for change in self.changed {
            if let Some(lane) = into.lanes.get_mut(usize::from(change.place)) {
                change.put(lane);
            }
        }
    }
}

impl LaneChange {
    fn between(place: u16, from: &Lane, to: &Lane) -> Option<Self> {
        let pulses = Row::between(&from.pulses, &to.pulses);
        let centre_tail = Row::between(&from.centre_tail, &to.centre_tail);
        let mut change = Self::with(place, pulses, centre_tail);
        change.take_fields(from, to);
        let is_nothing = change.pulses.is_same() && change.centre_tail.is_same() && !change.has_fields();
        (!is_nothing).then_some(change)
    }

    fn put(mut self, into: &mut Lane) {
        self.put_fields(into);
        self.pulses.put(&mut into.pulses);
        self.centre_tail.put(&mut into.centre_tail);
    }
}
