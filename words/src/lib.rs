//! Everything the product says to people, in their language. The texts stand in `web/words/LANGUAGE/AREA.ftl` and nowhere
//! else; server and pages read the same files (Project Fluent's syntax). It must know no page, no room and no request.

#![forbid(unsafe_code)]

mod language;
mod music;

pub use language::Language;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use rust_embed::RustEmbed;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;
use std::sync::LazyLock;
use windrow_protocol::phrase::{Arg, Phrase};

/// Longest text that a phrase becomes, bytes; the longest of this program have some thousand. What is longer was made so by somebody,
/// and a text that uses a gap twice would double it with each phrase around it.
const MAX_PHRASE_BYTES: usize = 16 * 1024;

#[derive(RustEmbed)]
#[folder = "../web/words"]
#[include = "*.ftl"]
struct Files;

/// The texts of one language.
struct Catalogue {
    bundle: FluentBundle<FluentResource>,
    /// What the files hold, by area.
    sources: BTreeMap<String, String>,
}

static ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::of(Language::English));
static GERMAN: LazyLock<Catalogue> = LazyLock::new(|| Catalogue::of(Language::German));

impl Catalogue {
    fn of(language: Language) -> Self {
        let mut bundle = FluentBundle::new_concurrent(vec![language.identifier()]);
        // Marks around what fills a gap are for languages that are written in both directions; these are not.
        bundle.set_use_isolating(false);
        if language == Language::German {
            bundle.set_formatter(Some(|value, _| with_comma(value)));
        }
        let mut sources = BTreeMap::new();
        for path in Files::iter() {
            let Some((folder, file)) = path.split_once('/') else { continue };
            if folder != language.slug() {
                continue;
            }
            let data = Files::get(&path).expect("only files that exist are listed").data;
            let text = String::from_utf8_lossy(&data).into_owned();
            // What cannot be read is left out here, and found by the tests.
            let resource = FluentResource::try_new(text.clone()).unwrap_or_else(|(rest, _)| rest);
            bundle.add_resource_overriding(resource);
            sources.insert(file.trim_end_matches(".ftl").to_owned(), text);
        }
        Self { bundle, sources }
    }
}

/// The library writes numbers with a point in every language.
fn with_comma(value: &FluentValue) -> Option<String> {
    match value {
        FluentValue::Number(number) => Some(number.as_string().replace('.', ",")),
        _ => None,
    }
}

/// The texts in one language.
#[derive(Clone, Copy)]
pub struct Words {
    language: Language,
}

impl fmt::Debug for Words {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Words").field(&self.language).finish()
    }
}

/// In English.
impl Default for Words {
    fn default() -> Self {
        Self::new(Language::English)
    }
}

/// For tests that read what is said.
#[cfg(any(test, feature = "in-english"))]
pub trait InEnglish {
    /// All of it.
    fn as_str(&self) -> &'static str;
    /// Whether a part of it reads so.
    fn contains(&self, part: &str) -> bool;
    /// Whether it begins so.
    fn starts_with(&self, part: &str) -> bool;
}

#[cfg(any(test, feature = "in-english"))]
impl InEnglish for Phrase {
    fn as_str(&self) -> &'static str {
        english(self).leak()
    }

    fn contains(&self, part: &str) -> bool {
        english(self).contains(part)
    }

    fn starts_with(&self, part: &str) -> bool {
        english(self).starts_with(part)
    }
}

/// What a room or a plan says, as the command line does.
#[must_use]
pub fn english(phrase: &Phrase) -> String {
    printable(&Words::default().phrase(phrase))
}

