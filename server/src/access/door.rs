//! The room's door: its join code, whether it lets anybody new in, and when it closes by itself. Pure: the time, how many
//! players are connected and new codes come in. Who is in already is let back in by the device's token, not here.

use windrow_protocol::messages::DoorState;

/// Codes that were good earlier in this rehearsal and are answered kindly.
const EARLIER_CODES: usize = 16;
/// How long a code lasts after the last device was connected, min: the default, the least and the most.
pub(crate) const CODE_LASTS_MIN: i64 = 180;
pub(crate) const CODE_LASTS_RANGE_MIN: std::ops::RangeInclusive<i64> = 15..=720;

const MS_PER_MIN: i64 = 60_000;

/// What a code that somebody typed is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Knock {
    /// Come in.
    Right,
    /// The door is closed. That is all that is told then, so that nobody can find a code out at a closed door; whether
    /// it was the right one counts as a guess or not.
    Closed {
        /// For counting guesses only.
        is_right: bool,
    },
    /// It was good until the conductor changed it.
    Earlier,
    /// It was never good.
    Wrong,
}

/// The door of one room.
#[derive(Debug)]
pub(crate) struct Door {
    code: String,
    earlier: Vec<String>,
    state: DoorState,
    lasts_ms: i64,
    /// When a device was last connected, or the conductor last asked for more time.
    used_ms: i64,
}

/// The door as the conductor sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct DoorView {
    pub(crate) code: String,
    pub(crate) state: DoorState,
    pub(crate) lasts_min: i64,
    /// Until it closes by itself, if nobody is connected by then; `None` while it is closed.
    pub(crate) ms_left: Option<i64>,
}

impl Door {
    pub(crate) fn new(code: String, lasts_min: i64, now_ms: i64) -> Self {
        let lasts_ms = clamped(lasts_min) * MS_PER_MIN;
        Self { code, earlier: Vec::new(), state: DoorState::Open, lasts_ms, used_ms: now_ms }
    }

    pub(crate) fn code(&self) -> &str {
        &self.code
    }

    pub(crate) fn state(&self) -> DoorState {
        self.state
    }

    /// Closes the door if its time has come. Called every few seconds and before each knock.
    pub(crate) fn look(&mut self, n_connected: usize, now_ms: i64) {
        // A computer's time of day may be set back.
        self.used_ms = self.used_ms.min(now_ms);
        if n_connected > 0 {
            self.used_ms = now_ms;
        } else if self.state == DoorState::Open && now_ms - self.used_ms >= self.lasts_ms {
            self.state = DoorState::TimedOut;
        }
    }

    pub(crate) fn knock(&self, code: &str) -> Knock {
        let is_right = code == self.code;
        match self.state {
            DoorState::Closed | DoorState::TimedOut => Knock::Closed { is_right },
            DoorState::Open if is_right => Knock::Right,
            DoorState::Open if self.earlier.iter().any(|earlier| earlier == code) => Knock::Earlier,
            DoorState::Open => Knock::Wrong,
        }
    }

    /// Whether a code is this door's or was, whatever its state; for whoever looks for the right door.
    pub(crate) fn is(&self, code: &str) -> Knock {
        if code == self.code {
            Knock::Right
        } else if self.earlier.iter().any(|earlier| earlier == code) {
            Knock::Earlier
        } else {
            Knock::Wrong
        }
    }

    /// Nobody new.
    pub(crate) fn close(&mut self) {
        self.state = DoorState::Closed;
    }

    /// Lets people in again, for as long as a code lasts. A code that timed out may have been left on a wall: another
    /// takes its place.
    pub(crate) fn open(&mut self, new_code: String, now_ms: i64) {
        if self.state == DoorState::TimedOut {
            self.replace_code(new_code);
        }
        self.state = DoorState::Open;
        self.used_ms = now_ms;
    }

    /// Another code; the door is open then.
    pub(crate) fn change(&mut self, new_code: String, now_ms: i64) {
        self.replace_code(new_code);
        self.state = DoorState::Open;
        self.used_ms = now_ms;
    }

    /// Counts its time anew.
    pub(crate) fn prolong(&mut self, now_ms: i64) {
        self.used_ms = now_ms;
    }

    pub(crate) fn set_lasts(&mut self, lasts_min: i64) {
        self.lasts_ms = clamped(lasts_min) * MS_PER_MIN;
    }

