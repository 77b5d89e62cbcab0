//! What a demonstration's end is told from: the newest picture of the room, or, where chairs take turns, each player as at
//! the end of the own turn. Must not know how a state came about.

use tokio::sync::watch;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{Lane, Snapshot};

/// Looks at the room.
pub(super) struct Seen {
    room: watch::Receiver<Option<Box<Snapshot>>>,
    takes_turns: bool,
    /// What there is to tell so far.
    pub(super) last: Option<Box<Snapshot>>,
}

impl Seen {
    pub(super) fn new(room: watch::Receiver<Option<Box<Snapshot>>>, takes_turns: bool) -> Self {
        Self { room, takes_turns, last: None }
    }

    /// Looks on until the music has ended by itself; for ever where it does not.
    pub(super) async fn look_to_the_end(&mut self) {
        let mut has_begun = false;
        while self.room.changed().await.is_ok() {
            let Some(now) = self.room.borrow_and_update().clone() else { continue };
            has_begun |= now.score.is_some();
            let is_over = has_begun && now.score.is_none();
            self.take(now);
            if is_over {
                return;
            }
        }
        std::future::pending().await
    }

    fn take(&mut self, now: Box<Snapshot>) {
        let Some(last) = self.last.as_mut().filter(|_| self.takes_turns) else {
            self.last = Some(now);
            return;
        };
        let speaks = |lane: &Lane| {
            now.turn.contains(&lane.chair) && !matches!(lane.state, State::Resting | State::NotHeard)
        };
        for lane in now.lanes.iter().filter(|lane| speaks(lane)) {
            if let Some(kept) = last.lanes.iter_mut().find(|kept| kept.player_id == lane.player_id) {
                kept.clone_from(lane);
            }
        }
    }
}
