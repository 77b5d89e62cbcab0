//! `windrow measure`: the vibrato in sound files, as a table or as JSON. It takes files one by one and prints what they
//! came to; what a file comes to is `summary`'s work. It must know nothing of rooms and sockets.

mod plot;
mod record;
mod session;
mod span_record;
mod summary;
mod table;
mod traces;
mod track;

use super::sound_file::{DecodeError, SoundFile};
use crate::config;
use crate::words::printable;
use anyhow::Context;
use clap::Args;
use record::{Heard, Record};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use summary::{Beat, Question, summarise};
use traces::{PlainTraces, Traces};
use windrow_analysis::{Analyser, Config, Contour, Pulse, Reading};
use windrow_protocol::note::Note;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::{Bpm, Hertz};

/// Options of `windrow measure`.
#[derive(Debug, Clone, Args)]
pub struct MeasureOptions {
    /// Sound files (WAV, FLAC or MP3, 8 to 192 kHz; several channels are mixed down to one).
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// Print one JSON object a line for each file instead of a table.
    #[arg(long)]
    pub json: bool,
    /// With --json, add level, pitch and pulse rate ten times a second: rows of seconds, dB, cents from the note, Hz.
    #[arg(long, requires = "json")]
    pub track: bool,
    /// Tuning of A4, from 415 to 446 Hz.
    #[arg(long, value_name = "HZ", default_value = "440", value_parser = config::a4_hz)]
    pub a4: Hertz,
    /// Sounding note that was to be played, such as F#4; cents count from it. Else the nearest note is taken.
    #[arg(long, value_name = "NOTE", value_parser = expected_note)]
    pub expect: Option<Note>,
    /// Tempo that was to be played, 20 to 300 beats a minute: the rate is judged against it, and timing and its spread
    /// (both in ms) are told.
    #[arg(long, visible_alias = "bpm", value_name = "BPM", value_parser = bpm, requires = "pulses_per_beat", group = "asked")]
    pub tempo: Option<Bpm>,
    /// Pulses to a beat, 1 to 8.
    #[arg(long, visible_alias = "per-beat", value_name = "N", value_parser = per_beat, requires = "tempo")]
    pub pulses_per_beat: Option<PerBeat>,
    /// Where a beat lies in the file, in seconds from its start. Without it, timing counts from the start of the file
    /// and is not judged: the state never says early or late. With a plan: where the exercise's first beat lies.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, requires = "asked", allow_negative_numbers = true)]
    pub beat_at: Option<f64>,
    /// Draw pitch, level and pulses over time as an SVG picture; with several files, OUT-1.svg, OUT-2.svg and so on.
    #[arg(long, value_name = "OUT.svg")]
    pub plot: Option<PathBuf>,
    /// Adding recordings to a player's records.
    #[command(flatten)]
    pub session: session::SessionOptions,
}

/// Measures the files. What is wrong with one is said on standard error, and the others are still measured.
///
/// # Errors
/// Whatever kept the results from being printed, ready to be shown.
pub fn run(options: MeasureOptions) -> anyhow::Result<ExitCode> {
    if options.session.session {
        return session::run(&options);
    }
    match measure(&options) {
        Ok(all_well) => Ok(if all_well { ExitCode::SUCCESS } else { ExitCode::FAILURE }),
        // Whoever reads has had enough, such as `head`.
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(ExitCode::SUCCESS),
        Err(error) => Err(error).context("cannot print the results"),
    }
}

/// Whether all went well.
fn measure(options: &MeasureOptions) -> std::io::Result<bool> {
    let mut out = std::io::stdout().lock();
    let question = question(options);
    let mut records = Vec::new();
    let mut all_well = true;
    for (file_idx, path) in options.files.iter().enumerate() {
        let plot = options.plot.as_deref().map(|out| plot_path(out, file_idx, options.files.len()));
        match measure_file(path, &question, plot.as_deref()) {
            Ok(heard) => {
                let mut record = Record::new(path, &question, &heard);
                if options.track {
                    record.add_track(&heard);
                }
                if options.json {
                    writeln!(out, "{}", record.to_json())?;
                } else {
                    records.push(record);
                }
            }
            Err(error) => {
                all_well = false;
                eprintln!("windrow: {}: {}", path.display(), printable(&error.to_string()));
            }
        }
    }
    if !records.is_empty() {
        write!(out, "{}", table::table(&records))?;
    }
    out.flush()?;
    Ok(all_well)
}

fn question(options: &MeasureOptions) -> Question {
    let beat = options.tempo.zip(options.pulses_per_beat).map(|(bpm, per_beat)| Beat {
        bpm,
        per_beat,
        beat_at_s: options.beat_at,
    });
    Question { a4_hz: options.a4.get(), expected: options.expect, beat }
}

