//! The rooms of a server: opening, finding and closing them. It ties a room's parts together and holds no rule of theirs; it must not
//! know pages.

mod open_room;

pub(crate) use open_room::{Ending, OpenRoom};

use crate::access::{Door, Knock, SAME_REHEARSAL_MS};
use crate::clock::{ServerClock, unix_ms};
use crate::config::DEFAULT_SECTION;
use crate::imaginary::Imaginary;
use crate::metrics::Metrics;
use crate::room::{RoomTask, Whose, new_code};
use crate::roster::{Change, Roster, RosterError, usual_section};
use crate::shelf::Shelf;
use crate::store::{Recorder, RoomBefore, SessionRow, Store, StoreError};
use std::collections::HashSet;
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::Duration;
use tokio::sync::watch;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};

/// Rooms at the same time; the load that was measured has 40. Our own choice.
pub(crate) const MOST_ROOMS: usize = 64;
/// Longest wait for a closed room's rules to write down what they have.
const END_WITHIN: Duration = Duration::from_secs(5);

/// Why a room could not be opened or closed.
#[derive(Debug, thiserror::Error)]
pub(crate) enum RoomsError {
    /// A section is in one room at a time.
    #[error("there is a room of this section already")]
    IsOpen(Arc<OpenRoom>),
    /// More than a server has.
    #[error("there are {MOST_ROOMS} rooms already")]
    Full,
    /// The last one stays.
    #[error("a server has one room at least")]
    Last,
    /// There is none of this name.
    #[error("there is no such room")]
    Gone,
    /// The records said no.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The server is stopping.
    #[error("the server is stopping")]
    Stopping,
}

/// What all rooms of a server have in common.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    pub(crate) store: Store,
    /// Tuning of A4.
    pub(crate) a4_hz: Hertz,
    /// Days a session is kept, where the command line says so.
    pub(crate) keep_days: Option<i64>,
    /// Whether what is recorded is invented.
    pub(crate) demo: bool,
    /// How long a new room's code lasts, min.
    pub(crate) code_lasts_min: i64,
    pub(crate) metrics: Metrics,
}

/// The rooms of a server, in the order in which they were opened.
#[derive(Debug)]
pub(crate) struct Rooms {
    ground: Ground,
    open: RwLock<Vec<Arc<OpenRoom>>>,
    /// None once the server is stopping.
    recorder: Mutex<Option<Recorder>>,
    /// One is opened or closed at a time.
    turn: tokio::sync::Mutex<()>,
}

impl Rooms {
    /// Opens the rooms that a server begins with: those of the sections asked for, and those that one on the same records had
    /// until a short while ago. Where there is neither, that of the section that played last.
    ///
    /// # Errors
    /// When the records cannot be read or written.
    pub(crate) async fn begin(
        ground: Ground,
        recorder: Recorder,
        sections: &[Name],
    ) -> Result<Arc<Self>, StoreError> {
        let before = ground.store.rooms_seen_since(unix_ms() - SAME_REHEARSAL_MS).await?;
        let mut wanted = wanted(sections, before);
        if wanted.is_empty() {
            wanted.push((usual_section(&ground.store, DEFAULT_SECTION).await?, None));
        }
        let store = ground.store.clone();
        let rooms = Self {
            ground,
            open: RwLock::default(),
            recorder: Mutex::new(Some(recorder)),
            turn: tokio::sync::Mutex::default(),
        };
        for (section, code) in wanted.into_iter().take(MOST_ROOMS) {
            match rooms.open_with(section, code).await {
                // A section that was asked for twice.
                Ok(_) | Err(RoomsError::IsOpen(_)) => {}
                Err(RoomsError::Store(error)) => return Err(error),
                Err(error) => tracing::warn!(%error, "a room could not be opened again"),
            }
        }
        let ids: Vec<String> = rooms.all().iter().map(|room| room.session_id.clone()).collect();
        store.forget_rooms_but(&ids).await?;
        store.close_abandoned().await?;
        Ok(Arc::new(rooms))
    }

