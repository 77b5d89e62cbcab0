//! Texts in a chart: how wide they are about, what is cut, and what XML may hold. Must know no language.

use super::Size;

/// Width of a sign in B612, parts of the type size: our own measurement of both weights in a browser, rounded up (figures 0.65,
/// small letters 0.54 in the mean). Fonts that stand in for it are about as wide.
fn sign_em(sign: char) -> f64 {
    match sign {
        ' ' | 'i' | 'j' | 'l' | 't' | 'f' | 'r' | ',' | '.' | ':' | ';' | '\'' | '|' | '!' | '(' | ')' => {
            0.38
        }
        'm' | 'w' | 'M' | 'W' => 0.88,
        'a'..='z' | 'ä' | 'ö' | 'ü' | 'ß' => 0.57,
        '0'..='9' | '\u{20}'..='\u{24f}' => 0.68,
        // Other scripts may be as wide as they are high.
        _ => 1.0,
    }
}

/// About how wide a text stands, px.
pub(super) fn width_px(text: &str, size: Size) -> f64 {
    text.chars().map(sign_em).sum::<f64>() * f64::from(size.type_size())
}

/// The text, cut with an ellipsis where it is wider than there is room.
pub(super) fn fitting(text: &str, room_px: f64, size: Size) -> String {
    if width_px(text, size) <= room_px {
        return text.to_owned();
    }
    let mut kept = String::new();
    for sign in text.chars() {
        kept.push(sign);
        if width_px(&kept, size) + width_px("…", size) > room_px {
            kept.pop();
            break;
        }
    }
    format!("{}…", kept.trim_end())
}

/// For the text of an element or the value of an attribute. What XML 1.0 does not allow at all is left out.
pub(super) fn escaped(text: &str) -> String {
    let is_allowed = |c: char| matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{fffd}' | '\u{10000}'..);
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|&c| is_allowed(c)) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_wide_is_cut_with_an_ellipsis() {
        assert_eq!(fitting("triplets 66", 200.0, Size::Wide), "triplets 66");
        // At 15 px the ellipsis is 15 px, t, r, i and l 5.7 px each, p 8.6 px: "tripl" and the ellipsis are 46.4 px.
        assert_eq!(fitting("triplets 66", 47.0, Size::Wide), "tripl…");
        assert_eq!(fitting("triplets 66", 0.0, Size::Wide), "…");
    }

    #[test]
    fn what_xml_does_not_allow_is_left_out() {
        assert_eq!(escaped("a<b>&\"c\u{0}\u{1f}\u{ffff}'"), "a&lt;b&gt;&amp;&quot;c'");
    }
}
