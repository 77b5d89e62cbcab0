//! Sound files as mono samples, block by block: WAV and FLAC of any rate, 8 to 32 bits or floating point, and MP3; channels
//! mixed down to their mean. It must not know what the samples are for.

use std::fs::File;
use std::io::ErrorKind;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, FormatReader, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::MetadataOptions;

/// Why a file cannot be used. The texts follow the file's name.
#[derive(Debug, thiserror::Error)]
pub(crate) enum DecodeError {
    #[error("there is no such file: check its name and directory")]
    Missing,
    #[error("this is a directory: name the sound files in it")]
    Directory,
    #[error("cannot be read: {0}")]
    Unreadable(std::io::Error),
    #[error("the file is empty: record it anew")]
    Empty,
    #[error("this is not a WAV, FLAC or MP3 file: save it as one of these")]
    NotSound,
    #[error("sound of this kind cannot be decoded ({0}): save it as WAV (PCM), FLAC or MP3")]
    Unsupported(&'static str),
    #[error("the file is damaged after {after_s:.2} s ({what}): cut it there or record it anew")]
    Damaged { after_s: f64, what: String },
    #[error("the file holds no samples: record it anew")]
    NoSamples,
}

/// An open sound file.
pub(crate) struct SoundFile {
    reader: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    track_id: u32,
    sample_rate_hz: u32,
    n_frames: u64,
    interleaved: Vec<f32>,
    mono: Vec<f32>,
}

impl SoundFile {
    /// Opens a file and finds its sound.
    ///
    /// # Errors
    /// [`DecodeError`] says what is wrong with the file.
    pub(super) fn open(path: &Path) -> Result<Self, DecodeError> {
        let file = File::open(path).map_err(|e| match e.kind() {
            ErrorKind::NotFound => DecodeError::Missing,
            _ if path.is_dir() => DecodeError::Directory,
            _ => DecodeError::Unreadable(e),
        })?;
        let about = file.metadata().map_err(DecodeError::Unreadable)?;
        if about.is_dir() {
            return Err(DecodeError::Directory);
        }
        if about.is_file() && about.len() == 0 {
            return Err(DecodeError::Empty);
        }
        Self::of(Box::new(file))
    }

    /// Finds the sound in what can be read.
    ///
    /// # Errors
    /// [`DecodeError`] says what is wrong with it.
    pub(crate) fn of(source: Box<dyn MediaSource>) -> Result<Self, DecodeError> {
        guarded(0.0, || Self::probed(source))
    }

    fn probed(source: Box<dyn MediaSource>) -> Result<Self, DecodeError> {
        let stream = MediaSourceStream::new(source, MediaSourceStreamOptions::default());
        // No hint from the name: what the file holds decides.
        let reader = symphonia::default::get_probe()
            .probe(&Hint::new(), stream, FormatOptions::default(), MetadataOptions::default())
            .map_err(|e| match e {
                Error::IoError(e) if e.kind() != ErrorKind::UnexpectedEof => DecodeError::Unreadable(e),
                _ => DecodeError::NotSound,
            })?;
        let track = reader.default_track(TrackType::Audio).ok_or(DecodeError::NotSound)?;
        let parameters = track.codec_params.as_ref().and_then(|p| p.audio()).ok_or(DecodeError::NotSound)?;
        let sample_rate_hz = parameters.sample_rate.filter(|&rate_hz| rate_hz > 0);
        let sample_rate_hz = sample_rate_hz.ok_or(DecodeError::Unsupported("no sample rate"))?;
        let decoder = symphonia::default::get_codecs()
            .make_audio_decoder(parameters, &AudioDecoderOptions::default())
            .map_err(|e| match e {
                Error::Unsupported(what) => DecodeError::Unsupported(what),
                e => DecodeError::Damaged { after_s: 0.0, what: e.to_string() },
            })?;
        let track_id = track.id;
        Ok(Self {
            reader,
            decoder,
            track_id,
            sample_rate_hz,
            n_frames: 0,
            interleaved: Vec::new(),
            mono: Vec::new(),
        })
    }

    pub(super) fn sample_rate_hz(&self) -> u32 {
        self.sample_rate_hz
    }

    /// Frames decoded so far.
    pub(super) fn n_frames(&self) -> u64 {
        self.n_frames
    }