/// A text for a terminal: what would move its cursor, colour it, ring its bell or turn the direction of writing stands as U+FFFD.
/// Plans, rehearsals and music come from elsewhere, and their texts are read there.
#[must_use]
pub fn printable(text: &str) -> String {
    let does_something = |sign: char| {
        (sign.is_control() && !matches!(sign, '\n' | '\t'))
            || matches!(sign, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().map(|sign| if does_something(sign) { '\u{fffd}' } else { sign }).collect()
}

impl Words {
    /// In that language.
    #[must_use]
    pub fn new(language: Language) -> Self {
        Self { language }
    }

    /// Which it is.
    #[must_use]
    pub fn language(self) -> Language {
        self.language
    }

    /// The languages that can be chosen instead.
    pub fn others(self) -> impl Iterator<Item = Language> {
        Language::ALL.into_iter().filter(move |language| *language != self.language)
    }

    /// For the page's `lang`.
    #[must_use]
    pub fn tag(self) -> &'static str {
        self.language.tag()
    }

    /// A text without gaps.
    #[must_use]
    pub fn say(self, id: &str) -> String {
        self.of(id).to_string()
    }

    /// A text whose gaps are to be filled.
    #[must_use]
    pub fn of(self, id: &str) -> Saying {
        Saying { words: self, id: id.to_owned(), args: FluentArgs::new() }
    }

    /// What a room or a plan says, cut where nobody would read on.
    #[must_use]
    pub fn phrase(self, phrase: &Phrase) -> String {
        let mut text = self.whole_phrase(phrase);
        text.truncate(text.floor_char_boundary(MAX_PHRASE_BYTES));
        text
    }

    fn whole_phrase(self, phrase: &Phrase) -> String {
        let (id, args) = match phrase {
            Phrase::Plain(text) => return text.clone(),
            Phrase::Said { id, args } => (id, args),
        };
        let mut saying = self.of(id);
        for (name, arg) in args {
            let value: FluentValue = match arg {
                Arg::Number(number) => (*number).into(),
                Arg::Phrase(phrase) => self.phrase(phrase).into(),
                Arg::Several(several) => {
                    self.list(&several.iter().map(|one| self.phrase(one)).collect::<Vec<_>>()).into()
                }
            };
            saying.args.set(name.clone(), value);
        }
        saying.to_string()
    }

    /// "a, b and c".
    #[must_use]
    pub fn list(self, items: &[String]) -> String {
        match items {
            [] => String::new(),
            [one] => one.clone(),
            [all @ .., last] => {
                self.of("list-and").arg("first", all.join(", ")).arg("last", last).to_string()
            }
        }
    }

    /// The texts of some areas, named with spaces between, as a page's scripts read them, without comments; for a data block of the page, which no
    /// text ends (a test looks).
    ///
    /// # Panics
    /// Where there is no such area: a page names its own.
    #[must_use]
    pub fn for_scripts(self, areas: &str) -> String {
        let sources = &self.catalogue().sources;
        let texts = areas
            .split_whitespace()
            .map(|area| sources.get(area).unwrap_or_else(|| panic!("no texts for {area}")));
        let lines =
            texts.flat_map(|text| text.lines()).filter(|line| !line.starts_with('#') && !line.is_empty());
        lines.collect::<Vec<_>>().join("\n")
    }

    fn catalogue(self) -> &'static Catalogue {
        match self.language {
            Language::English => &ENGLISH,
            Language::German => &GERMAN,
        }
    }
}

/// A text with what fills its gaps; shows itself.
#[derive(Debug)]
pub struct Saying {
    words: Words,
    id: String,
    args: FluentArgs<'static>,
}

impl Saying {
    /// Fills a gap. Numbers are rounded before.
    #[must_use]
    pub fn arg(mut self, name: &'static str, value: impl IntoGap) -> Self {
        self.args.set(name, value.into_gap());
        self
    }

    /// The text with markup of its own; what fills the gaps is escaped.
    #[must_use]
    pub fn html(self) -> String {
        let escaped: FluentArgs<'static> = self
            .args
            .into_iter()
            .map(|(name, value)| match value {
                FluentValue::String(text) => (name, FluentValue::from(escape(&text))),
                other => (name, other),
            })
            .collect();
        Self { args: escaped, ..self }.to_string()
    }
}

fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            other => escaped.push(other),
        }
    }
    escaped
}

impl fmt::Display for Saying {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for catalogue in [self.words.catalogue(), &ENGLISH] {
            let Some(pattern) = catalogue.bundle.get_message(&self.id).and_then(|message| message.value())
            else {
                continue;
            };
            let mut errors = Vec::new();
            return f.write_str(&catalogue.bundle.format_pattern(pattern, Some(&self.args), &mut errors));
        }
        // A text that is nowhere: its name says at least which one. Tests look for such ids.
        f.write_str(&self.id)
    }
}

/// What can fill a gap.
pub trait IntoGap {
    /// As the library takes it.
    fn into_gap(self) -> FluentValue<'static>;
}

impl IntoGap for String {
    fn into_gap(self) -> FluentValue<'static> {
        FluentValue::String(Cow::Owned(self))
    }
}

impl IntoGap for &str {
    fn into_gap(self) -> FluentValue<'static> {
        self.to_owned().into_gap()
    }
}

impl<T: IntoGap + Clone> IntoGap for &T {
    fn into_gap(self) -> FluentValue<'static> {
        self.clone().into_gap()
    }
}

macro_rules! number_into_gap {
    ($($number:ty),*) => {$(
        impl IntoGap for $number {
            fn into_gap(self) -> FluentValue<'static> {
                FluentValue::from(self)
            }
        }
    )*};
}

number_into_gap!(u8, u16, u32, u64, usize, i32, i64, f64);

#[cfg(test)]
mod tests;
