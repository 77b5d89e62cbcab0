//! What was found before, and changes of it at random: the short run of the fuzz targets in the ordinary tests, which need no
//! nightly compiler and no fuzzer. Taken in by path where targets stand; it must not know what any of them reads.

use std::path::PathBuf;

/// Numbers, signs and words that readers stumble over.
const WORDS: [&[u8]; 24] = [
    b"\0",
    b"\xff",
    b"\xff\xff\xff\xff",
    b"\x00\x00\x00\x80",
    b"\xc2\x80",
    b"\xe2\x80\xae",
    b"\xef\xbb\xbf",
    b"-",
    b"0",
    b"-1",
    b"1e308",
    b"1e-320",
    b"18446744073709551616",
    b"null",
    b"[",
    b"]",
    b"{",
    b"}",
    b"\"",
    b",",
    b"\r",
    b"\n",
    b"'=",
    b"<script>",
];

/// The inputs kept for a target, by name of their files.
pub(crate) fn kept(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let project = folder.ancestors().find(|above| above.join("tests/fixtures/corpora").is_dir());
    let folder = project.expect("a crate of the project").join("tests/fixtures/corpora").join(target);
    let files = std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut kept: Vec<_> = files
        .map(|file| file.unwrap().path())
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read(&path).unwrap()))
        .collect();
    kept.sort();
    assert!(!kept.is_empty(), "nothing is kept for {target}");
    kept
}

/// Gives a target everything that is kept for it, and so many changes of it. What is not taken well is written to a file, whose
/// name the failure says.
pub(crate) fn replay(target: &str, n_changes: usize, eat: impl Fn(&[u8]) + std::panic::RefUnwindSafe) {
    let kept = kept(target);
    let tried = |name: &str, bytes: &[u8]| {
        if std::panic::catch_unwind(|| eat(bytes)).is_err() {
            let file = std::env::temp_dir().join(format!("windrow-{target}-{}", std::process::id()));
            std::fs::write(&file, bytes).unwrap();
            panic!("{target} does not take {name} well: the bytes are in {}", file.display());
        }
    };
    for (name, bytes) in &kept {
        tried(name, bytes);
    }
    // More of them, others each time one asks: `WINDROW_FUZZ_CHANGES=100000 WINDROW_FUZZ_SEED=2`.
    let asked = |name| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let n_changes = asked("WINDROW_FUZZ_CHANGES").map_or(n_changes, |n| n as usize);
    let mut chance = Chance(0x9e37_79b9_7f4a_7c15 ^ asked("WINDROW_FUZZ_SEED").unwrap_or(0));
    for n in 0..n_changes {
        let (name, bytes) = &kept[chance.below(kept.len())];
        let other = &kept[chance.below(kept.len())].1;
        tried(&format!("change {n} of {name}"), &changed(bytes, other, &mut chance));
    }
}

/// Numbers by chance, the same each time (xorshift64*, Vigna 2016).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    fn below(&mut self, n: usize) -> usize {
        ((self.next() >> 33) as usize) % n.max(1)
    }
}

/// One to four changes: a byte, a piece left out, doubled, taken from another input, or a word put in.
fn changed(bytes: &[u8], other: &[u8], chance: &mut Chance) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..=chance.below(4) {
        let at = chance.below(bytes.len() + 1);
        let end = (at + chance.below(32)).min(bytes.len());
        match chance.below(6) {
            0 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
            1 => {
                bytes.drain(at..end);
            }
            2 => {
                let piece = bytes[at..end].to_vec();
                bytes.splice(at..at, piece);
            }
            3 => {
                let from = chance.below(other.len() + 1);
                let piece = &other[from..(from + chance.below(64)).min(other.len())];
                bytes.splice(at..end, piece.iter().copied());
            }
            4 => bytes.truncate(at),
            _ => {
                let word = WORDS[chance.below(WORDS.len())];
                bytes.splice(at..end.min(at + word.len()), word.iter().copied());
            }
        }
    }
    bytes
}
