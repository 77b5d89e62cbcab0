//! A player's device in a time that somebody else makes pass: the same sound, ear and music as a [`super::Device`] has, without
//! socket and clock. It must know no room: what it says and hears is handed over by whoever makes the time pass.

use super::ear::{Moment, Source};
use super::musician::Musician;
use windrow_protocol::messages::{PlayerHears, PlayerSays};
use windrow_protocol::timeline::Timeline;
use windrow_web::ConfigError;

/// A device whose clock is the server's.
pub struct RehearsedDevice {
    musician: Musician,
}

impl RehearsedDevice {
    /// A device that hears this sound.
    pub fn new(source: Box<dyn Source>) -> Self {
        Self { musician: Musician::new(source) }
    }

    /// What it says of its microphone once it has a chair.
    pub fn microphone(&self) -> PlayerSays {
        self.musician.microphone()
    }

    /// Takes what the room says.
    ///
    /// # Errors
    /// [`ConfigError`] where the sound or the tuning cannot be analysed.
    pub fn take(&mut self, message: PlayerHears) -> Result<(), ConfigError> {
        match message {
            PlayerHears::Welcome(welcome) => self.musician.sit_down(&welcome)?,
            PlayerHears::Score { score } => self.musician.set_score(score),
            PlayerHears::Seat(seat) => self.musician.move_to(seat.chair),
            // Nothing is lost on the way, and nobody looks at it.
            PlayerHears::Ack { .. }
            | PlayerHears::Clock(_)
            | PlayerHears::Exercise(_)
            | PlayerHears::Notice { .. }
            | PlayerHears::Refused(_)
            | PlayerHears::You(_) => {}
        }
        Ok(())
    }

    /// The music with this player's notes.
    pub fn music(&self) -> Option<&Timeline> {
        self.musician.music()
    }

    /// Whether no more sound will come.
    pub fn is_over(&self) -> bool {
        self.musician.is_over()
    }

    /// Plays and hears up to a server time, and gives what there is to say of it.
    pub fn hear(&mut self, now_us: f64) -> Vec<PlayerSays> {
        self.musician.hear(Moment { device_us: now_us, offset_us: 0.0, drift: 0.0 })
    }
}
