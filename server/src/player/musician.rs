//! Who sits in a chair, as a device has it: the sound, the ear that hears it, and the music with this player's notes. It must
//! know no socket and no clock, nor what its sound is made of.

use super::ear::{Ear, Moment, Source};
use windrow_protocol::messages::{MicrophoneReport, MicrophoneStatus, PlayerSays, Welcome};
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;
use windrow_web::{Config, ConfigError, Listener};

/// A chair's sound, ear and music.
pub(super) struct Musician {
    /// Given by the welcome.
    chair: u16,
    source: Box<dyn Source>,
    /// Made at the first welcome, which brings the tuning.
    ear: Option<Ear>,
    /// As the room sent it.
    score: Option<Score>,
    music: Option<Timeline>,
}

impl Musician {
    pub(super) fn new(source: Box<dyn Source>) -> Self {
        Self { chair: 0, source, ear: None, score: None, music: None }
    }

    /// Takes the chair the room gives.
    ///
    /// # Errors
    /// [`ConfigError`] where the sound or the tuning cannot be analysed.
    pub(super) fn sit_down(&mut self, welcome: &Welcome) -> Result<(), ConfigError> {
        self.chair = welcome.chair;
        if self.ear.is_none() {
            let sample_rate_hz = self.source.sample_rate_hz();
            let config = Config { sample_rate_hz, a4_hz: welcome.a4_hz.get(), expected_midi: None };
            self.ear = Some(Ear::new(Listener::new(config)?));
        }
        if let Some(ear) = &mut self.ear {
            ear.listener.resume_after(welcome.acknowledged);
        }
        self.set_score(welcome.score.clone());
        Ok(())
    }

    /// What is said of the microphone.
    pub(super) fn microphone(&self) -> PlayerSays {
        PlayerSays::Microphone(MicrophoneReport {
            status: MicrophoneStatus::Listening,
            sample_rate_hz: Some(self.source.sample_rate_hz()),
            still_on: Vec::new(),
        })
    }

    /// Another chair may have another note.
    pub(super) fn move_to(&mut self, chair: u16) {
        self.chair = chair;
        self.set_score(self.score.clone());
    }

    pub(super) fn set_score(&mut self, mut score: Option<Score>) {
        self.score = score.clone();
        for span in score.iter_mut().flat_map(|score| &mut score.spans) {
            *span = span.for_chair(self.chair);
            span.note = span.note.map(|asked| self.source.octave_of(asked));
        }
        let timeline = score.clone().map(Timeline::new).transpose();
        self.music = timeline.unwrap_or_else(|error| {
            tracing::warn!(%error, "the server sent a score that cannot be played");
            None
        });
        self.source.take_music(self.music.as_ref());
        if let Some(ear) = &mut self.ear {
            // The same score was checked just above.
            let _ = ear.listener.set_score(score.filter(|_| self.music.is_some()));
        }
    }

    /// The music with this player's notes.
    pub(super) fn music(&self) -> Option<&Timeline> {
        self.music.as_ref()
    }

    /// Whether no more sound will come.
    pub(super) fn is_over(&self) -> bool {
        self.source.is_over()
    }

    /// Hears the sound that is due and gives what is to be said of it; nothing before the first welcome.
    pub(super) fn hear(&mut self, now: Moment) -> Vec<PlayerSays> {
        let Some(ear) = &mut self.ear else { return Vec::new() };
        ear.hear(self.source.as_mut(), self.music.as_ref(), now)
    }
}
