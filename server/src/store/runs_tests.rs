//! Runs in the records: what was written comes back, a run that goes on replaces itself, and whoever was erased is in none.

use super::sessions::{NewSession, SessionKind};
use super::writer::{Record, insert};
use super::{SessionRow, Store, Whose, token_sha256};
use crate::room::ConnectionId;
use crate::room::desk::Desk;
use crate::room::record_of;
use std::path::PathBuf;
use windrow_protocol::messages::{ConductorSays, Hearing, Moment, Pulse, PulseBatch, Reading};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Micros};
use windrow_room::{Kept, KeptRun, Told};

fn session(session_id: &str, origin_id: Option<&str>) -> NewSession {
    NewSession {
        row: SessionRow {
            session_id: session_id.to_owned(),
            code: "KF3M7P".to_owned(),
            section_name: "Larkmoor Youth Winds".to_owned(),
            a4_hz: 440.0,
            time_nought_unix_ms: 1_790_000_000_000,
        },
        kind: SessionKind::Rehearsal,
        rehearsal_id: None,
        origin_id: origin_id.map(str::to_owned),
        invented: false,
        ended_us: Some(60_000_000),
    }
}

/// Eighths at 60 by two players for five bars, to the end and beyond.
fn rehearsal() -> Vec<Kept> {
    let mut desk = Desk::new();
    let players: Vec<ConnectionId> = ["Imogen", "Wren"].map(|name| desk.join(name)).into();
    desk.command(ConductorSays::SetCountIn { bars: 0 });
    desk.command(ConductorSays::SetTempo { bpm: Bpm::new(60.0).unwrap(), at: Moment::Bar });
    desk.command(ConductorSays::SetSubdivision { per_beat: 2, at: Moment::Bar });
    desk.now_us = 9.4e6;
    desk.command(ConductorSays::Start);
    let pulses = |late_us: f64| {
        let pulse = |i: u32| Pulse {
            time_us: Micros::new(10e6 + late_us + f64::from(i) * 0.5e6).unwrap(),
            depth_db: Decibels::new(6.0).unwrap(),
            swing_cents: Cents::new(10.0).unwrap(),
            mean_cents: Cents::new(-3.0).ok(),
            choked: false,
        };
        Told::Pulses(PulseBatch { seq: 1, pulses: (0..40).map(pulse).collect() })
    };
    for i in 0..320u32 {
        desk.now_us += 1e5;
        for &player in &players {
            let reading = Reading {
                time_us: Micros::new(desk.now_us).unwrap(),
                seq: i,
                hearing: Hearing::Pulsed,
                pulse_rate_hz: Hertz::new(2.0).ok(),
                ..windrow_room::desk::pulsed()
            };
            desk.tell(player, Told::Reading(Box::new(reading)));
        }
        if i == 20 {
            desk.tell(players[0], pulses(0.0));
            desk.tell(players[1], pulses(20e3));
        }
        if i == 205 {
            desk.command(ConductorSays::Stop { at: Moment::Now });
        }
        if i % 2 == 1 {
            desk.look();
        }
    }
    desk.take_kept()
}

async fn open() -> (PathBuf, Store) {
    let dir = std::env::temp_dir().join(format!("windrow-runs-{}", uuid::Uuid::now_v7()));
    std::fs::create_dir_all(&dir).unwrap();
    let store = Store::open(&dir).await.unwrap();
    (dir, store)
}

async fn close(dir: PathBuf, store: Store) {
    store.close().await;
    std::fs::remove_dir_all(dir).unwrap();
}

fn records(session_id: &str, kept: Vec<Kept>) -> Vec<Record> {
    kept.into_iter().map(|kept| record_of(session_id, kept)).collect()
}

fn last_run(kept: &[Kept]) -> KeptRun {
    let runs = kept.iter().rev().find_map(|kept| match kept {
        Kept::Run(run) => Some((**run).clone()),
        _ => None,
    });
    // As text and back, since that may change the last digit of a number.
    serde_json::from_str(&serde_json::to_string(&runs.unwrap()).unwrap()).unwrap()
}

