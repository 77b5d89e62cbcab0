//! `windrow play`: a player's device without a browser, with a recording or this computer's microphone as its sound. It
//! shows in words what a player's page shows. It must know no rule of a rehearsal.

mod solo;
mod stand;

use super::serve::stop_signal;
use super::sound_file::SoundFile;
use crate::config;
use crate::player::{Address, Device, RecordedSound, Repeat, Source};
use crate::tls;
use crate::words::Language;
use anyhow::{Context, bail};
use clap::Args;
use stand::Stand;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tokio::sync::watch;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Hello;
use windrow_protocol::units::{Hertz, Name};

/// Options of `windrow play`.
#[derive(Debug, Clone, Args)]
pub struct PlayOptions {
    /// Where the room is, such as http://127.0.0.1:8470 or https://192.168.1.20:8471; the link of a page will do.
    #[arg(long, value_name = "URL", required_unless_present = "solo", conflicts_with = "solo")]
    pub server: Option<String>,
    /// The room's join code.
    #[arg(long, value_name = "CODE", required_unless_present = "solo", conflicts_with = "solo")]
    pub code: Option<String>,
    /// Name or nickname.
    #[arg(long, value_name = "NAME", required_unless_present = "solo", value_parser = name)]
    pub name: Option<Name>,
    /// Practise a plan alone, without a server: a name of "windrow plan list", one of your own, or a plan's file.
    #[arg(long, value_name = "PLAN")]
    pub solo: Option<String>,
    /// Keep the practice in this file [default: one of its own under "practice" in the data directory].
    #[arg(long, value_name = "FILE", requires = "solo")]
    pub keep: Option<PathBuf>,
    /// Hand the practice in at its end: the link that the conductor shows.
    #[arg(long, value_name = "URL", requires = "solo")]
    pub hand_in: Option<String>,
    /// Directory for practices and plans of your own [default: the place your system keeps such data].
    #[arg(long, value_name = "DIR", env = "WINDROW_DATA", requires = "solo")]
    pub data: Option<PathBuf>,
    /// Tuning of A4 while practising alone, from 415 to 446 Hz.
    #[arg(long, value_name = "HZ", default_value = "440", value_parser = config::a4_hz)]
    pub a4: Hertz,
    /// Language of a plan that comes with Windrow: en or de.
    #[arg(long, value_name = "LANGUAGE", default_value = "en")]
    pub language: Language,
    /// Instrument, such as flute, oboe, clarinet-bb, alto-sax, bassoon.
    #[arg(long, value_name = "INSTRUMENT", default_value = "flute", value_parser = instrument)]
    pub instrument: Instrument,
    /// Play a WAV, FLAC or MP3 file as if it came from a microphone.
    #[arg(long, visible_alias = "file", value_name = "FILE", conflicts_with = "microphone")]
    pub wav: Option<PathBuf>,
    /// Play the file again and again.
    #[arg(long, requires = "wav")]
    pub repeat: bool,
    /// Listen to this computer's microphone (in a build with `--features microphone`).
    #[arg(long)]
    pub microphone: bool,
    /// The sound has no delay but its own: "early" and "late" are meant absolutely.
    #[arg(long)]
    pub calibrated: bool,
    /// Whom to trust over https: the file certificate/authority.pem in the server's data directory.
    #[arg(long, value_name = "FILE")]
    pub trust: Option<PathBuf>,
}

/// Plays along until Ctrl-C, or until the recording is over and all of it safe.
///
/// # Errors
/// What kept it from playing, ready to be shown.
pub fn run(options: PlayOptions) -> anyhow::Result<ExitCode> {
    match &options.solo {
        Some(plan) => solo::run(&options, plan),
        None => play_along(&options),
    }
}

fn play_along(options: &PlayOptions) -> anyhow::Result<ExitCode> {
    let (server, code) =
        options.server.as_deref().zip(options.code.as_deref()).context("a server and its code")?;
    let name = options.name.clone().context("a name")?;
    let trusted = options.trust.as_deref().map(tls::trusting).transpose()?;
    let address = Address::new(server, trusted)?;
    let source = source(options)?;
    let hello = Hello { calibrated: options.calibrated, ..Hello::new(code, name, options.instrument) };
    let mut stand = Stand::new(options.instrument);
    let device = Device::new(address, hello, source).with_screen(Box::new(move |seen| stand.show(&seen)));
    let runtime = tokio::runtime::Runtime::new().context("cannot start the runtime")?;
    runtime.block_on(async {
        let (stop, stopped) = watch::channel(false);
        let mut playing = tokio::spawn(device.run(stopped));
        tokio::select! {
            done = &mut playing => done.context("the device broke down")??,
            asked = stop_signal() => {
                asked.context("cannot wait for Ctrl-C")?;
                // Nobody is left to hear it where the device has just ended.
                let _ = stop.send(true);
                playing.await.context("the device broke down")??;
            }
        }
        Ok(ExitCode::SUCCESS)
    })
}

fn source(options: &PlayOptions) -> anyhow::Result<Box<dyn Source>> {
    match &options.wav {
        Some(path) => {
            let repeat = if options.repeat { Repeat::ForEver } else { Repeat::Once };
            Ok(Box::new(recording(path, repeat).with_context(|| path.display().to_string())?))
        }
        None if options.microphone => microphone(),
        None => bail!("there is nothing to hear: give --wav FILE or --microphone"),
    }
}

fn recording(path: &Path, repeat: Repeat) -> anyhow::Result<RecordedSound> {
    let mut file = SoundFile::open(path)?;
    let mut samples = Vec::new();
    while let Some(block) = file.next_block()? {
        samples.extend_from_slice(block);
    }
    Ok(RecordedSound::new(samples, f64::from(file.sample_rate_hz()), repeat))
}

#[cfg(feature = "microphone")]
fn microphone() -> anyhow::Result<Box<dyn Source>> {
    let microphone = crate::player::Microphone::open()?;
    println!("Listening to \"{}\" at {} Hz.", microphone.name(), microphone.sample_rate_hz());
    Ok(Box::new(microphone))
}

#[cfg(not(feature = "microphone"))]
fn microphone() -> anyhow::Result<Box<dyn Source>> {
    bail!(
        "this build has no microphone in it: build it with \"cargo build --release --features microphone\" (on Linux after \
         installing the development files of ALSA, on Debian libasound2-dev), or give --wav FILE"
    )
}

fn name(text: &str) -> Result<Name, String> {
    Name::new(text).map_err(|e| e.to_string())
}

pub(super) fn instrument(text: &str) -> Result<Instrument, String> {
    Instrument::from_slug(text).ok_or_else(|| {
        let all: Vec<_> = Instrument::ALL.iter().map(|i| i.slug()).collect();
        format!("there is no instrument \"{text}\": choose one of {}", all.join(", "))
    })
}
