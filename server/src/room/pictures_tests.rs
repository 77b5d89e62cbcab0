//! Pictures on their way to a page: what a slow one skips, what is not said twice, what nobody is there for.

use super::*;
use crate::room::Told;
use crate::room::desk::{Desk, pulsed};
use std::time::Duration;
use tokio::time::timeout;
use windrow_protocol::messages::Reading;
use windrow_protocol::units::Micros;

/// Long enough for whatever does not wait.
const AT_ONCE: Duration = Duration::from_secs(5);
/// Too short for anything but what is there.
const BRIEFLY: Duration = Duration::from_millis(20);

/// What a page makes of what it is sent.
#[derive(Default)]
struct Page {
    room: Option<Box<Snapshot>>,
    n_changes: usize,
}

impl Page {
    fn hear(&mut self, text: &str) {
        match serde_json::from_str(text).unwrap() {
            ConductorHears::Room(room) => self.room = Some(room),
            ConductorHears::RoomChange(change) => {
                change.put(self.room.as_mut().expect("the first picture is whole"));
                self.n_changes += 1;
            }
            other => panic!("{other:?}"),
        }
    }
}

async fn hear(pictures: &mut Pictures, page: &mut Page) -> usize {
    let text = timeout(AT_ONCE, pictures.next()).await.unwrap().unwrap();
    page.hear(&text);
    text.len()
}

fn read_again(picture: &Snapshot) -> Snapshot {
    serde_json::from_str(&text_of(picture)).unwrap()
}

/// A desk with three players, and what they tell next.
fn rehearsal() -> (Desk, impl FnMut(&mut Desk)) {
    let mut desk = Desk::new();
    let players = ["Imogen", "Tobias", "Wren"].map(|name| desk.join(name));
    let mut seq = 0;
    let play = move |desk: &mut Desk| {
        seq += 1;
        desk.now_us += 2e5;
        let time_us = Micros::new(desk.now_us).unwrap();
        let who = players[seq as usize % players.len()];
        desk.tell(who, Told::Reading(Box::new(Reading { seq, time_us, ..pulsed() })));
        desk.look();
    };
    (desk, play)
}

#[tokio::test]
async fn a_page_that_skips_pictures_sees_the_room_as_it_is() {
    let (wall, gallery) = wall();
    let (mut desk, mut play) = rehearsal();
    let (mut quick, mut slow, mut whole) = (gallery.look(), gallery.look(), gallery.look());
    quick.as_changes();
    slow.as_changes();
    let mut pages = [Page::default(), Page::default(), Page::default()];
    let mut lengths = [0, 0];
    for i in 0..40 {
        play(&mut desk);
        let picture = desk.look();
        wall.show(|| picture.clone());
        lengths[0] += hear(&mut quick, &mut pages[0]).await;
        lengths[1] += hear(&mut whole, &mut pages[1]).await;
        if i % 7 == 0 {
            hear(&mut slow, &mut pages[2]).await;
            assert_eq!(pages[2].room.as_deref(), Some(&read_again(&picture)));
        }
        assert_eq!(pages[0].room.as_deref(), Some(&read_again(&picture)));
        assert_eq!(pages[1].room, pages[0].room);
    }
    assert_eq!([pages[0].n_changes, pages[1].n_changes, pages[2].n_changes], [39, 0, 5]);
    assert!(3 * lengths[0] < lengths[1], "changes are short: {lengths:?}");
    // One that comes late begins with the whole.
    let mut late = Page::default();
    hear(&mut gallery.look(), &mut late).await;
    assert_eq!(late.room, pages[0].room);
}

#[tokio::test]
async fn what_is_the_same_is_said_once_a_second() {
    let (wall, gallery) = wall();
    let (mut desk, _) = rehearsal();
    let mut pictures = gallery.look();
    pictures.as_changes();
    let mut page = Page::default();
    let mut n_said = 0;
    for _ in 0..=50 {
        let picture = desk.look();
        wall.show(|| picture);
        if let Ok(text) = timeout(BRIEFLY, pictures.next()).await {
            page.hear(&text.unwrap());
            n_said += 1;
        }
        desk.now_us += 2e5;
    }
    // The first, and one for each of ten seconds.
    assert_eq!(n_said, 11);
}

#[tokio::test]
async fn nothing_is_made_for_nobody_and_nothing_old_is_left_behind() {
    let (wall, gallery) = wall();
    let (mut desk, _) = rehearsal();
    let refuse = || -> Snapshot { panic!("nobody looks") };
    wall.show(refuse);
    let mut first = gallery.look();
    wall.show(|| desk.look());
    hear(&mut first, &mut Page::default()).await;
    drop(first);
    wall.show(refuse);
    let mut later = gallery.look();
    assert!(timeout(BRIEFLY, later.next()).await.is_err(), "the picture of then is not shown");
    desk.join("Piers");
    wall.show(|| desk.look());
    let mut page = Page::default();
    hear(&mut later, &mut page).await;
    assert_eq!(page.room.unwrap().lanes.len(), 4);
    drop(wall);
    assert_eq!(timeout(AT_ONCE, later.next()).await.unwrap(), Err(Ended));
}
