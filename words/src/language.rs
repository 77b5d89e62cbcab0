//! The languages there are texts in, and which of them a browser asks for.

use fluent_langneg::{NegotiationStrategy, negotiate_languages, parse_accepted_languages};
use std::str::FromStr;
use unic_langid::LanguageIdentifier;

/// A language of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// As in Great Britain.
    #[default]
    English,
    /// As in Germany, Austria and Switzerland.
    German,
}

impl Language {
    /// All there are.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Folder of its texts, and what a cookie holds.
    #[must_use]
    pub fn slug(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// For `lang` attributes (BCP 47).
    #[must_use]
    pub fn tag(self) -> &'static str {
        match self {
            Self::English => "en-GB",
            Self::German => "de",
        }
    }

    /// Its name in itself.
    #[must_use]
    pub fn own_name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
        }
    }

    pub(super) fn identifier(self) -> LanguageIdentifier {
        self.tag().parse().expect("tags of ours are well-formed")
    }

    /// The one a browser likes best of those there are, by its Accept-Language (RFC 9110, section 12.5.4); none where it
    /// asks for others alone. Browsers send what they like best first.
    #[must_use]
    pub fn asked_for(accept: &str) -> Option<Self> {
        let requested = parse_accepted_languages(accept);
        let available: Vec<LanguageIdentifier> = Self::ALL.iter().map(|l| l.identifier()).collect();
        let found = negotiate_languages(&requested, &available, None, NegotiationStrategy::Filtering)
            .first()
            .copied();
        Self::ALL.into_iter().find(|language| found == Some(&language.identifier()))
    }
}

impl FromStr for Language {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let known = Self::ALL.into_iter().find(|language| language.slug() == text);
        known.ok_or_else(|| {
            let all: Vec<&str> = Self::ALL.iter().map(|l| l.slug()).collect();
            format!("there are no texts in \"{text}\": it can be {}", all.join(" or "))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_browser_gets_the_language_it_likes_best_of_those_there_are() {
        for (accept, expected) in [
            ("de-CH,de;q=0.9,en;q=0.8", Some(Language::German)),
            ("de", Some(Language::German)),
            ("en-US,en;q=0.5", Some(Language::English)),
            ("fr-FR,fr;q=0.9,de;q=0.7,en;q=0.6", Some(Language::German)),
            ("fr-FR,fr", None),
            ("*", None),
            ("", None),
            ("\u{1f3b5};;,,q=", None),
        ] {
            assert_eq!(Language::asked_for(accept), expected, "{accept}");
        }
    }

    #[test]
    fn only_languages_with_texts_can_be_chosen() {
        assert_eq!("de".parse(), Ok(Language::German));
        assert!(Language::from_str("xx").unwrap_err().contains("\"xx\""));
    }
}
