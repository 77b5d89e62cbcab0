//! What of a file was not used, counted by kind and bar. Plain data; it knows no language.

use windrow_protocol::phrase::Phrase;

/// Bars named for each kind; what comes after them is only counted.
const MAX_BARS: usize = 6;
/// Kinds told of; notation programs write some twenty.
const MAX_KINDS: usize = 100;

/// What was not used.
#[derive(Debug, Default)]
pub(super) struct Ignored {
    kinds: Vec<Kind>,
    sentences: Vec<Phrase>,
}

#[derive(Debug)]
struct Kind {
    what: Phrase,
    n: usize,
    /// The first of them, how many there are, and the last.
    bars: Vec<String>,
    n_bars: usize,
    last_bar: String,
}

impl Ignored {
    /// One more of a kind, in a bar.
    pub(super) fn count(&mut self, what: Phrase, bar: &str) {
        let found = self.kinds.iter().position(|kind| kind.what == what);
        let place = match found {
            Some(place) => place,
            None if self.kinds.len() == MAX_KINDS => return,
            None => {
                self.kinds.push(Kind { what, n: 0, bars: Vec::new(), n_bars: 0, last_bar: String::new() });
                self.kinds.len() - 1
            }
        };
        let kind = &mut self.kinds[place];
        kind.n += 1;
        if kind.n_bars == 0 || kind.last_bar != bar {
            kind.n_bars += 1;
            bar.clone_into(&mut kind.last_bar);
            if kind.bars.len() < MAX_BARS {
                kind.bars.push(bar.to_owned());
            }
        }
    }

    /// A sentence of its own.
    pub(super) fn say(&mut self, sentence: Phrase) {
        self.sentences.push(sentence);
    }

    /// All of it.
    pub(super) fn into_sentences(self) -> Vec<Phrase> {
        let kinds = self.kinds.into_iter().map(|Kind { what, n, bars, n_bars, .. }| {
            let id = if n_bars > MAX_BARS { "music-counted-and-more" } else { "music-counted" };
            Phrase::of(id)
                .with("what", what)
                .with("n", n)
                .with("n_bars", n_bars)
                .with("bars", bars.join(", "))
        });
        self.sentences.into_iter().chain(kinds).collect()
    }
}
