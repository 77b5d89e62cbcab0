//! Single messages as they come over a socket or a line, and what people write on its way into a page.

use super::comes_back;
use crate::http::fuzzed::{line_request, message};
use crate::roster::sheet::{with_guard, without_guard};
use crate::words::{Language, Words};
use windrow_protocol::messages::{
    ConductorHears, ConductorSays, PlayerHears, PlayerSays, Results, Review, RoomCheck,
};
use windrow_protocol::phrase::Phrase;
use windrow_protocol::score::Score;
use windrow_protocol::timeline::Timeline;
use windrow_protocol::units::Name;

/// A message, whoever says it: what can be read is written as it was.
pub(super) fn said(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    if let Some(says) = message::<PlayerSays>(text) {
        comes_back(&says);
    }
    if let Some(says) = message::<ConductorSays>(text) {
        comes_back(&says);
    }
    if let Some(phrase) = message::<Phrase>(text) {
        comes_back(&phrase);
        for language in Language::ALL {
            assert!(Words::new(language).phrase(&phrase).len() <= 16 * 1024, "a phrase without end");
        }
    }
    if let Some(score) = message::<Score>(text) {
        comes_back(&score);
        score_is_playable(score);
    }
    // What is only heard is read by the native player and by the tests.
    let _ = (message::<PlayerHears>(text), message::<ConductorHears>(text));
    let _ = (message::<Results>(text), message::<Review>(text), message::<RoomCheck>(text));
    line_request(bytes);
}

/// A score that passes its check has a time for each beat and a beat for each time, in order.
fn score_is_playable(score: Score) {
    let Ok(timeline) = Timeline::new(score) else { return };
    let start_us = timeline.score().start_us.get();
    let mut last = f64::NEG_INFINITY;
    for beat in [-4.0, 0.0, 0.5, 1.0, 7.25, 1e3, 1e6, 1e9] {
        let us = timeline.time_of(beat);
        assert!(us.is_finite() && us >= last, "beat {beat} at {us}, after {last}");
        last = us;
        let _ = (timeline.bar_at(beat), timeline.spoken_at(beat), timeline.span_of_pulse(us));
        let _ = (timeline.nearest_tick(us), timeline.bar_line_from(beat), timeline.bpm_at(beat));
    }
    for (from_us, to_us) in [(start_us - 1e6, start_us + 3e6), (-1e14, 1e14), (1e300, f64::INFINITY)] {
        let ticks = timeline.ticks_between(from_us, to_us);
        assert!(ticks.len() <= Timeline::MAX_TICKS);
        assert!(ticks.windows(2).all(|pair| pair[0].time_us <= pair[1].time_us), "ticks out of order");
    }
}

/// Words of a person: in every text with markup of its own they stand as words, whatever they are.
pub(super) fn words(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    if let Ok(name) = Name::new(&text) {
        assert!((1..=Name::MAX_CHARS).contains(&name.as_str().chars().count()));
        assert!(!name.as_str().chars().any(char::is_control));
        assert_eq!(Name::new(name.as_str()).as_ref(), Ok(&name), "a name is the same when it is read again");
        comes_back(&name);
    }
    let guarded = with_guard(&text);
    assert_eq!(without_guard(&guarded), text, "the guard comes off again");
    assert!(!guarded.starts_with(['=', '+', '-', '@', '\t', '\r']));
    for language in Language::ALL {
        let words = Words::new(language);
        for id in ["roster-more", "welcome-past", "apple-trust"] {
            let bare = words.of(id).arg("name", "").arg("url", "").arg("authority", "").html();
            let gap = || text.to_string();
            let html = words.of(id).arg("name", gap()).arg("url", gap()).arg("authority", gap()).html();
            for sign in ['<', '>', '"', '\''] {
                let n = |text: &str| text.matches(sign).count();
                assert_eq!(n(&html), n(&bare), "{sign} of {text:?} in {html}");
            }
        }
        let phrase = Phrase::of("roster-did-merge").with("one", &*text).with("other", &*text);
        let _ = words.phrase(&phrase);
    }
}
