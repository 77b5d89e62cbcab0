//! What of a file was not used, counted by kind and bar. Plain data; it knows no language.

use windrow_protocol::phrase::Phrase;

/// Bars named for each kind; what comes after them is only counted.
const MAX_BARS: usize = 6;

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
    bars: Vec<String>,
}

impl Ignored {
    /// One more of a kind, in a bar.
    pub(super) fn count(&mut self, what: Phrase, bar: &str) {
        let found = self.kinds.iter().position(|kind| kind.what == what);
        let place = found.unwrap_or_else(|| {
            self.kinds.push(Kind { what, n: 0, bars: Vec::new() });
            self.kinds.len() - 1
        });
        let kind = &mut self.kinds[place];
        kind.n += 1;
        if kind.bars.last().is_none_or(|last| last != bar) {
            kind.bars.push(bar.to_owned());
        }
    }

    /// A sentence of its own.
    pub(super) fn say(&mut self, sentence: Phrase) {
        self.sentences.push(sentence);
    }

    /// All of it.
    pub(super) fn into_sentences(self) -> Vec<Phrase> {
        let kinds = self.kinds.into_iter().map(|Kind { what, n, bars }| {
            let named = bars.iter().take(MAX_BARS).cloned().collect::<Vec<_>>().join(", ");
            let id = if bars.len() > MAX_BARS { "music-counted-and-more" } else { "music-counted" };
            Phrase::of(id).with("what", what).with("n", n).with("n_bars", bars.len()).with("bars", named)
        });
        self.sentences.into_iter().chain(kinds).collect()
    }
}
