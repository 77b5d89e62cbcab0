//! The browser's door to a room of one: what a player's device and the player say goes in as text, what the room answers comes out as text,
//! with the time in every call. The wasm that comes of it is loaded by the practice page alone. It must hold no rule of a rehearsal, and know
//! no clock and no storage.
//!
//! A call that takes text takes it from the place that `input_ptr` gives. After every call the output is an `Answer` as JSON.

#[cfg(any(test, feature = "fuzzing"))]
#[doc(hidden)]
pub mod fuzzed;

use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use windrow_protocol::messages::{
    ConductorSays, ExerciseNow, Notice, PlayerHears, PlayerSays, Settings, Snapshot, Suggestion,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Micros, Name};
use windrow_room::{Kept, Lesson, VirtualRoom};

/// The player's device; nobody else ever comes.
const DEVICE: usize = 0;

/// What a practice begins with.
#[derive(Debug, Deserialize)]
struct Opening {
    section: Name,
    a4_hz: Hertz,
    lesson: Lesson,
}

/// What the room answers.
#[derive(Debug, Default, Serialize)]
struct Answer {
    /// For the device, in order.
    letters: Vec<PlayerHears>,
    /// To be written down, in order.
    kept: Vec<Kept>,
    /// How it stands; after a look.
    #[serde(skip_serializing_if = "Option::is_none")]
    picture: Option<Picture>,
    /// Why something could not be done.
    #[serde(skip_serializing_if = "Option::is_none")]
    cannot: Option<Phrase>,
}

/// As much of the room's picture as one player alone can act on.
#[derive(Debug, Serialize)]
struct Picture {
    is_playing: bool,
    exercise: ExerciseNow,
    settings: Settings,
    #[serde(skip_serializing_if = "Option::is_none")]
    suggestion: Option<Suggestion>,
    notices: Vec<Notice>,
}

impl From<Snapshot> for Picture {
    fn from(snapshot: Snapshot) -> Self {
        let Snapshot { score, exercise, settings, suggestion, notices, .. } = snapshot;
        Self { is_playing: score.is_some(), exercise, settings, suggestion, notices }
    }
}

/// What one page has of the room.
#[derive(Default)]
struct Door {
    input: Vec<u8>,
    output: String,
    room: Option<VirtualRoom>,
}

impl Door {
    /// Reads the first `n_bytes` of the input.
    fn read<T: serde::de::DeserializeOwned>(&self, n_bytes: usize) -> Result<T, Phrase> {
        let text = &self.input[..n_bytes.min(self.input.len())];
        serde_json::from_slice(text)
            .map_err(|error| Phrase::of("refused-malformed").with("why", error.to_string()))
    }

    fn open(&mut self, n_bytes: usize) -> Result<(), Phrase> {
        let Opening { section, a4_hz, lesson } = self.read(n_bytes)?;
        if !lesson.can_be_played() {
            return Err(Phrase::of("refused-malformed").with("why", "no room can play this lesson"));
        }
        let mut room = VirtualRoom::new(section, a4_hz).keeping();
        room.take_plan(lesson)?;
        self.room = Some(room);
        Ok(())
    }

    /// Lets the room do something at a time, if there is one.
    fn at(
        &mut self,
        now_us: f64,
        act: impl FnOnce(&mut VirtualRoom) -> Result<(), Phrase>,
    ) -> Result<(), Phrase> {
        let Some(room) = &mut self.room else { return Ok(()) };
        let now_us = Micros::new(now_us)
            .map_err(|error| Phrase::of("refused-malformed").with("why", error.to_string()))?;
        room.now_us = now_us.get();
        act(room)
    }

    fn hear(&mut self, now_us: f64, n_bytes: usize) -> Result<(), Phrase> {
        let says: PlayerSays = self.read(n_bytes)?;
        self.at(now_us, |room| match says {
            PlayerSays::Hello(hello) => room.let_in(DEVICE, hello),
            says => room.tell(DEVICE, says),
        })
    }

    fn command(&mut self, now_us: f64, n_bytes: usize) -> Result<(), Phrase> {
        let command: ConductorSays = self.read(n_bytes)?;
        self.at(now_us, |room| room.command(command))
    }

    /// Writes the answer.
    fn answer(&mut self, done: Result<Option<Picture>, Phrase>) {
        let mut answer = Answer::default();
        match done {
            Ok(picture) => answer.picture = picture,
            Err(text) => answer.cannot = Some(text),
        }
        if let Some(room) = &mut self.room {
            answer.letters = room.take_letters().into_iter().map(|(_, letter)| letter).collect();
            answer.kept = room.take_kept();
        }
        self.output = serde_json::to_string(&answer).expect("answers are plain data with text keys");
    }
}

thread_local! {
    static DOOR: RefCell<Door> = RefCell::default();
}

fn with<T>(act: impl FnOnce(&mut Door) -> T) -> T {
    DOOR.with_borrow_mut(act)
}

fn done(act: impl FnOnce(&mut Door) -> Result<(), Phrase>) {
    with(|door| {
        let done = act(door);
        door.answer(done.map(|()| None));
    });
}

// Each function is exported under its own name: no other code in the module exports any, so the names cannot clash.

/// Where to put a text of `n_bytes`; good until the next call.
#[unsafe(no_mangle)]
pub extern "C" fn input_ptr(n_bytes: u32) -> *mut u8 {
    with(|door| {
        door.input.resize(n_bytes as usize, 0);
        door.input.as_mut_ptr()
    })
}

/// Where the output lies; good until the next call.
#[unsafe(no_mangle)]
pub extern "C" fn output_ptr() -> *const u8 {
    with(|door| door.output.as_ptr())
}

/// Length of the output, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn output_len() -> u32 {
    with(|door| door.output.len() as u32)
}

/// Opens a room, in place of any other: `section`, `a4_hz`, and the `lesson` that it plays.
#[unsafe(no_mangle)]
pub extern "C" fn room_open(n_bytes: u32) {
    done(|door| door.open(n_bytes as usize));
}

/// Takes what the device says; a hello lets it in. `now_us` are microseconds since the room was opened.
#[unsafe(no_mangle)]
pub extern "C" fn room_hear(now_us: f64, n_bytes: u32) {
    done(|door| door.hear(now_us, n_bytes as usize));
}

/// Takes what the player wants, as a conductor's page would say it.
#[unsafe(no_mangle)]
pub extern "C" fn room_command(now_us: f64, n_bytes: u32) {
    done(|door| door.command(now_us, n_bytes as usize));
}

/// Lets the room look at its player; the answer has a picture. As often as five times a second.
#[unsafe(no_mangle)]
pub extern "C" fn room_look(now_us: f64) {
    with(|door| {
        let mut picture = None;
        let looked = door.at(now_us, |room| {
            picture = Some(Picture::from(*room.look()?));
            Ok(())
        });
        door.answer(looked.map(|()| picture));
    });
}

/// Everything has been played: what was open is told to be kept as it is, and the room is gone.
#[unsafe(no_mangle)]
pub extern "C" fn room_end(now_us: f64) {
    done(|door| {
        let end = |room: &mut VirtualRoom| {
            room.end();
            Ok(())
        };
        // With a clock that is none it ends where it was looked at last: what was open is still kept.
        let last_us = door.room.as_ref().map_or(0.0, |room| room.now_us);
        door.at(now_us, end).or_else(|_| door.at(last_us, end))
    });
    with(|door| door.room = None);
}
