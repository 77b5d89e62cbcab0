//! Pictures of a room on their way to one page of the conductor's. The room makes one where somebody looks; each page is sent
//! what is different from the last one that it was sent. It must hold no rule of a rehearsal.

use super::task::Ended;
use serde::Serialize;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::time::Duration;
use tokio::sync::watch;
use windrow_protocol::messages::{ConductorHears, RoomChange, Snapshot};

/// Time between two looks at a room, and so between two pictures of it.
pub(super) const LOOK_EVERY: Duration = Duration::from_millis(200);
/// A page hears this often that the room is there, though nothing is different. Our own choice.
const ALIVE_EVERY_US: f64 = 1e6;

/// How a page wants its pictures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    /// Each whole, for programs that keep no picture.
    Whole,
    /// The first whole, then what is different.
    Changes,
}

/// The newest picture; `None` while nobody looks. Copies share it.
#[derive(Debug, Clone)]
pub(super) struct Gallery {
    newest: watch::Receiver<Option<Arc<Snapshot>>>,
    n_looking: Arc<AtomicUsize>,
}

/// Where the room puts its pictures.
#[derive(Debug)]
pub(super) struct Wall {
    newest: watch::Sender<Option<Arc<Snapshot>>>,
    n_looking: Arc<AtomicUsize>,
}

pub(super) fn wall() -> (Wall, Gallery) {
    let (sender, newest) = watch::channel(None);
    let n_looking = Arc::new(AtomicUsize::new(0));
    (Wall { newest: sender, n_looking: n_looking.clone() }, Gallery { newest, n_looking })
}

impl Wall {
    /// Shows a picture, which is made only where somebody looks. An old one is not left for whoever comes later.
    pub(super) fn show(&self, picture: impl FnOnce() -> Snapshot) {
        if self.n_looking.load(Ordering::Relaxed) > 0 {
            self.newest.send_replace(Some(Arc::new(picture())));
        } else {
            self.newest.send_if_modified(|newest| newest.take().is_some());
        }
    }
}

impl Gallery {
    /// The pictures for one page.
    pub(super) fn look(&self) -> Pictures {
        self.n_looking.fetch_add(1, Ordering::Relaxed);
        let mut gallery = self.clone();
        gallery.newest.mark_changed();
        Pictures { gallery, form: Form::Whole, told: None }
    }
}

/// The pictures for one page. A page that is slow skips some: only the newest is there.
#[derive(Debug)]
pub(crate) struct Pictures {
    gallery: Gallery,
    form: Form,
    /// The last one the page was sent.
    told: Option<Arc<Snapshot>>,
}

impl Pictures {
    /// From now on only what is different.
    pub(crate) fn as_changes(&mut self) {
        self.form = Form::Changes;
    }

    /// What to send next. Nothing is lost when this is given up half-way.
    pub(crate) async fn next(&mut self) -> Result<String, Ended> {
        loop {
            self.gallery.newest.changed().await.map_err(|_| Ended)?;
            let newest = self.gallery.newest.borrow_and_update().clone();
            if let Some(text) = newest.and_then(|newest| self.news(newest)) {
                return Ok(text);
            }
        }
    }

    fn news(&mut self, newest: Arc<Snapshot>) -> Option<String> {
        let whole = || ConductorHears::Room(Box::new((*newest).clone()));
        let message = match &self.told {
            None => whole(),
            Some(told) => {
                let change = RoomChange::between(told, &newest);
                let is_due = newest.time_us.get() - told.time_us.get() >= ALIVE_EVERY_US;
                if change.is_nothing() && !is_due {
                    return None;
                }
                match self.form {
                    Form::Whole => whole(),
                    Form::Changes => ConductorHears::RoomChange(Box::new(change)),
                }
            }
        };
        self.told = Some(newest);
        Some(text_of(&message))
    }
}

impl Drop for Pictures {
    fn drop(&mut self) {
        self.gallery.n_looking.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Rooms of one server look at their players one after another and not all in one moment: each begins by the golden section of
/// the time between two looks later than the one before, which spreads any number of rooms evenly.
pub(super) fn first_look_after() -> Duration {
    static N_ROOMS: AtomicU64 = AtomicU64::new(0);
    const GOLDEN_SECTION: f64 = 0.618_033_988_749_894_9;
    let n = N_ROOMS.fetch_add(1, Ordering::Relaxed) as f64;
    LOOK_EVERY.mul_f64((n * GOLDEN_SECTION).fract())
}

pub(super) fn text_of(message: &impl Serialize) -> String {
    serde_json::to_string(message).expect("messages hold only what JSON can")
}

#[cfg(test)]
#[path = "pictures_tests.rs"]
mod tests;
