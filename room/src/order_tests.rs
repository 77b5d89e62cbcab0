//! Any order of events against what must always hold in a room.

use super::desk::{Desk, batch, pulsed};
use super::event::Effect::{self, Keep, Publish, Send};
use super::event::{ConnectionId, Event, Kept, Told};
use super::flow_tests::lesson;
use super::state::MAX_CHAIRS;
use proptest::prelude::*;
use std::collections::BTreeSet;
use windrow_protocol::messages::{ConductorSays, Flow, Moment, PlayerHears, Reading, Turns};
use windrow_protocol::score::TickFrom;
use windrow_protocol::timeline::{Tick, Timeline};
use windrow_protocol::units::Bpm;
use windrow_protocol::voicing::{Tuning, Voicing};

/// One event of the property test, with small numbers so that they meet each other.
pub(super) fn any_event() -> impl Strategy<Value = (u8, u8, u32, f64)> {
    (0u8..15, 0u8..5, 0u32..6, 0.0f64..2e6)
}

/// Any command that a conductor has for the music, at any moment.
fn any_command(who: u8, n: u32) -> ConductorSays {
    let at = [Moment::Now, Moment::Beat, Moment::Bar, Moment::Exercise][n as usize % 4];
    let bpm = Bpm::new(f64::from(60 + n)).unwrap();
    let all = [
        ConductorSays::Start,
        ConductorSays::Start,
        ConductorSays::Stop { at },
        ConductorSays::GoOn,
        ConductorSays::Again { at },
        ConductorSays::Next { at },
        ConductorSays::Next { at },
        ConductorSays::Back { at },
        ConductorSays::Hold,
        ConductorSays::Slower { at },
        ConductorSays::Faster { at },
        ConductorSays::SetTempo { bpm, at },
        ConductorSays::SetSubdivision { per_beat: who, at },
        ConductorSays::SetTick { from: TickFrom::Devices },
        ConductorSays::SetCountIn { bars: who % 3 },
        ConductorSays::SetVoicing { voicing: Voicing::ALL[usize::from(who) % 5] },
        ConductorSays::SetTurns {
            turns: [Turns::Together, Turns::DownTheLine, Turns::Pairs][usize::from(who) % 3],
        },
        ConductorSays::SetTuning { tuning: [Tuning::Equal, Tuning::Just][usize::from(who) % 2] },
        ConductorSays::SetFlow { flow: Flow::GoOn },
        ConductorSays::SetFlow { flow: [Flow::GoOn, Flow::Wait][usize::from(who) % 2] },
        ConductorSays::Choose { exercise: u16::from(who) + 1, at },
        ConductorSays::StepBack,
        ConductorSays::CheckRoom { chairs: Vec::new() },
        ConductorSays::CheckRoom { chairs: vec![u16::from(who)] },
    ];
    all[(usize::from(who) * 6 + n as usize) % all.len()].clone()
}

/// Lets it happen; `None` where it cannot.
pub(super) fn happen(
    desk: &mut Desk,
    (kind, who, n): (u8, u8, u32),
    stored: &mut BTreeSet<(String, u32)>,
) -> Option<Vec<Effect>> {
    let connection = ConnectionId(u64::from(n) + 1);
    let player_id = format!("p{}", who + 1);
    Some(match kind {
        0 => desk.join_with("Imogen", |_| {}).1,
        1 => desk.join_with("Wren", |h| h.token = Some(format!("t{}", who + 1))).1,
        2 => desk.apply(Event::Left { connection }),
        3 => desk.tell(connection, batch(u32::from(who) + 1)),
        4 => desk.tell(connection, Told::Reading(Box::new(Reading { seq: n, ..pulsed() }))),
        5 => desk.tell(connection, Told::Rest { resting: who > 2 }),
        6 => {
            // Only what is on its way can arrive.
            let seat = desk.room.seats().iter().find(|s| s.player_id == player_id && s.n_on_the_way > 0);
            let seq = seat.map(|s| s.accepted_seq)?;
            stored.insert((player_id.clone(), seq));
            desk.apply(Event::Stored { player_id, seq })
        }
        7 => desk.apply(Event::NotStored { player_id }),
        8..=10 => desk.command(any_command(who, n)),
        11 => desk.apply(Event::Plan(Box::new(lesson(usize::from(who))))),
        12 => desk.join_imaginary("Imogen").1,
        13 if who > 2 => desk.apply(Event::Lent(Box::new(lesson(usize::from(who))))),
        13 => desk.apply(Event::SentAway),
        _ => desk.apply(Event::Tick),
    })
}