    /// The next samples, or `None` at the end. A file that breaks off, as a recording whose power failed does, ends
    /// there.
    ///
    /// # Errors
    /// [`DecodeError`] where the file is damaged, cannot be read on, or held no samples at all.
    pub(crate) fn next_block(&mut self) -> Result<Option<&[f32]>, DecodeError> {
        let after_s = self.n_frames as f64 / f64::from(self.sample_rate_hz);
        guarded(after_s, || self.decoded(after_s))
    }

    fn decoded(&mut self, after_s: f64) -> Result<Option<&[f32]>, DecodeError> {
        loop {
            let packet = match self.reader.next_packet() {
                Ok(Some(packet)) => packet,
                Ok(None) => return self.end(),
                Err(Error::IoError(e)) if e.kind() == ErrorKind::UnexpectedEof => return self.end(),
                Err(Error::IoError(e)) => return Err(DecodeError::Unreadable(e)),
                Err(e) => return Err(DecodeError::Damaged { after_s, what: e.to_string() }),
            };
            if packet.track_id != self.track_id {
                continue;
            }
            let decoded = match self.decoder.decode(&packet) {
                Ok(decoded) => decoded,
                Err(Error::IoError(e)) if e.kind() == ErrorKind::UnexpectedEof => return self.end(),
                Err(e) => return Err(DecodeError::Damaged { after_s, what: e.to_string() }),
            };
            let n_channels = decoded.num_planes();
            if decoded.frames() == 0 || n_channels == 0 {
                continue;
            }
            decoded.copy_to_vec_interleaved(&mut self.interleaved);
            self.mono.clear();
            let scale = 1.0 / n_channels as f32;
            self.mono
                .extend(self.interleaved.chunks_exact(n_channels).map(|f| f.iter().sum::<f32>() * scale));
            self.n_frames += self.mono.len() as u64;
            return Ok(Some(&self.mono));
        }
    }

