//! One room with all that belongs to it: its door, its list, its plans, its imaginary section. It must know neither pages nor the
//! other rooms.

use crate::access::Door;
use crate::clock::{ServerClock, unix_ms};
use crate::config::DEFAULT_SECTION;
use crate::imaginary::Imaginary;
use crate::room::RoomHandle;
use crate::roster::Roster;
use crate::shelf::Shelf;
use crate::store::{Store, StoreError};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::sync::watch;
use tokio::task::JoinHandle;
use tokio::time::timeout;
use windrow_protocol::messages::DoorState;
use windrow_protocol::units::Hertz;

/// Little beside the half hour within which a server that is started again goes on with its codes.
const NOTE_DOOR_EVERY_MS: i64 = 60_000;

/// A room that is open.
#[derive(Debug)]
pub(crate) struct OpenRoom {
    /// Names it in addresses and cookies, also after the server was started again in the middle of a rehearsal.
    pub(crate) id: String,
    /// Its session in the records.
    pub(crate) session_id: String,
    /// The way into its rules.
    pub(crate) handle: RoomHandle,
    /// Its time: that of the rehearsal, which may go on with one from before.
    pub(crate) clock: ServerClock,
    /// Tuning of A4.
    pub(crate) a4_hz: Hertz,
    /// Who belongs to its section, and what is stored about them.
    pub(crate) roster: Roster,
    /// Its plans.
    pub(crate) shelf: Shelf,
    /// Whom to look around with while nobody is in.
    pub(crate) imaginary: Imaginary,
    pub(super) door: Mutex<Door>,
    /// The door as it was last written down, and when.
    pub(super) noted: tokio::sync::Mutex<Option<(String, DoorState, i64)>>,
    pub(super) closing: watch::Sender<bool>,
    pub(super) store: Store,
    pub(super) task: Mutex<Option<JoinHandle<()>>>,
}

impl OpenRoom {
    /// Name of its section; `None` where nobody has named it.
    pub(crate) fn named(&self) -> Option<String> {
        Some(self.roster.section().to_string()).filter(|name| name != DEFAULT_SECTION)
    }

    /// Its door. Nothing may be awaited while it is held.
    pub(crate) fn door(&self) -> MutexGuard<'_, Door> {
        self.door.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The join code that is good now.
    pub(crate) fn code(&self) -> String {
        self.door().code().to_owned()
    }

    /// Lets the door close by itself when its time has come.
    pub(crate) fn look_at_door(&self) {
        self.door().look(self.handle.n_present(), unix_ms());
    }

    /// Tells the room how its door is now, so that the conductor sees it.
    pub(crate) async fn show_door(&self) {
        let (code, state) = self.door_now();
        // A room that has ended shows nothing any more.
        let _ = self.handle.show_door(code, state).await;
    }

    fn door_now(&self) -> (String, DoorState) {
        let door = self.door();
        (door.code().to_owned(), door.state())
    }

    /// Keeps how the door is, for a server that is started again.
    pub(crate) async fn note_door(&self, now_ms: i64) -> Result<(), StoreError> {
        // Held while it is written: a look that began before the door was closed must not be written after it.
        let mut noted = self.noted.lock().await;
        let (code, state) = self.door_now();
        let open_code = (state == DoorState::Open).then_some(code.as_str());
        self.store.note_door(&self.session_id, open_code, now_ms).await?;
        *noted = Some((code, state, now_ms));
        Ok(())
    }

    /// What has to be done every few seconds.
    pub(super) async fn watch_door(&self) {
        self.look_at_door();
        self.show_door().await;
        let (now_ms, (code, state)) = (unix_ms(), self.door_now());
        let is_noted = self.noted.lock().await.as_ref().is_some_and(|(c, s, at_ms)| {
            *c == code && *s == state && (0..NOTE_DOOR_EVERY_MS).contains(&(now_ms - at_ms))
        });
        if !is_noted && let Err(error) = self.note_door(now_ms).await {
            tracing::warn!(%error, "a room's code could not be kept for another start");
        }
    }

    /// Waits until the room is closed, or the server stops.
    pub(crate) async fn closed(&self) {
        // An error means that the room is gone altogether.
        let _ = self.closing.subscribe().wait_for(|closing| *closing).await;
    }

    /// Tells everybody who is in or looks on that the room is closed.
    pub(super) fn tell_closing(&self) {
        self.closing.send_replace(true);
    }

    /// The same; its rules end once all have let go of it.
    pub(super) fn close(&self) -> Ending {
        self.tell_closing();
        Ending {
            task: self.task.lock().unwrap_or_else(PoisonError::into_inner).take(),
            session_id: self.session_id.clone(),
            clock: self.clock,
            store: self.store.clone(),
        }
    }
}

/// A room that was closed and has still to write down what it has.
#[derive(Debug)]
#[must_use]
pub(crate) struct Ending {
    task: Option<JoinHandle<()>>,
    session_id: String,
    clock: ServerClock,
    store: Store,
}

impl Ending {
    pub(crate) fn session_id(&self) -> &str {
        &self.session_id
    }

    /// Waits until the room's rules have ended; whether they did in time.
    pub(crate) async fn wait(&mut self, within: Duration) -> bool {
        match self.task.take() {
            Some(task) => timeout(within, task).await.is_ok(),
            None => true,
        }
    }

    /// Notes when the session ended.
    pub(crate) async fn note(self) {
        let ended_us = self.clock.now_us() as i64;
        if let Err(error) = self.store.end_session(&self.session_id, ended_us).await {
            tracing::warn!(%error, "the end of a session could not be noted");
        }
    }
}