#[tokio::test]
async fn a_run_comes_back_as_it_was() {
    let (dir, store) = open().await;
    let kept = rehearsal();
    let run = last_run(&kept);
    assert!(run.told.is_over && run.traces.len() == 2 && !run.stretches.is_empty(), "{run:?}");
    let n_times = kept.iter().filter(|kept| matches!(kept, Kept::Run(_))).count();
    assert!(n_times > 1, "it was kept while it was played as well");
    assert!(store.add_session(&session("s1", None), &records("s1", kept)).await.unwrap());
    let back = store.kept_runs("s1").await.unwrap();
    assert_eq!(back, [("s1".to_owned(), run.clone())]);
    let rows = store.stretches_of_section("Larkmoor Youth Winds", 0).await.unwrap();
    assert_eq!(rows.len(), run.stretches.len());
    let (row, stretch) = (&rows[0], &run.stretches[0]);
    assert_eq!(
        (row.target.as_str(), row.per_beat, row.bpm, row.held, row.began_unix_ms),
        ("pulses", Some(2), 60.0, stretch.held, 1_790_000_010_000)
    );
    assert_eq!((row.kind, row.name.as_str(), row.bars), (SessionKind::Rehearsal, "Imogen", stretch.bars));
    let of_device = store.stretches_of(&Whose::Device(token_sha256("t2")), 0).await.unwrap();
    assert_eq!(of_device, rows.iter().filter(|row| row.name == "Wren").cloned().collect::<Vec<_>>());
    let rehearsals = store.rehearsals(None).await.unwrap();
    let told: Vec<_> = rehearsals.iter().map(|r| (r.rehearsal_id.as_str(), r.n_players, r.n_runs)).collect();
    assert_eq!(told, [("s1", 2, 1)]);
    close(dir, store).await;
}

#[tokio::test]
async fn a_session_of_one_origin_is_taken_once() {
    let (dir, store) = open().await;
    let kept = rehearsal();
    let (first, second) = (session("s1", Some("made-at-home")), session("s2", Some("made-at-home")));
    assert!(store.add_session(&first, &records("s1", kept.clone())).await.unwrap());
    assert!(!store.add_session(&second, &records("s2", kept)).await.unwrap());
    assert_eq!(store.players().await.unwrap().len(), 2);
    close(dir, store).await;
}

#[tokio::test]
async fn a_session_that_cannot_be_written_whole_is_not_written_at_all() {
    let (dir, store) = open().await;
    let mut kept = rehearsal();
    // The first player's id once more, of another session: two rows of one key.
    assert!(store.add_session(&session("s1", None), &records("s1", kept.clone())).await.unwrap());
    let before = store.rehearsals(None).await.unwrap();
    kept.push(Kept::Check { checked_us: f64::MAX, found: Box::new(Desk::new().found()) });
    sqlx::query("drop table room_checks").execute(store.pool()).await.unwrap();
    assert!(store.add_session(&session("s2", None), &records("s2", kept)).await.is_err());
    assert_eq!(store.rehearsals(None).await.unwrap(), before);
    close(dir, store).await;
}

#[tokio::test]
async fn nothing_is_written_of_whoever_was_erased_meanwhile() {
    let (dir, store) = open().await;
    let kept = rehearsal();
    let run = last_run(&kept);
    store.add_session(&session("s1", None), &records("s1", kept)).await.unwrap();
    store.erase(&Whose::Device(token_sha256("t1"))).await.unwrap();
    let mut transaction = store.pool().begin().await.unwrap();
    let record = Record::Run { session_id: "s1".to_owned(), run: Box::new(run) };
    insert(&mut transaction, &record).await.unwrap();
    transaction.commit().await.unwrap();
    let back = store.kept_runs("s1").await.unwrap();
    let names: Vec<&str> = back[0].1.told.players.iter().map(|p| p.name.as_str()).collect();
    assert_eq!((names, back[0].1.traces.len()), (vec!["Wren"], 1));
    assert!(back[0].1.stretches.iter().all(|s| s.player_id == run_player(&back[0].1, "Wren")));
    close(dir, store).await;
}

fn run_player(run: &KeptRun, name: &str) -> String {
    run.told.players.iter().find(|p| p.name.as_str() == name).unwrap().player_id.clone()
}
