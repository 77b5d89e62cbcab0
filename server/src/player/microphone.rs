//! This computer's microphone. Sound comes on the sound card's own thread into a queue; nothing else happens there. It knows
//! no socket.

use super::ear::Source;
use cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, mpsc};
use std::thread;
use windrow_protocol::timeline::Timeline;
use windrow_web::TimeMap;

/// Most samples waiting: five seconds at 192 kHz. Older ones are let go of where nobody takes them.
const QUEUE: usize = 960_000;

/// Why there is no microphone.
#[derive(Debug, thiserror::Error)]
pub enum MicrophoneError {
    /// The system names none.
    #[error(
        "this computer has no microphone, or the system does not let this program use it: plug one in, or allow it"
    )]
    None,
    /// The system says why not.
    #[error("the microphone cannot be opened: {0}")]
    Unusable(String),
}

#[derive(Debug, Default)]
struct Come {
    waiting: VecDeque<f32>,
    n_come: u64,
}

/// An open microphone.
pub struct Microphone {
    come: Arc<Mutex<Come>>,
    sample_rate_hz: f64,
    name: String,
    /// The stream lives on a thread of its own, since not every system lets it move; it ends when this is dropped.
    _keep: mpsc::Sender<()>,
}

impl Microphone {
    /// Opens the system's usual microphone.
    ///
    /// # Errors
    /// [`MicrophoneError`].
    pub fn open() -> Result<Self, MicrophoneError> {
        let come = Arc::new(Mutex::new(Come::default()));
        let (opened, answer) = mpsc::channel();
        let (keep, kept) = mpsc::channel::<()>();
        let into = come.clone();
        thread::spawn(move || match open(into) {
            Ok((stream, rate_hz, name)) => {
                // Whoever asked may have gone; then the stream ends at once.
                let _ = opened.send(Ok((rate_hz, name)));
                let _ = kept.recv();
                drop(stream);
            }
            Err(error) => {
                let _ = opened.send(Err(error));
            }
        });
        let (sample_rate_hz, name) = answer.recv().unwrap_or(Err(MicrophoneError::None))?;
        Ok(Self { come, sample_rate_hz, name, _keep: keep })
    }

    /// As the system calls it.
    pub fn name(&self) -> &str {
        &self.name
    }
}

fn locked(come: &Mutex<Come>) -> MutexGuard<'_, Come> {
    // Samples are whole even where a thread died between two of them.
    come.lock().unwrap_or_else(PoisonError::into_inner)
}

fn open(come: Arc<Mutex<Come>>) -> Result<(cpal::Stream, f64, String), MicrophoneError> {
    let unusable = |e: cpal::Error| MicrophoneError::Unusable(e.to_string());
    let device = cpal::default_host().default_input_device().ok_or(MicrophoneError::None)?;
    let name = device.description().map_or_else(|_| "microphone".to_owned(), |d| d.name().to_owned());
    let config = device.default_input_config().map_err(unusable)?;
    let rate_hz = f64::from(config.sample_rate());
    let n_channels = usize::from(config.channels()).max(1);
    let take = move |samples: &[f32], _: &cpal::InputCallbackInfo| {
        let mut come = locked(&come);
        for frame in samples.chunks_exact(n_channels) {
            come.waiting.push_back(frame.iter().sum::<f32>() / n_channels as f32);
        }
        come.n_come += (samples.len() / n_channels) as u64;
        let n_too_many = come.waiting.len().saturating_sub(QUEUE);
        come.waiting.drain(..n_too_many);
    };
    let failed = |error: cpal::Error| tracing::warn!(%error, "the microphone falters");
    let stream = device.build_input_stream(config.config(), take, failed, None).map_err(unusable)?;
    stream.play().map_err(unusable)?;
    Ok((stream, rate_hz, name))
}

impl Source for Microphone {
    fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    fn n_come(&self) -> Option<u64> {
        Some(locked(&self.come).n_come)
    }

    fn fill(&mut self, out: &mut [f32], _music: Option<&Timeline>, _time_map: &TimeMap) {
        let mut come = locked(&self.come);
        for sample in out {
            *sample = come.waiting.pop_front().unwrap_or(0.0);
        }
    }
}
