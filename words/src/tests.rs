//! How texts are found and their gaps filled; what stands in the catalogue is checked by `tests/it/words.rs`.

use super::*;

const BOTH: [Words; 2] = [Words { language: Language::English }, Words { language: Language::German }];

#[test]
fn a_text_is_said_in_its_language() {
    let [english, german] = BOTH;
    assert_eq!(english.say("state-matched"), "matched");
    assert_eq!(german.say("state-matched"), "passt");
    assert_eq!((english.tag(), german.tag()), ("en-GB", "de"));
}

#[test]
fn gaps_are_filled_with_names_numbers_phrases_and_lists() {
    let [english, german] = BOTH;
    let evidence = Phrase::of("evidence-to-the-beat").with("n", 3.2);
    assert_eq!(english.phrase(&evidence), "3.2 to the beat");
    assert_eq!(german.phrase(&evidence), "3,2 auf den Schlag");
    let names = ["Wren", "Tobias", "Piers"].map(str::to_owned);
    assert_eq!(english.list(&names), "Wren, Tobias and Piers");
    assert_eq!(german.list(&names[..2]), "Wren und Tobias");
    assert_eq!(english.phrase(&Phrase::from("Wren { $n }")), "Wren { $n }");
}

#[test]
fn a_terminal_is_given_signs_alone() {
    let text = "Zo\u{eb} \u{266a}\t\u{1b}[31mred\u{7}\r\u{9b}2J\u{202e}back\u{0}\n";
    assert_eq!(
        printable(text),
        "Zo\u{eb} \u{266a}\t\u{fffd}[31mred\u{fffd}\u{fffd}\u{fffd}2J\u{fffd}back\u{fffd}\n"
    );
    assert_eq!(english(&Phrase::from("a\u{1b}c")), "a\u{fffd}c");
}

#[test]
fn a_text_that_is_nowhere_shows_its_name() {
    assert_eq!(BOTH[1].say("no-such-text"), "no-such-text");
}

#[test]
fn what_a_person_typed_is_no_markup() {
    let said = BOTH[0].of("list-and").arg("first", "<b>&'\"").arg("last", 3).html();
    assert!(said.contains("&lt;b&gt;&amp;&#39;&quot;") && !said.contains("<b>"), "{said}");
}

#[test]
fn a_pages_scripts_get_the_areas_they_need_without_comments() {
    for words in BOTH {
        let texts = words.for_scripts("states");
        assert!(
            texts.contains("state-matched =") && !texts.lines().any(|line| line.starts_with('#')),
            "{texts}"
        );
    }
}

#[test]
fn phrases_within_phrases_do_not_grow_without_end() {
    // Uses what fills its gap twice.
    let inner = |phrase: Phrase| Phrase::of("roster-did-merge").with("one", "").with("other", phrase);
    let mut phrase = Phrase::from("ä".repeat(1000));
    for _ in 0..40 {
        phrase = inner(phrase);
    }
    assert!((10_000..=MAX_PHRASE_BYTES).contains(&BOTH[0].phrase(&phrase).len()));
}
