//! A sheet as a file that stands alone: style and type are within it. Knows no disk.

use super::Sheet;
use askama::Template;

const STYLE: &str = include_str!("../../../../web/static/sheet.css");
const REGULAR: &[u8] = include_bytes!("../../../../web/static/fonts/b612-regular.woff2");
const BOLD: &[u8] = include_bytes!("../../../../web/static/fonts/b612-bold.woff2");

#[derive(Debug, Template)]
#[template(path = "sheet-file.html")]
struct SheetFile<'a> {
    sheet: &'a Sheet,
    style: String,
}

impl Sheet {
    /// The whole file.
    ///
    /// # Errors
    /// When the template cannot be filled.
    pub(crate) fn file(&self) -> Result<String, askama::Error> {
        let face = |font: &[u8], weight: u32| {
            format!(
                "@font-face {{ font-family: \"B612\"; font-weight: {weight}; src: url(\"data:font/woff2;base64,{}\") format(\"woff2\"); }}\n",
                base64(font)
            )
        };
        let page = format!("@page {{ size: {}; margin: 12mm; }}\n", self.paper.label());
        let style = [face(REGULAR, 400), face(BOLD, 700), page, STYLE.to_owned()].concat();
        SheetFile { sheet: self, style }.render()
    }
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let four = |three: &[u8]| {
        let byte = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        let sign = |i: usize| {
            let is_there = i <= three.len();
            if is_there { char::from(SIGNS[(bits >> (18 - 6 * i) & 63) as usize]) } else { '=' }
        };
        (0..4).map(sign).collect::<String>()
    };
    bytes.chunks(3).map(four).collect()
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn base64_is_that_of_the_standard() {
        // RFC 4648, section 10.
        for (text, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(text.as_bytes()), coded);
        }
    }
}