    fn end(&self) -> Result<Option<&[f32]>, DecodeError> {
        if self.n_frames == 0 { Err(DecodeError::NoSamples) } else { Ok(None) }
    }
}

/// A decoder that stumbles over a file ends that file and not the program. What it leaves behind is not used again: whoever
/// reads stops at an error.
fn guarded<T>(after_s: f64, read: impl FnOnce() -> Result<T, DecodeError>) -> Result<T, DecodeError> {
    catch_unwind(AssertUnwindSafe(read)).unwrap_or_else(|_| {
        let what = "it makes the decoder fail".to_owned();
        Err(DecodeError::Damaged { after_s, what })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A WAV file (RIFF, "fmt " and "data" chunks) of the given format tag, bits and channels.
    fn wav(tag: u16, bits: u16, n_channels: u16, rate_hz: u32, data: &[u8]) -> Vec<u8> {
        let align = n_channels * bits / 8;
        let mut file = b"RIFF".to_vec();
        file.extend((36 + data.len() as u32).to_le_bytes());
        file.extend(b"WAVEfmt ");
        file.extend(16u32.to_le_bytes());
        file.extend(tag.to_le_bytes());
        file.extend(n_channels.to_le_bytes());
        file.extend(rate_hz.to_le_bytes());
        file.extend((rate_hz * u32::from(align)).to_le_bytes());
        file.extend(align.to_le_bytes());
        file.extend(bits.to_le_bytes());
        file.extend(b"data");
        file.extend((data.len() as u32).to_le_bytes());
        file.extend(data);
        file
    }

    /// A file in a directory of its own that goes when the test ends.
    struct Kept(std::path::PathBuf);

    impl Kept {
        fn new(name: &str, content: &[u8]) -> Self {
            let dir = std::env::temp_dir().join(format!("windrow-decode-{}-{name}", std::process::id()));
            std::fs::create_dir_all(&dir).unwrap();
            std::fs::write(dir.join("sound.wav"), content).unwrap();
            Self(dir)
        }

        fn path(&self) -> std::path::PathBuf {
            self.0.join("sound.wav")
        }
    }

    impl Drop for Kept {
        fn drop(&mut self) {
            let _ = std::fs::remove_dir_all(&self.0);
        }
    }

    fn samples(file: &Kept) -> Result<(u32, Vec<f32>), DecodeError> {
        let mut sound = SoundFile::open(&file.path())?;
        let mut all = Vec::new();
        while let Some(block) = sound.next_block()? {
            all.extend_from_slice(block);
        }
        assert_eq!(sound.n_frames(), all.len() as u64);
        Ok((sound.sample_rate_hz(), all))
    }

    fn check(name: &str, content: &[u8], expected: &[f32]) {
        let (rate_hz, all) = samples(&Kept::new(name, content)).unwrap();
        assert_eq!(rate_hz, 22_050);
        assert_eq!(all.len(), expected.len());
        for (got, wanted) in all.iter().zip(expected) {
            assert!((got - wanted).abs() < 1e-6, "{name}: {got} for {wanted}");
        }
    }

    #[test]
    fn every_width_has_the_same_full_scale() {
        // Half of full scale, nought, and minus a quarter, in each format.
        let expected = [0.5, 0.0, -0.25];
        let shorts: Vec<u8> = [0x4000i16, 0, -0x2000].iter().flat_map(|s| s.to_le_bytes()).collect();
        let ints: Vec<u8> = [0x4000_0000i32, 0, -0x2000_0000].iter().flat_map(|s| s.to_le_bytes()).collect();
        let floats: Vec<u8> = [0.5f32, 0.0, -0.25].iter().flat_map(|s| s.to_le_bytes()).collect();
        let doubles: Vec<u8> = [0.5f64, 0.0, -0.25].iter().flat_map(|s| s.to_le_bytes()).collect();
        let threes: Vec<u8> = ints.chunks(4).flat_map(|c| c[1..].to_vec()).collect();
        check("8", &wav(1, 8, 1, 22_050, &[192, 128, 96]), &expected);
        check("16", &wav(1, 16, 1, 22_050, &shorts), &expected);
        check("24", &wav(1, 24, 1, 22_050, &threes), &expected);
        check("32", &wav(1, 32, 1, 22_050, &ints), &expected);
        check("float", &wav(3, 32, 1, 22_050, &floats), &expected);
        check("double", &wav(3, 64, 1, 22_050, &doubles), &expected);
    }

    #[test]
    fn channels_are_mixed_to_their_mean() {
        let stereo: Vec<u8> = [0x4000i16, 0, 0x2000, 0x2000].iter().flat_map(|s| s.to_le_bytes()).collect();
        check("stereo", &wav(1, 16, 2, 22_050, &stereo), &[0.25, 0.25]);
    }

    #[test]
    fn a_recording_that_breaks_off_is_read_as_far_as_it_goes() {
        let shorts: Vec<u8> = [0x4000i16; 100].iter().flat_map(|s| s.to_le_bytes()).collect();
        let whole = wav(1, 16, 1, 22_050, &shorts);
        check("short", &whole[..whole.len() - 100], &[0.5; 50]);
    }

    /// Fails as a decoder with a fault of its own would.
    struct Stumbling;

    impl std::io::Read for Stumbling {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            panic!("on purpose, in a test");
        }
    }

    impl std::io::Seek for Stumbling {
        fn seek(&mut self, _: std::io::SeekFrom) -> std::io::Result<u64> {
            Ok(0)
        }
    }

    impl MediaSource for Stumbling {
        fn is_seekable(&self) -> bool {
            false
        }

        fn byte_len(&self) -> Option<u64> {
            None
        }
    }

    #[test]
    fn a_decoder_that_stumbles_over_a_file_ends_that_file_alone() {
        let said = SoundFile::of(Box::new(Stumbling)).err().map(|error| error.to_string());
        assert!(said.is_some_and(|said| said.contains("it makes the decoder fail")));
    }

    #[test]
    fn what_is_wrong_with_a_file_is_said() {
        let missing = SoundFile::open(Path::new("no-such-directory/no-such-file.wav"));
        assert!(matches!(missing.err(), Some(DecodeError::Missing)));
        assert!(matches!(SoundFile::open(&std::env::temp_dir()).err(), Some(DecodeError::Directory)));
        let is = |name: &str, content: &[u8]| samples(&Kept::new(name, content)).unwrap_err();
        assert!(matches!(is("empty", b""), DecodeError::Empty));
        assert!(matches!(
            is("text", b"This is a letter, not a sound.\n".repeat(400).as_slice()),
            DecodeError::NotSound
        ));
        assert!(matches!(is("header", &wav(1, 16, 1, 22_050, &[])), DecodeError::NoSamples));
        assert!(matches!(is("stub", b"RIFF"), DecodeError::NotSound));
    }
}