    /// Opens a room for a section.
    ///
    /// # Errors
    /// Where there is one already, or the records say no.
    pub(crate) async fn open(&self, section: Name) -> Result<Arc<OpenRoom>, RoomsError> {
        self.open_with(section, None).await
    }

    async fn open_with(&self, section: Name, code: Option<String>) -> Result<Arc<OpenRoom>, RoomsError> {
        let _turn = self.turn.lock().await;
        if let Some(room) = self.of_section(section.as_str()) {
            return Err(RoomsError::IsOpen(room));
        }
        if self.all().len() >= MOST_ROOMS {
            return Err(RoomsError::Full);
        }
        let recorder = self.recorder.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let recorder = recorder.ok_or(RoomsError::Stopping)?;
        let code = code.unwrap_or_else(|| self.fresh_code());
        let room = Arc::new(self.make(section, code, recorder).await?);
        self.open.write().unwrap_or_else(PoisonError::into_inner).push(room.clone());
        if let Err(error) = room.roster.refresh().await {
            tracing::warn!(%error, "the section's list could not be brought into the room");
        }
        room.shelf.take_up().await;
        Ok(room)
    }

    /// A code that no door of this server knows.
    pub(crate) fn fresh_code(&self) -> String {
        let is_known =
            |code: &str| self.all().iter().any(|room| !matches!(room.door().is(code), Knock::Wrong));
        loop {
            let code = new_code();
            if !is_known(&code) {
                return code;
            }
        }
    }

    async fn make(&self, section: Name, code: String, recorder: Recorder) -> Result<OpenRoom, StoreError> {
        let Ground { store, a4_hz, keep_days, demo, code_lasts_min, metrics } = self.ground.clone();
        let goes_on = store.rehearsal_behind(&code, section.as_str()).await?;
        let nought_ms = match &goes_on {
            Some(rehearsal_id) => store.newest_time_nought_unix_ms(rehearsal_id).await?,
            None => None,
        };
        let clock = nought_ms.map_or_else(ServerClock::start, ServerClock::going_on);
        let session_id = uuid::Uuid::now_v7().to_string();
        let (handle, mut task) = RoomTask::new(
            session_id.clone(),
            code.clone(),
            section.clone(),
            a4_hz,
            clock,
            recorder.clone(),
            store.clone(),
        );
        task.metrics = Some(metrics);
        let row = SessionRow {
            session_id: session_id.clone(),
            code: code.clone(),
            section_name: section.to_string(),
            a4_hz: a4_hz.get(),
            time_nought_unix_ms: clock.nought_unix_ms(),
        };
        store.open_session(&row, goes_on.as_deref()).await?;
        store.note_room(&session_id, &code, unix_ms()).await?;
        if demo {
            store.mark_invented(&session_id).await?;
        }
        if goes_on.is_some() {
            task.take_back(store.runs_so_far(&session_id).await?);
        }
        let (closing, closing_receiver) = watch::channel(false);
        let roster =
            Roster::open(store.clone(), handle.clone(), recorder, session_id.clone(), section, keep_days)
                .await?;
        Ok(OpenRoom {
            id: goes_on.unwrap_or_else(|| session_id.clone()),
            clock,
            a4_hz,
            roster,
            shelf: Shelf::new(store.clone(), handle.clone(), session_id.clone()),
            imaginary: Imaginary::new(handle.clone(), clock, a4_hz, closing_receiver),
            door: Mutex::new(Door::new(code, code_lasts_min, unix_ms())),
            noted: tokio::sync::Mutex::default(),
            closing,
            store,
            task: Mutex::new(Some(tokio::spawn(task.run()))),
            session_id,
            handle,
        })
    }

