//! A document to hand on: players are called by their chairs. Pure.

use super::document::Document;
use crate::words::Words;
use std::collections::BTreeMap;
use windrow_protocol::phrase::{Arg, Phrase};
use windrow_protocol::units::Name;

/// Takes names and places in lists away. What the teacher wrote in plans stays as it is.
pub(crate) fn without_names(document: &mut Document, words: Words) {
    document.has_names = false;
    let called = |chair: u16| {
        let text = words.of("records-chair").arg("n", chair).to_string();
        Name::new(&text).unwrap_or_else(|_| Name::new("chair").expect("a name"))
    };
    for session in &mut document.sessions {
        let mut called_now: BTreeMap<String, Name> = BTreeMap::new();
        for player in &mut session.players {
            called_now.insert(player.name.to_string(), called(player.chair));
            player.name = called(player.chair);
            player.person_id = None;
        }
        for run in &mut session.runs {
            for player in &mut run.told.players {
                called_now.insert(player.name.to_string(), called(player.chair));
                player.name = called(player.chair);
            }
        }
        for check in &mut session.room_checks {
            for chair in &mut check.found.chairs {
                called_now.insert(chair.name.to_string(), called(chair.chair));
                chair.name = called(chair.chair);
            }
            check.found.advice.iter_mut().for_each(|phrase| rename(phrase, &called_now));
        }
    }
}

/// What a phrase says of somebody by name.
fn rename(phrase: &mut Phrase, called: &BTreeMap<String, Name>) {
    match phrase {
        Phrase::Plain(text) => {
            if let Some(name) = called.get(text.as_str()) {
                *text = name.to_string();
            }
        }
        Phrase::Said { args, .. } => {
            for arg in args.values_mut() {
                match arg {
                    Arg::Phrase(phrase) => rename(phrase, called),
                    Arg::Several(several) => several.iter_mut().for_each(|one| rename(one, called)),
                    Arg::Number(_) => {}
                }
            }
        }
    }
}
