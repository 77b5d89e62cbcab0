//! `windrow play`: a player's device without a browser, with a recording or this computer's microphone as its sound. It
//! shows in words what a player's page shows. It must know no rule of a rehearsal.

mod stand;

use super::serve::stop_signal;
use super::sound_file::SoundFile;
use crate::player::{Address, Device, RecordedSound, Repeat, Source};
use crate::tls;
use anyhow::{Context, bail};
use clap::Args;
use stand::Stand;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tokio::sync::watch;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::Hello;
use windrow_protocol::units::Name;

/// Options of `windrow play`.
#[derive(Debug, Clone, Args)]
pub struct PlayOptions {
    /// Where the room is, such as http://127.0.0.1:8470 or https://192.168.1.20:8471; the link of a page will do.
    #[arg(long, value_name = "URL")]
    pub server: String,
    /// The room's join code.
    #[arg(long, value_name = "CODE")]
    pub code: String,
    /// Name or nickname.
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub name: Name,
    /// Instrument, such as flute, oboe, clarinet-bb, alto-sax, bassoon.
    #[arg(long, value_name = "INSTRUMENT", default_value = "flute", value_parser = instrument)]
    pub instrument: Instrument,
    /// Play a WAV, FLAC or MP3 file as if it came from a microphone.
    #[arg(long, value_name = "FILE", conflicts_with = "microphone")]
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
    let trusted = options.trust.as_deref().map(tls::trusting).transpose()?;
    let address = Address::new(&options.server, trusted)?;
    let source = source(&options)?;
    let hello = Hello {
        calibrated: options.calibrated,
        ..Hello::new(&options.code, options.name.clone(), options.instrument)
    };
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

fn instrument(text: &str) -> Result<Instrument, String> {
    Instrument::from_slug(text).ok_or_else(|| {
        let all: Vec<_> = Instrument::ALL.iter().map(|i| i.slug()).collect();
        format!("there is no instrument \"{text}\": choose one of {}", all.join(", "))
    })
}
