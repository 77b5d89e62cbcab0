//! What all who take part in a run share: when it began, how far it is, and where somebody's own times lie in it. Moments are planned
//! ahead and kept whatever happens, so that a server that is slow is not asked less often.

use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;
use tokio::sync::watch;
use tokio::time::Instant;

/// Players come at this rate, all rooms at once: a class of 25 in five seconds, were it alone. Our own choice.
pub(super) const JOINS_PER_S: f64 = 200.0;
/// From the music's beginning to the first measured moment: by then a rhythm is trusted.
pub(super) const SETTLE: Duration = Duration::from_secs(3);

/// How far a run is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Stage {
    /// Players come.
    Joining,
    /// There is music; what is measured lies between two moments.
    Playing { from: Instant, to: Instant },
    /// The music ends; players who have nothing left to be acknowledged go, and all go then.
    Ending { by: Instant },
    /// The players have gone.
    Over,
}

/// A run under way.
#[derive(Debug)]
pub(super) struct Pace {
    pub(super) nought: Instant,
    stage: watch::Sender<Stage>,
    n_in: AtomicU32,
}

impl Pace {
    pub(super) fn new() -> Self {
        let (stage, _) = watch::channel(Stage::Joining);
        Self { nought: Instant::now(), stage, n_in: AtomicU32::new(0) }
    }

    pub(super) fn stage(&self) -> Stage {
        *self.stage.borrow()
    }

    pub(super) fn stages(&self) -> watch::Receiver<Stage> {
        self.stage.subscribe()
    }

    pub(super) fn go_on(&self, stage: Stage) {
        self.stage.send_replace(stage);
    }

    /// Somebody has come in for the first time.
    pub(super) fn came_in(&self) {
        self.n_in.fetch_add(1, Ordering::Relaxed);
    }

    pub(super) fn n_in(&self) -> u32 {
        self.n_in.load(Ordering::Relaxed)
    }

    /// Microseconds of this run's own clock.
    pub(super) fn us_at(&self, at: Instant) -> f64 {
        at.saturating_duration_since(self.nought).as_secs_f64() * 1e6
    }

    /// Whether a moment is among those that are measured.
    pub(super) fn measures(&self, at: Instant) -> bool {
        matches!(self.stage(), Stage::Playing { from, to } if from <= at && at < to)
    }
}
