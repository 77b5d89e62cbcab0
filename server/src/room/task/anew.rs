//! A room in which a rule broke: what it knows can no longer be trusted, so it begins anew from what is known outside of it, as after
//! a new start of the server. The devices come back by themselves, with their chairs and what was not kept.

use super::RoomTask;
use crate::store::{StoreError, Trouble};
use std::panic::{AssertUnwindSafe, catch_unwind};
use windrow_protocol::messages::DoorState;
use windrow_protocol::phrase::Phrase;
use windrow_protocol::units::{Hertz, Name};
use windrow_room::{Event, KeptRun, Lesson, Part, Room, RosterChange};

/// What a room was told from outside and cannot find out again.
#[derive(Debug)]
pub(super) struct Ground {
    code: String,
    door: DoorState,
    section: Name,
    a4_hz: Hertz,
    list: Option<RosterChange>,
    plan: Option<Box<Lesson>>,
}

impl Ground {
    pub(super) fn new(code: String, section: Name, a4_hz: Hertz) -> Self {
        Self { code, door: DoorState::Open, section, a4_hz, list: None, plan: None }
    }

    /// Notes what the room is told.
    pub(super) fn note(&mut self, event: &Event) {
        match event {
            Event::Door { code, state } => (self.code, self.door) = (code.clone(), *state),
            Event::Roster(change @ RosterChange::List { .. }) => self.list = Some(change.clone()),
            Event::Plan(lesson) => self.plan = Some(lesson.clone()),
            _ => {}
        }
    }
}

impl RoomTask {
    /// Does something that must not end the room, whatever goes wrong in it.
    pub(super) async fn guarded(&mut self, what: impl FnOnce(&mut Self)) {
        if catch_unwind(AssertUnwindSafe(|| what(self))).is_ok() {
            return;
        }
        tracing::error!("a rule of the room broke; the room begins anew");
        let runs = match self.runs_so_far().await {
            Ok(runs) => runs,
            Err(error) => {
                tracing::warn!(%error, "what was played so far could not be read for the room that begins anew");
                Vec::new()
            }
        };
        let trouble = self.condition.borrow().trouble;
        self.is_full = false;
        if catch_unwind(AssertUnwindSafe(|| self.begin_anew(runs, trouble))).is_err() {
            tracing::error!("the room could not be begun anew; it is empty");
        }
    }

    async fn runs_so_far(&self) -> Result<Vec<(f64, KeptRun)>, StoreError> {
        self.store.runs_so_far(&self.session_id).await
    }

    fn begin_anew(&mut self, runs: Vec<(f64, KeptRun)>, trouble: Option<Trouble>) {
        // Each is let go, and comes back.
        self.connections.clear();
        let Ground { code, section, a4_hz, door, list, plan } = &self.ground;
        self.room = Room::new(code.clone(), section.clone(), *a4_hz);
        let told = [
            Some(Event::Door { code: code.clone(), state: *door }),
            list.clone().map(Event::Roster),
            plan.clone().map(Event::Plan),
            trouble.map(|why| Event::Trouble { part: Part::Records, text: Some(super::words_of(why)) }),
            Some(Event::Passed { text: Phrase::of("trouble-room-anew") }),
        ];
        self.take_back(runs);
        for event in told.into_iter().flatten() {
            self.happen(event);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Input, Joined, Outgoing, RoomTask};
    use crate::clock::ServerClock;
    use crate::store::{SessionRow, Store};
    use windrow_protocol::instrument::Instrument;
    use windrow_protocol::messages::{Hello, PlayerHears, Welcome};
    use windrow_protocol::units::{Hertz, Name};

    async fn welcome(joined: &mut Joined) -> Welcome {
        loop {
            match joined.outgoing.recv().await {
                Some(Outgoing::Say(message)) => {
                    if let PlayerHears::Welcome(welcome) = *message {
                        return welcome;
                    }
                }
                Some(_) => {}
                None => panic!("let go without a welcome"),
            }
        }
    }

    #[tokio::test]
    async fn a_room_whose_rule_broke_begins_anew_with_its_players() {
        let dir = std::env::temp_dir().join(format!("windrow-anew-{}", uuid::Uuid::now_v7()));
        std::fs::create_dir_all(&dir).unwrap();
        let store = Store::open(&dir).await.unwrap();
        let row = SessionRow {
            session_id: "s1".to_owned(),
            code: "KF3M7P".to_owned(),
            section_name: "Larkmoor Youth Winds".to_owned(),
            a4_hz: 440.0,
            time_nought_unix_ms: 0,
        };
        store.open_session(&row, None).await.unwrap();
        let (recorder, writer) = store.start_writer();
        let (handle, task) = RoomTask::new(
            row.session_id,
            row.code,
            Name::new(&row.section_name).unwrap(),
            Hertz::new(440.0).unwrap(),
            ServerClock::start(),
            recorder,
            store.clone(),
        );
        let running = tokio::spawn(task.run());
        let greeting = Hello::new("KF3M7P", Name::new("Imogen").unwrap(), Instrument::Flute);
        let mut imogen = handle.join(greeting.clone()).await.unwrap();
        let first = welcome(&mut imogen).await;
        // The records know the device by then, as after any start.
        while store.device(&crate::store::token_sha256(&first.token)).await.unwrap().is_none() {
            tokio::task::yield_now().await;
        }
        handle.inputs.send(Input::Break).await.unwrap();
        while imogen.outgoing.recv().await.is_some() {}
        // A room lasts as long as anybody holds it.
        drop(imogen);
        let back = Hello { token: Some(first.token.clone()), ..greeting };
        let mut imogen = handle.join(back).await.unwrap();
        let again = welcome(&mut imogen).await;
        assert_eq!((again.token, again.chair, again.name), (first.token, first.chair, first.name));
        drop((imogen, handle));
        running.await.unwrap();
        writer.await.unwrap();
        store.close().await;
        std::fs::remove_dir_all(dir).unwrap();
    }
}