    /// Every room that is open.
    pub(crate) fn all(&self) -> Vec<Arc<OpenRoom>> {
        self.open.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The room that was opened first; none once the server is stopping.
    pub(crate) fn first(&self) -> Option<Arc<OpenRoom>> {
        self.open.read().unwrap_or_else(PoisonError::into_inner).first().cloned()
    }

    /// The only room, where there is but one.
    pub(crate) fn only(&self) -> Option<Arc<OpenRoom>> {
        match self.open.read().unwrap_or_else(PoisonError::into_inner).as_slice() {
            [only] => Some(only.clone()),
            _ => None,
        }
    }

    /// The room of this name.
    pub(crate) fn get(&self, id: &str) -> Option<Arc<OpenRoom>> {
        let open = self.open.read().unwrap_or_else(PoisonError::into_inner);
        open.iter().find(|room| room.id == id).cloned()
    }

    /// The room that a section is in.
    pub(crate) fn of_section(&self, name: &str) -> Option<Arc<OpenRoom>> {
        let open = self.open.read().unwrap_or_else(PoisonError::into_inner);
        open.iter().find(|room| room.roster.section().as_str() == name).cloned()
    }

    /// How many rooms there are, and how many players are in them.
    pub(crate) fn counts(&self) -> (usize, usize) {
        let open = self.open.read().unwrap_or_else(PoisonError::into_inner);
        (open.len(), open.iter().map(|room| room.handle.n_present()).sum())
    }

    /// Events that wait for their rooms, and records that wait for the disk.
    pub(crate) fn waiting(&self) -> (usize, usize) {
        let n_events = self.all().iter().map(|room| room.handle.n_waiting()).sum();
        let recorder = self.recorder.lock().unwrap_or_else(PoisonError::into_inner);
        (n_events, recorder.as_ref().map_or(0, Recorder::n_waiting))
    }

    /// Closes a room; what it has is written down when this returns.
    ///
    /// # Errors
    /// Where there is none, or no other.
    pub(crate) async fn close(&self, id: &str) -> Result<(), RoomsError> {
        let _turn = self.turn.lock().await;
        let mut ending = {
            let mut open = self.open.write().unwrap_or_else(PoisonError::into_inner);
            let place = open.iter().position(|room| room.id == id).ok_or(RoomsError::Gone)?;
            if open.len() == 1 {
                return Err(RoomsError::Last);
            }
            open.remove(place).close()
        };
        if !ending.wait(END_WITHIN).await {
            tracing::warn!("a room was closed before everything was written; devices keep the rest");
        }
        self.ground.store.forget_room(ending.session_id()).await?;
        ending.note().await;
        Ok(())
    }

    /// Changes the list of a room's section; another section is chosen where no other room is in it.
    ///
    /// # Errors
    /// Why not.
    pub(crate) async fn change_list(&self, room: &OpenRoom, change: Change) -> Result<Phrase, RosterError> {
        let Change::Choose { section } = &change else { return room.roster.change(change).await };
        let _turn = self.turn.lock().await;
        if self.of_section(section.as_str()).is_some_and(|other| other.id != room.id) {
            let refusal = Phrase::of("rooms-is-open").with("section", section.to_string());
            return Err(RosterError::Cannot(refusal));
        }
        room.roster.change(change).await
    }

    /// Erases what is stored about somebody, asked for in one room; the others forget as well what they have of this rehearsal.
    ///
    /// # Errors
    /// When it could not be erased.
    pub(crate) async fn erase(
        &self,
        asked: &OpenRoom,
        whose: Whose,
        is_by_player: bool,
    ) -> Result<(), RosterError> {
        for room in self.all().iter().filter(|room| room.id != asked.id) {
            room.roster.forget(whose.clone(), is_by_player).await?;
        }
        asked.roster.erase(whose, is_by_player).await
    }

    /// Tells everybody that the server stops.
    pub(crate) fn tell_closing(&self) {
        for room in self.all() {
            room.tell_closing();
        }
    }

    /// Lets go of all rooms: each ends once nobody else has it any more, and the writer once all have ended.
    pub(crate) fn end(&self) -> Vec<Ending> {
        *self.recorder.lock().unwrap_or_else(PoisonError::into_inner) = None;
        let rooms = std::mem::take(&mut *self.open.write().unwrap_or_else(PoisonError::into_inner));
        rooms.iter().map(|room| room.close()).collect()
    }

    /// Looks at every door: a room has to know when somebody was last connected.
    pub(crate) async fn watch_doors(&self) {
        for room in self.all() {
            room.watch_door().await;
        }
    }

    /// Brings what another program has written about the sections into the rooms.
    pub(crate) async fn refresh_lists(&self) {
        for room in self.all() {
            if let Err(error) = room.roster.refresh_if_changed().await {
                error.log();
            }
        }
    }

    /// How long codes last, min, from now on.
    pub(crate) fn set_code_lasts(&self, lasts_min: i64) {
        for room in self.all() {
            room.door().set_lasts(lasts_min);
        }
    }
}

/// Which sections are to have a room, each with the code to go on with.
fn wanted(sections: &[Name], before: Vec<RoomBefore>) -> Vec<(Name, Option<String>)> {
    let mut seen = HashSet::new();
    // A server that was killed while it started has left a room twice; the later one is good.
    let mut left: Vec<RoomBefore> =
        before.into_iter().rev().filter(|room| seen.insert(room.section_name.clone())).collect();
    left.reverse();
    let mut wanted = Vec::new();
    for (i, section) in sections.iter().enumerate() {
        let same = left.iter().position(|room| room.section_name == section.as_str());
        // Whoever names another section at the same hour means the same people: the code on the board stays good.
        let goes_on = same.or((i == 0 && !left.is_empty()).then_some(0));
        wanted.push((section.clone(), goes_on.and_then(|place| left.remove(place).open_code)));
    }
    let rest =
        left.into_iter().filter_map(|room| Some((Name::new(&room.section_name).ok()?, room.open_code)));
    wanted.extend(rest);
    wanted
}

#[cfg(test)]
mod tests {
    use super::*;