/// Why a file could not be measured. Each text follows the file's name.
#[derive(Debug, thiserror::Error)]
enum MeasureError {
    #[error(transparent)]
    Decode(#[from] DecodeError),
    #[error("{0}")]
    Config(#[from] windrow_analysis::ConfigError),
    #[error("measured, but the picture {} cannot be written: {source}", path.display())]
    Plot { path: PathBuf, source: std::io::Error },
}

fn measure_file(path: &Path, question: &Question, plot: Option<&Path>) -> Result<Heard, MeasureError> {
    let mut file = SoundFile::open(path)?;
    let config = Config {
        sample_rate_hz: f64::from(file.sample_rate_hz()),
        a4_hz: question.a4_hz,
        expected_midi: question.expected.map(Note::midi),
    };
    let mut analyser = Analyser::new(config)?;
    let mut traces = plot.map(|_| Traces::new(config)).transpose()?;
    let (mut readings, mut pulses): (Vec<Reading>, Vec<Pulse>) = (Vec::new(), Vec::new());
    while let Some(block) = file.next_block()? {
        let heard = analyser.push(block);
        readings.extend_from_slice(heard.readings);
        pulses.extend_from_slice(heard.pulses);
        if let Some(traces) = &mut traces {
            traces.push(block);
        }
    }
    let heard = analyser.finish();
    readings.extend_from_slice(heard.readings);
    pulses.extend_from_slice(heard.pulses);
    let sound = summary::Sound {
        duration_s: file.n_frames() as f64 / f64::from(file.sample_rate_hz()),
        sample_rate_hz: file.sample_rate_hz(),
        readings: &readings,
        pulses: &pulses,
    };
    let summary = summarise(&sound, question);
    let mut contour = Contour::new();
    let told = contour.push(&readings, &pulses);
    let (mut spans, mut hairpins) = (told.spans.to_vec(), told.hairpins.to_vec());
    let told = contour.finish();
    spans.extend_from_slice(told.spans);
    hairpins.extend_from_slice(told.hairpins);
    if let (Some(plot), Some(traces)) = (plot, traces) {
        let title = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
        let PlainTraces { pitch, level } = traces.finish();
        let svg =
            plot::svg(&plot::Drawing { title: &title, summary: &summary, pitch, level, pulses: &pulses });
        let failed = |source| MeasureError::Plot { path: plot.to_owned(), source };
        std::fs::write(plot, svg).map_err(failed)?;
    }
    Ok(Heard { summary, readings, spans, hairpins })
}

/// `OUT.svg` for one file; `OUT-1.svg`, `OUT-2.svg` for several.
fn plot_path(out: &Path, file_idx: usize, n_files: usize) -> PathBuf {
    if n_files == 1 {
        return out.to_owned();
    }
    let mut name = out.file_stem().unwrap_or_default().to_owned();
    name.push(format!("-{}", file_idx + 1));
    if let Some(extension) = out.extension() {
        name.push(".");
        name.push(extension);
    }
    out.with_file_name(name)
}

fn expected_note(text: &str) -> Result<Note, String> {
    let note: Note = text.parse().map_err(|e: windrow_protocol::note::BadNote| e.to_string())?;
    if (21..=108).contains(&note.midi()) {
        Ok(note)
    } else {
        Err(format!("the note must be from A0 to C8, but is {note}"))
    }
}

fn bpm(text: &str) -> Result<Bpm, String> {
    let value: f64 = text.parse().map_err(|_| format!("\"{text}\" is not a number of beats a minute"))?;
    Bpm::new(value).map_err(|e| e.to_string())
}

fn per_beat(text: &str) -> Result<PerBeat, String> {
    let n: u8 = text.parse().map_err(|_| format!("pulses per beat must be from 1 to 8, but is {text}"))?;
    PerBeat::new(n)
}

fn seconds(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| format!("\"{text}\" is not a number of seconds"))?;
    if value.abs() <= 1e6 {
        Ok(value)
    } else {
        Err(format!("the beat must lie within a million seconds of the start, but is at {text}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_files_get_a_picture_each() {
        assert_eq!(plot_path(Path::new("a/b.svg"), 0, 1), Path::new("a/b.svg"));
        assert_eq!(plot_path(Path::new("a/b.svg"), 1, 3), Path::new("a/b-2.svg"));
        assert_eq!(plot_path(Path::new("b"), 0, 2), Path::new("b-1"));
    }

    #[test]
    fn options_out_of_range_are_refused_with_their_value() {
        for (refusal, value) in [
            (expected_note("H4").unwrap_err(), "H4"),
            (expected_note("C9").unwrap_err(), "C9"),
            (bpm("500").unwrap_err(), "500"),
            (bpm("quick").unwrap_err(), "quick"),
            (per_beat("9").unwrap_err(), "9"),
            (per_beat("300").unwrap_err(), "300"),
            (seconds("NaN").unwrap_err(), "NaN"),
        ] {
            assert!(refusal.contains(value), "{refusal}");
        }
    }
}
