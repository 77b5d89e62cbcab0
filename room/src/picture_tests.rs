//! What pages make of what they are sent: one that skips pictures, comes late or comes back sees what one sees that got all.

use super::desk::Desk;
use super::event::Effect::Publish;
use super::order_tests::{any_event, happen};
use proptest::prelude::*;
use std::collections::BTreeSet;
use windrow_protocol::messages::{ConductorHears, RoomChange, Snapshot};

/// A page, and the last picture it was sent.
#[derive(Default)]
struct Page {
    sent: Option<Snapshot>,
    shown: Option<Snapshot>,
}

/// As text and back, as everything goes.
fn carried(message: &ConductorHears) -> ConductorHears {
    serde_json::from_str(&serde_json::to_string(message).unwrap()).unwrap()
}

impl Page {
    fn send(&mut self, picture: &Snapshot) {
        let message = match &self.sent {
            None => ConductorHears::Room(Box::new(picture.clone())),
            Some(sent) => ConductorHears::RoomChange(Box::new(RoomChange::between(sent, picture))),
        };
        match carried(&message) {
            ConductorHears::Room(room) => self.shown = Some(*room),
            ConductorHears::RoomChange(change) => {
                // What is nothing leaves all but the time as it was.
                let before = self.shown.clone().unwrap();
                let is_nothing = change.is_nothing();
                let after = self.shown.as_mut().unwrap();
                change.put(after);
                let time_us = after.time_us;
                assert!(!is_nothing || *after == Snapshot { time_us, ..before });
            }
            other => panic!("{other:?}"),
        }
        self.sent = Some(picture.clone());
    }
}

proptest! {
    #[test]
    fn every_page_sees_the_room_as_it_is(
        steps in proptest::collection::vec((any_event(), 0u8..8), 1..120),
    ) {
        let mut desk = Desk::new();
        let mut stored = BTreeSet::new();
        let (mut steady, mut slow, mut restless) = (Page::default(), Page::default(), Page::default());
        for ((kind, who, n, wait_us), luck) in steps {
            desk.now_us += wait_us;
            let effects = happen(&mut desk, (kind, who, n), &mut stored).unwrap_or_default();
            if !effects.contains(&Publish) {
                continue;
            }
            let picture = desk.room.picture(desk.now_us);
            let ConductorHears::Room(whole) = carried(&ConductorHears::Room(Box::new(picture.clone()))) else {
                panic!("a picture is a picture")
            };
            steady.send(&picture);
            prop_assert_eq!(steady.shown.as_ref(), Some(&*whole));
            if luck % 4 == 0 {
                slow.send(&picture);
                prop_assert_eq!(&slow.shown, &steady.shown);
            }
            if luck == 7 {
                restless = Page::default();
            }
            if luck > 3 {
                restless.send(&picture);
                prop_assert_eq!(&restless.shown, &steady.shown);
            }
        }
    }
}