    pub(crate) fn view(&self, now_ms: i64) -> DoorView {
        let is_open = self.state == DoorState::Open;
        DoorView {
            code: self.code.clone(),
            state: self.state,
            lasts_min: self.lasts_ms / MS_PER_MIN,
            ms_left: is_open.then(|| (self.used_ms + self.lasts_ms - now_ms).clamp(0, self.lasts_ms)),
        }
    }

    fn replace_code(&mut self, new_code: String) {
        if self.earlier.len() == EARLIER_CODES {
            self.earlier.remove(0);
        }
        self.earlier.push(std::mem::replace(&mut self.code, new_code));
    }
}

fn clamped(lasts_min: i64) -> i64 {
    lasts_min.clamp(*CODE_LASTS_RANGE_MIN.start(), *CODE_LASTS_RANGE_MIN.end())
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR_MS: i64 = 60 * MS_PER_MIN;

    fn door() -> Door {
        Door::new("KF3M7P".to_owned(), CODE_LASTS_MIN, 0)
    }

    #[test]
    fn a_closed_door_says_the_same_to_everybody() {
        let mut door = door();
        assert_eq!((door.knock("KF3M7P"), door.knock("CCCCCC")), (Knock::Right, Knock::Wrong));
        door.close();
        for code in ["KF3M7P", "CCCCCC"] {
            assert!(matches!(door.knock(code), Knock::Closed { is_right } if is_right == (code == "KF3M7P")));
        }
        door.open("WRXHTC".to_owned(), HOUR_MS);
        assert_eq!(door.knock("KF3M7P"), Knock::Right, "a door closed by hand opens with its code");
    }

    #[test]
    fn an_earlier_code_is_told_from_a_wrong_one() {
        let mut door = door();
        door.change("WRXHTC".to_owned(), 0);
        let knocks = ["WRXHTC", "KF3M7P", "CCCCCC"].map(|code| door.knock(code));
        assert_eq!(knocks, [Knock::Right, Knock::Earlier, Knock::Wrong]);
        for i in 0..20 {
            door.change(format!("NEW{i}"), 0);
        }
        assert_eq!(door.knock("KF3M7P"), Knock::Wrong, "only the last ones are remembered");
    }

    #[test]
    fn the_code_lasts_three_hours_after_the_last_device_and_never_runs_out_while_one_is_connected() {
        let mut door = door();
        for minute in 0..600 {
            door.look(1, minute * MS_PER_MIN);
            assert_eq!(door.view(minute * MS_PER_MIN).ms_left, Some(3 * HOUR_MS));
        }
        let last_ms = 599 * MS_PER_MIN;
        door.look(0, last_ms + 3 * HOUR_MS - 1);
        assert_eq!(
            (door.knock("KF3M7P"), door.view(last_ms + 3 * HOUR_MS - 1).ms_left),
            (Knock::Right, Some(1))
        );
        door.look(0, last_ms + 3 * HOUR_MS);
        assert_eq!(door.knock("KF3M7P"), Knock::Closed { is_right: true });
        assert_eq!(door.view(last_ms + 3 * HOUR_MS).ms_left, None);
        door.open("WRXHTC".to_owned(), last_ms + 4 * HOUR_MS);
        assert_eq!((door.knock("KF3M7P"), door.knock("WRXHTC")), (Knock::Earlier, Knock::Right));
    }

    #[test]
    fn more_time_and_another_length_count_from_now() {
        let mut door = door();
        door.prolong(2 * HOUR_MS);
        assert_eq!(door.view(2 * HOUR_MS).ms_left, Some(3 * HOUR_MS));
        for (asked_min, min) in [(15, 15), (720, 720), (1, 15), (10_000, 720)] {
            door.set_lasts(asked_min);
            assert_eq!(door.view(2 * HOUR_MS).lasts_min, min, "{asked_min}");
        }
    }

    #[test]
    fn a_clock_that_is_set_back_keeps_nobody_out() {
        let mut door = Door::new("KF3M7P".to_owned(), CODE_LASTS_MIN, 100 * HOUR_MS);
        door.look(0, HOUR_MS);
        assert_eq!((door.knock("KF3M7P"), door.view(HOUR_MS).ms_left), (Knock::Right, Some(3 * HOUR_MS)));
    }
}
