//! The score in a compressed MusicXML file (.mxl): a zip archive whose `META-INF/container.xml` names it. Just as much of the format as
//! notation programs write (PKWARE's APPNOTE, sections 4.3.7, 4.3.12 and 4.3.16): stored or deflated, not encrypted, not split. Pure.

use super::{BadMusicXml, MAX_BYTES, parsed};
use flate2::read::DeflateDecoder;
use std::io::Read;
use windrow_protocol::phrase::Phrase;

const END: &[u8] = b"PK\x05\x06";
const ENTRY: &[u8] = b"PK\x01\x02";
const FILE: &[u8] = b"PK\x03\x04";
/// Longest comment behind the end record, bytes: its length has sixteen bits.
const MAX_COMMENT: usize = 65_535;
const END_LEN: usize = 22;
/// Entries looked through; a score and its pictures are a few.
const MAX_ENTRIES: usize = 1000;
/// Nodes of what names the score; a few.
const MAX_CONTAINER_NODES: u32 = 1000;

/// Whether a file begins as a zip archive does.
pub(crate) fn is_zipped(bytes: &[u8]) -> bool {
    bytes.starts_with(FILE)
}

/// The score of an archive, as text.
///
/// # Errors
/// [`BadMusicXml`] where there is none that can be read.
pub(crate) fn unzipped(bytes: &[u8]) -> Result<String, BadMusicXml> {
    let entries = entries(bytes).ok_or_else(broken)?;
    let text_of = |name: &str| {
        let entry = entries.iter().find(|entry| entry.name == name)?;
        String::from_utf8(entry.data(bytes)?).ok()
    };
    let container = text_of("META-INF/container.xml");
    let named = container.as_deref().and_then(|text| {
        let document = parsed(text, false, MAX_CONTAINER_NODES).ok()?;
        let score = document.descendants().find(|node| node.has_tag_name("rootfile"))?;
        score.attribute("full-path").map(str::to_owned)
    });
    let usual = || {
        let is_score = |name: &str| {
            !name.starts_with("META-INF/") && (name.ends_with(".xml") || name.ends_with(".musicxml"))
        };
        entries.iter().map(|entry| entry.name.clone()).find(|name| is_score(name))
    };
    let score = named.or_else(usual).ok_or_else(|| BadMusicXml::new(Phrase::of("music-archive-empty")))?;
    text_of(&score).ok_or_else(broken)
}

fn broken() -> BadMusicXml {
    BadMusicXml::new(Phrase::of("music-archive-broken"))
}

/// A file in the archive.
#[derive(Debug)]
struct Entry {
    name: String,
    method: u16,
    n_packed: usize,
    /// Where its own header stands.
    at: usize,
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    bytes.get(at..at.checked_add(2)?)?.try_into().ok().map(u16::from_le_bytes)
}

fn u32_at(bytes: &[u8], at: usize) -> Option<usize> {
    let number = u32::from_le_bytes(bytes.get(at..at.checked_add(4)?)?.try_into().ok()?);
    usize::try_from(number).ok()
}

fn has_sign(bytes: &[u8], at: usize, sign: &[u8]) -> bool {
    at.checked_add(4).and_then(|end| bytes.get(at..end)) == Some(sign)
}

/// Everything the directory at the archive's end lists.
fn entries(bytes: &[u8]) -> Option<Vec<Entry>> {
    let last = bytes.len().checked_sub(END_LEN)?;
    let end = (last.saturating_sub(MAX_COMMENT)..=last).rev().find(|&at| has_sign(bytes, at, END))?;
    let n_entries = usize::from(u16_at(bytes, end + 10)?).min(MAX_ENTRIES);
    let mut at = u32_at(bytes, end + 16)?;
    let mut found = Vec::new();
    for _ in 0..n_entries {
        if !has_sign(bytes, at, ENTRY) {
            return None;
        }
        let len = |field: usize| u16_at(bytes, at + field).map(usize::from);
        let (name, extra, comment) = (len(28)?, len(30)?, len(32)?);
        found.push(Entry {
            name: String::from_utf8_lossy(bytes.get(at + 46..at + 46 + name)?).into_owned(),
            method: u16_at(bytes, at + 10)?,
            n_packed: u32_at(bytes, at + 20)?,
            at: u32_at(bytes, at + 42)?,
        });
        at += 46 + name + extra + comment;
    }
    Some(found)
}

impl Entry {
    /// What is in it; none where it is packed in another way, or is more than a score may be.
    fn data(&self, bytes: &[u8]) -> Option<Vec<u8>> {
        if !has_sign(bytes, self.at, FILE) {
            return None;
        }
        let len = |field: usize| u16_at(bytes, self.at + field).map(usize::from);
        let start = self.at + 30 + len(26)? + len(28)?;
        let packed = bytes.get(start..start.checked_add(self.n_packed)?)?;
        let mut data = Vec::new();
        let most = MAX_BYTES as u64 + 1;
        match self.method {
            0 => packed.take(most).read_to_end(&mut data).ok()?,
            8 => DeflateDecoder::new(packed).take(most).read_to_end(&mut data).ok()?,
            _ => return None,
        };
        (data.len() <= MAX_BYTES).then_some(data)
    }
}

#[cfg(test)]
mod tests {
    use super::super::from_musicxml;
    use super::*;
    use proptest::prelude::*;

    const ZIPPED: &[u8] = include_bytes!("../../../../tests/reference/musicxml/long-notes.mxl");
    const PLAIN: &str = include_str!("../../../../tests/reference/musicxml/long-notes.musicxml");

    #[test]
    fn a_compressed_file_holds_the_same_line() {
        // Both written by music21 from one score.
        assert!(is_zipped(ZIPPED) && !is_zipped(PLAIN.as_bytes()));
        let music = from_musicxml(&unzipped(ZIPPED).unwrap()).unwrap().music;
        assert_eq!(music, from_musicxml(PLAIN).unwrap().music);
    }

    #[test]
    fn an_archive_without_a_score_is_told_as_such() {
        // An end record alone: an archive of nothing.
        let nothing = [END, &[0; 18]].concat();
        assert!(unzipped(&nothing).unwrap_err().to_string().contains("holds no MusicXML"));
        assert!(unzipped(b"PK\x03\x04").unwrap_err().to_string().contains("is broken"));
    }

    proptest! {
        #[test]
        fn no_damage_breaks_the_reader(damage in proptest::collection::vec((0_usize..4000, any::<u8>()), 1..8), cut in 0_usize..4000) {
            let mut zipped = ZIPPED.to_vec();
            for (at, byte) in damage {
                let at = at % zipped.len();
                zipped[at] = byte;
            }
            zipped.truncate(zipped.len().saturating_sub(cut / 8));
            if let Ok(text) = unzipped(&zipped) {
                let _ = from_musicxml(&text);
            }
        }
    }
}