proptest! {
    #[test]
    fn any_order_of_events_keeps_the_room_in_order(steps in proptest::collection::vec(any_event(), 1..120)) {
        let mut desk = Desk::new();
        let mut stored: BTreeSet<(String, u32)> = BTreeSet::new();
        let mut version = 0;
        for (kind, who, n, wait_us) in steps {
            desk.now_us += wait_us;
            let before = desk.timeline();
            let Some(effects) = happen(&mut desk, (kind, who, n), &mut stored) else { continue };
            for effect in &effects {
                if let Send { connection, message } = effect {
                    let seat = desk.room.seats().iter().find(|s| s.connection == Some(*connection));
                    prop_assert!(seat.is_some(), "spoke to nobody: {effect:?}");
                    if let (PlayerHears::Ack { seq }, Some(seat)) = (message, seat) {
                        prop_assert!(stored.contains(&(seat.player_id.clone(), *seq)), "not safe: {effect:?}");
                    }
                }
                if *effect == Publish {
                    let snapshot = &desk.room.picture(desk.now_us);
                    prop_assert_eq!(snapshot.lanes.len(), desk.room.seats().len());
                    prop_assert!(serde_json::to_string(snapshot).is_ok());
                }
            }
            let seats = desk.room.seats();
            let is_in = |imaginary| seats.iter().any(|s| s.is_imaginary == imaginary && s.connection.is_some());
            prop_assert!(!(is_in(true) && is_in(false)), "imaginary players sit among real ones");
            let is_theirs = |id: &str| seats.iter().any(|s| s.is_imaginary && s.player_id == id);
            let is_kept = |e: &Effect| matches!(e, Keep(Kept::Player { player_id, .. } | Kept::Pulses { player_id, .. }) if is_theirs(player_id));
            prop_assert!(!effects.iter().any(is_kept), "something of an imaginary player is kept: {effects:?}");
            prop_assert!(seats.len() <= MAX_CHAIRS);
            prop_assert!(seats.iter().enumerate().all(|(i, s)| usize::from(s.chair) == i + 1));
            let parts: BTreeSet<_> = seats.iter().map(|s| &s.part).collect();
            prop_assert_eq!(parts.len(), seats.len(), "two players with one part");
            let connections: Vec<_> = seats.iter().filter_map(|s| s.connection).collect();
            prop_assert_eq!(connections.iter().collect::<BTreeSet<_>>().len(), connections.len());
            prop_assert!(seats.iter().all(|s| s.acknowledged_seq <= s.accepted_seq || s.n_on_the_way == 0));
            if let Some(score) = desk.room.music().score() {
                prop_assert!(score.check().is_ok() && score.version >= version);
                version = score.version;
            }
            let both = before.zip(desk.timeline());
            if let Some((before, after)) = both.filter(|(a, b)| a.score().start_us == b.score().start_us) {
                // Nobody is surprised: up to the notice every device has, the music is what it was.
                let until_us = desk.now_us + 290_000.0;
                let ticks = |t: &Timeline| t.ticks_between(until_us - 3e6, until_us);
                let (old, new) = (ticks(&before), ticks(&after));
                // A thousandth of a microsecond is rounding, where a gradual change was cut.
                let same = |(a, b): (&Tick, &Tick)| a.kind == b.kind && (a.time_us - b.time_us).abs() < 1e-3;
                prop_assert!(old.len() == new.len() && old.iter().zip(&new).all(same), "{old:?} {new:?}");
            }
        }
    }
}
