//! What pages ask of a room, and what they change in its list and its plan. It must hold no rule.

use super::{Ended, Input, RoomHandle};
use tokio::sync::oneshot;
use windrow_protocol::messages::{Replay, Results, Review};
use windrow_protocol::phrase::Phrase;
use windrow_room::{Lesson, RosterChange, SeatInfo};

impl RoomHandle {
    /// Changes who is who; the text says why not, if so.
    pub(crate) async fn change_roster(&self, change: RosterChange) -> Result<Option<Phrase>, Ended> {
        let (cannot, answer) = oneshot::channel();
        self.inputs.send(Input::Roster { change, cannot }).await.map_err(|_| Ended)?;
        Ok(answer.await.ok())
    }

    /// Every chair, taken or not.
    pub(crate) async fn seats(&self) -> Result<Vec<SeatInfo>, Ended> {
        let (answer, seats) = oneshot::channel();
        self.inputs.send(Input::Seats { answer }).await.map_err(|_| Ended)?;
        seats.await.map_err(|_| Ended)
    }

    /// What the section did so far.
    pub(crate) async fn results(&self) -> Result<Results, Ended> {
        let (answer, results) = oneshot::channel();
        self.inputs.send(Input::Results { answer }).await.map_err(|_| Ended)?;
        results.await.map_err(|_| Ended)
    }

    /// The same to look back on.
    pub(crate) async fn review(&self) -> Result<Review, Ended> {
        let (answer, review) = oneshot::channel();
        self.inputs.send(Input::Review { answer }).await.map_err(|_| Ended)?;
        review.await.map_err(|_| Ended)
    }

    /// The raster of a run, while it is kept.
    pub(crate) async fn replay(&self, number: u16) -> Result<Option<Replay>, Ended> {
        let (answer, replay) = oneshot::channel();
        self.inputs.send(Input::Replay { number, answer }).await.map_err(|_| Ended)?;
        replay.await.map_err(|_| Ended)
    }

    /// Makes a plan the one that is played from; the text says why not, if so.
    pub(crate) async fn take_plan(&self, lesson: Lesson) -> Result<Option<Phrase>, Ended> {
        self.give_plan(lesson, false).await
    }

    /// Lets the imaginary section play a plan; the text says why not, if so.
    pub(crate) async fn lend_plan(&self, lesson: Lesson) -> Result<Option<Phrase>, Ended> {
        self.give_plan(lesson, true).await
    }

    async fn give_plan(&self, lesson: Lesson, is_lent: bool) -> Result<Option<Phrase>, Ended> {
        let (cannot, answer) = oneshot::channel();
        let input = Input::Plan { lesson: Box::new(lesson), is_lent, cannot };
        self.inputs.send(input).await.map_err(|_| Ended)?;
        Ok(answer.await.ok())
    }
}