    fn before(section: &str, code: Option<&str>) -> RoomBefore {
        RoomBefore { section_name: section.to_owned(), open_code: code.map(str::to_owned) }
    }

    fn check(sections: &[&str], rooms: Vec<RoomBefore>, expected: &[(&str, Option<&str>)]) {
        let sections: Vec<Name> = sections.iter().map(|name| Name::new(name).unwrap()).collect();
        let found = wanted(&sections, rooms);
        let found: Vec<_> = found.iter().map(|(name, code)| (name.as_str(), code.as_deref())).collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn a_server_goes_on_with_the_rooms_there_were() {
        let rooms = || vec![before("Reeds", Some("A")), before("Brass", None), before("Flutes", Some("C"))];
        check(&[], rooms(), &[("Reeds", Some("A")), ("Brass", None), ("Flutes", Some("C"))]);
        check(&["Flutes"], rooms(), &[("Flutes", Some("C")), ("Reeds", Some("A")), ("Brass", None)]);
        check(
            &["Reeds", "Oboes"],
            rooms(),
            &[("Reeds", Some("A")), ("Oboes", None), ("Brass", None), ("Flutes", Some("C"))],
        );
        check(&[], Vec::new(), &[]);
    }

    #[test]
    fn another_section_at_the_same_hour_has_the_code_on_the_board() {
        check(&["Sax choir"], vec![before("Reeds", Some("A"))], &[("Sax choir", Some("A"))]);
    }

    #[test]
    fn of_a_room_that_was_left_twice_the_later_one_is_good() {
        let rooms = vec![before("Reeds", Some("A")), before("Brass", Some("B")), before("Reeds", Some("C"))];
        check(&[], rooms, &[("Brass", Some("B")), ("Reeds", Some("C"))]);
    }
}
