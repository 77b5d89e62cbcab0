//! Tests of the table: what spreadsheets write is read, and what is wrong is said by line.

use super::*;

fn own() -> Name {
    Name::new("Larkmoor Youth Winds").unwrap()
}

fn english(phrase: &Phrase) -> String {
    Words::new(Language::English).phrase(phrase)
}

fn errors(sheet: &Sheet) -> Vec<String> {
    sheet.errors.iter().map(english).collect()
}

fn names(sheet: &Sheet) -> Vec<&str> {
    sheet.rows.iter().map(|row| row.name.as_str()).collect()
}

/// Forty players of three sections with three lines that are wrong, as a teacher's spreadsheet has them.
pub(crate) fn forty_with_three_bad() -> String {
    let instruments = ["flute", "oboe", "alto sax", "bassoon", "clarinet in B flat"];
    let mut text = "section,chair,name,instrument,part,e-mail\r\n".to_owned();
    for n in 1..=40 {
        let section = ["Winds", "Band", "Choir of reeds"][n % 3];
        let (name, instrument) = match n {
            11 => ("Player 11".to_owned(), "kazoo"),
            22 => (String::new(), "flute"),
            33 => ("Player 30".to_owned(), "oboe"),
            n => (format!("Player {n}"), instruments[n % 5]),
        };
        text.push_str(&format!("{section},{n},{name},{instrument},,x@example.org\r\n"));
    }
    text
}

#[test]
fn three_bad_lines_of_forty_are_named_and_the_others_are_read() {
    let sheet = read(forty_with_three_bad().as_bytes(), &own()).unwrap();
    assert_eq!(sheet.rows.len(), 37);
    assert_eq!(sheet.ignored, ["e-mail"]);
    let errors = errors(&sheet);
    assert_eq!(errors.len(), 3);
    let kazoo = "line 12: the instrument \u{201c}kazoo\u{201d} is not one of piccolo, flute,";
    assert!(errors[0].starts_with(kazoo), "{errors:?}");
    assert_eq!(errors[1], "line 23: the name is empty: type at least one letter");
    assert!(errors[2].starts_with("line 34: Player 30 is in Winds already, on line 31"), "{errors:?}");
}

#[test]
fn what_spreadsheets_write_is_read() {
    let expected = ["Wren", "Hadley, junior", "O \"Reed\" Maeve"];
    for text in [
        "name,instrument\nWren,flute\n\"Hadley, junior\",oboe\n\"O \"\"Reed\"\" Maeve\",bassoon\n",
        "\u{feff}name,instrument\r\nWren,flute\r\n\"Hadley, junior\",oboe\r\n\"O \"\"Reed\"\" Maeve\",bassoon\r\n",
        "Name;Instrument\r\nWren;Flute\r\nHadley, junior;OBOE\r\n\"O \"\"Reed\"\" Maeve\";bassoon\r\n",
        "part,instrument,name\n,flute,Wren\n\n,oboe,\"Hadley, junior\"\n,bassoon,\"O \"\"Reed\"\" Maeve\"",
    ] {
        let sheet = read(text.as_bytes(), &own()).unwrap();
        assert_eq!(names(&sheet), expected, "{text}");
        assert_eq!(errors(&sheet), [] as [&str; 0], "{text}");
        assert!(sheet.rows.iter().all(|row| row.section == own()), "{text}");
    }
}

#[test]
fn a_german_table_is_read_and_its_errors_are_said_in_german() {
    let text = "Register;Platz;Name;Instrument;Stimme\nHolz;2;Wren;B-Klarinette;erste\nHolz;1;Zo\u{eb};Altsaxophon;\n;;Piers;Kazoo;\n";
    let sheet = read(text.as_bytes(), &own()).unwrap();
    assert_eq!(names(&sheet), ["Zo\u{eb}", "Wren"]);
    assert_eq!(
        sheet.rows.iter().map(|row| row.instrument).collect::<Vec<_>>(),
        [Instrument::AltoSax, Instrument::ClarinetBb]
    );
    assert_eq!((sheet.rows[1].section.as_str(), sheet.rows[1].part.as_str()), ("Holz", "erste"));
    let said = Words::new(Language::German).phrase(&sheet.errors[0]);
    assert!(said.starts_with("Zeile 4: das Instrument \u{201e}Kazoo\u{201c} gibt es hier nicht"), "{said}");
}

#[test]
fn chairs_order_and_who_has_none_comes_last() {
    let text = "name,instrument,chair\nAnouk,flute,3\nWren,flute,\n\n\"Piers\",flute,1\nMaeve,flute,second\n";
    let sheet = read(text.as_bytes(), &own()).unwrap();
    assert_eq!(names(&sheet), ["Piers", "Anouk", "Wren"]);
    assert_eq!(
        errors(&sheet),
        ["line 6: the chair must be a number from 1 to 9999, or empty, but is \u{201c}second\u{201d}"]
    );
}

#[test]
fn files_that_cannot_be_read_say_why() {
    let check = |bytes: &[u8], words: &str| {
        let said = english(&read(bytes, &own()).unwrap_err());
        assert!(said.contains(words), "{said}");
    };
    check(b"name,instrument\nWren,flute\nZo\xeb,flute\n", "line 3: this is not UTF-8");
    check(b"player,plays\nWren,flute\n", "\u{201c}player, plays\u{201d}");
    check(b"", "the header must name");
    check(&vec![b'x'; MAX_BYTES + 1], "at most 256");
    check(
        &["name,instrument\n".to_owned(), "Wren,flute\n".repeat(600)].concat().into_bytes(),
        "more than 500 lines",
    );
    // As some old programs end lines; each would be counted from the file's beginning.
    check(
        ["name,instrument\r".to_owned(), "Wren,flute\r".repeat(600)].concat().as_bytes(),
        "more than 500 lines",
    );
    let many: String = (0..241).map(|n| format!("P{n},flute\n")).collect();
    check(format!("name,instrument\n{many}").as_bytes(), "has 241 people");
}

#[test]
fn a_name_that_a_spreadsheet_would_reckon_with_is_guarded_and_comes_back_as_it_was() {
    let nasty = ["=2+5", "+49", "-1", "@SUM(A1)", "'=x", "Wren", "'til", "O'Brien"];
    let people = nasty.map(|n| WrittenPerson {
        name: n.to_owned(),
        instrument: Instrument::Flute,
        part: n.to_owned(),
    });
    let text = write(&[("=Winds".to_owned(), people.to_vec())]);
    for line in text.lines().skip(1) {
        assert!(!line.split(',').any(|field| field.starts_with(['=', '+', '-', '@'])), "{line}");
    }
    let sheet = read(text.as_bytes(), &own()).unwrap();
    assert_eq!(names(&sheet), nasty);
    assert!(
        sheet.rows.iter().zip(nasty).all(|(row, part)| row.part == part && row.section.as_str() == "=Winds")
    );
}

#[test]
fn instruments_are_known_by_their_usual_names() {
    for (text, expected) in [
        ("Alto Saxophone", Instrument::AltoSax),
        ("clarinet", Instrument::ClarinetBb),
        ("clarinet-eb", Instrument::ClarinetEb),
        ("English Horn", Instrument::CorAnglais),
        ("Bassoon", Instrument::Bassoon),
    ] {
        assert_eq!(instrument_named(text), Ok(expected));
    }
}
