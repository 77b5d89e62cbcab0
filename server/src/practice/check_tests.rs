//! What comes from devices as practice, good, odd and hostile. The good one is a simulated player's in a room of one.

use super::*;
use crate::player::{Habit, RehearsedDevice, SimulatedSound, larkmoor};
use crate::room::{KeptRun, VirtualRoom, hello};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::OnceLock;
use windrow_protocol::messages::ConductorSays;

const PLAN: &str = r#"{"format": "windrow-plan", "version": 1, "name": "two", "title": "Two", "beats_per_bar": 4, "exercises": [
    {"note": "F4", "play": {"pulses": {"bpm": 66, "values": ["triplets"], "times": 4}}},
    {"note": "F4", "play": {"pulses": {"bpm": 80, "values": ["eighths"], "times": 1}}}]}"#;
/// 24 November 2026.
const BEGAN_UNIX_MS: i64 = 1_795_500_000_000;

/// Plays both exercises alone, in a time of its own.
fn practised() -> &'static Practice {
    static PRACTISED: OnceLock<Practice> = OnceLock::new();
    PRACTISED.get_or_init(|| {
        let mut player = larkmoor::players().remove(0);
        (player.habit, player.note) = (Habit::Matched, "F4".parse().unwrap());
        let mut room = VirtualRoom::new(player.name.clone(), Hertz::new(440.0).unwrap()).keeping();
        let mut device = RehearsedDevice::new(Box::new(SimulatedSound::new(&player, 440.0)));
        room.take_plan(crate::plan::compile(&crate::plan::read(PLAN).unwrap())).unwrap();
        room.let_in(0, hello(&player.name, player.instrument)).unwrap();
        let mut kept: Vec<Kept> = Vec::new();
        for step in 1..=1250u32 {
            room.now_us = f64::from(step) * 40e3;
            match step {
                1 => room.command(ConductorSays::Start).unwrap(),
                700 => {
                    room.command(ConductorSays::Next { at: windrow_protocol::messages::Moment::Now })
                        .unwrap();
                    room.command(ConductorSays::Start).unwrap();
                }
                _ => {}
            }
            for (_, message) in room.take_letters() {
                device.take(message).unwrap();
            }
            for says in device.hear(room.now_us) {
                room.tell(0, says).unwrap();
            }
            if step % 5 == 0 {
                room.look().unwrap();
            }
            kept.extend(room.take_kept());
        }
        room.end();
        kept.extend(room.take_kept());
        Practice {
            origin_id: "0193-made-by-a-test".to_owned(),
            began_unix_ms: BEGAN_UNIX_MS,
            invented: false,
            plan_title: "Two".to_owned(),
            protocol_version: PROTOCOL_VERSION,
            name: player.name,
            instrument: player.instrument,
            a4_hz: None,
            kept,
        }
    })
}

fn owner() -> Owner {
    Owner {
        token: Some("a-token".to_owned()),
        person_id: None,
        name: Name::new("Wren").ok(),
        section_name: Some("Larkmoor Youth Winds".to_owned()),
    }
}

fn checked(practice: Practice) -> Result<check::Checked, String> {
    let now_ms = BEGAN_UNIX_MS + 3_600_000;
    check::check(practice, &owner(), "made-here", now_ms)
        .map_err(|text| text.id().unwrap_or_default().to_owned())
}

fn runs(kept: &[Kept]) -> Vec<&KeptRun> {
    kept.iter()
        .filter_map(|one| match one {
            Kept::Run(run) => Some(&**run),
            _ => None,
        })
        .collect()
}

#[test]
fn what_was_practised_becomes_its_owner_s_whatever_it_says_itself() {
    let practice = practised().clone();
    assert!(runs(&practice.kept).len() > 2, "runs are told again and again while they are played");
    let checked = checked(practice).unwrap();
    let Kept::Player { player_id, name, token, chair, .. } = &checked.kept[0] else {
        panic!("the player comes first")
    };
    assert_eq!(
        (player_id.as_str(), name.as_str(), token.as_str(), *chair),
        ("made-here", "Wren", "a-token", 1)
    );
    let runs = runs(&checked.kept);
    assert_eq!(runs.iter().map(|run| run.told.number).collect::<Vec<_>>(), [1, 2], "each once, as told last");
    for run in &runs {
        assert_eq!((run.told.players.len(), run.told.players[0].name.as_str()), (1, "Wren"));
    }
    assert!(
        runs[0].stretches[0].held,
        "four bars of triplets at 66 by one who is matched: {:?}",
        runs[0].stretches
    );
    assert!(!runs[1].stretches[0].held, "one bar is no rung");
    let text = serde_json::to_string(&checked.kept).unwrap();
    assert!(!text.contains("player-0") && !text.contains("Imogen"), "{text}");
}

#[test]
fn what_cannot_have_been_is_refused_by_name() {
    let changed = |change: &dyn Fn(&mut Practice)| {
        let mut practice = practised().clone();
        change(&mut practice);
        checked(practice).map(|_| ())
    };
    let run = |practice: &mut Practice, change: &dyn Fn(&mut KeptRun)| {
        practice.kept.iter_mut().for_each(|one| {
            if let Kept::Run(run) = one {
                change(run);
            }
        });
    };
    let refusal = |id: &str| Err(id.to_owned());
    assert_eq!(changed(&|_| {}), Ok(()));
    assert_eq!(changed(&|p| p.began_unix_ms += 4_200_000), refusal("carried-future"));
    assert_eq!(changed(&|p| p.began_unix_ms = 1_577_836_799_999), refusal("carried-past"));
    assert_eq!(changed(&|p| p.origin_id = "'; drop table sessions; --".to_owned()), refusal("carried-id"));
    assert_eq!(changed(&|p| p.origin_id = "x".repeat(65)), refusal("carried-id"));
    assert_eq!(changed(&|p| p.protocol_version += 1), refusal("carried-newer"));
    assert_eq!(changed(&|p| p.plan_title = "x".repeat(201)), refusal("carried-plan"));
    assert_eq!(changed(&|p| p.a4_hz = Hertz::new(300.0).ok()), refusal("carried-tuning"));
    assert_eq!(changed(&|p| p.kept.clear()), refusal("carried-nobody"));
    assert_eq!(changed(&|p| run(p, &|run| run.ended_us = run.began_us - 1.0)), refusal("carried-run"));
    assert_eq!(changed(&|p| run(p, &|run| run.ended_us += 7.0 * 3600e6)), refusal("carried-long"));
    assert_eq!(
        changed(&|p| run(p, &|run| run.traces[0].player_id = "somebody".to_owned())),
        refusal("carried-run")
    );
    assert_eq!(
        changed(&|p| run(p, &|run| run.stretches.iter_mut().for_each(|s| s.asked_s = 900.0))),
        refusal("carried-run")
    );
    assert_eq!(changed(&|p| run(p, &|run| run.told.spans.clear())), refusal("carried-run"));
    assert_eq!(changed(&|p| run(p, &|run| run.score.spans.clear())), refusal("carried-run"));
    let both_at_once = |run: &mut KeptRun| (run.began_us, run.ended_us) = (run.began_us.min(20e6), 40e6);
    assert_eq!(changed(&|p| run(p, &both_at_once)), refusal("carried-overlap"));
    let another = |p: &mut Practice| {
        p.kept.push(Kept::Pulses { player_id: "another".to_owned(), seq: 9000, pulses: Vec::new() });
    };
    assert_eq!(changed(&another), refusal("carried-several"));
}

#[test]
fn what_cannot_be_read_says_whose_windrow_is_the_older() {
    let id = |bytes: &[u8]| read(bytes).unwrap_err().id().unwrap().to_owned();
    assert_eq!(id(b"{\"protocol_version\": 99, \"kept\": \"in another way\"}"), "carried-newer");
    assert_eq!(id(b"{\"protocol_version\": 1}"), "carried-older");
    assert_eq!(id(b"{\"protocol_version\": 5}"), "carried-unreadable");
    assert_eq!(id(b"\xff\xfe"), "carried-unreadable");
    assert_eq!(id("[".repeat(100_000).as_bytes()), "carried-unreadable");
    let text = serde_json::to_vec(practised()).unwrap();
    let again = read(&text).unwrap();
    assert_eq!((again.kept.len(), &again.name), (practised().kept.len(), &practised().name));
}

/// A directory that goes with the test.
struct Dir(PathBuf);

impl Drop for Dir {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn dir(name: &str) -> Dir {
    let dir = std::env::temp_dir().join(format!("windrow-practice-{}-{name}", std::process::id()));
    std::fs::create_dir_all(&dir).unwrap();
    Dir(dir)
}

#[tokio::test]
async fn the_same_practice_counts_once_and_none_is_taken_of_the_same_time() {
    let dir = dir("once");
    let store = Store::open(&dir.0).await.unwrap();
    assert!(take(&store, &owner(), practised().clone(), "Reeds").await.unwrap());
    assert!(!take(&store, &owner(), practised().clone(), "Reeds").await.unwrap());
    let again = Practice { origin_id: "another-mark-of-the-same".to_owned(), ..practised().clone() };
    let refused = take(&store, &owner(), again.clone(), "Reeds").await.unwrap_err();
    assert!(refused.to_string().contains("from the same time"), "{refused}");
    // An hour earlier it is another practice, and another device's is another player's.
    let earlier = Practice {
        began_unix_ms: BEGAN_UNIX_MS - 3_600_000,
        origin_id: "an-hour-earlier".to_owned(),
        ..practised().clone()
    };
    assert!(take(&store, &owner(), earlier, "Reeds").await.unwrap());
    let other = Owner { token: Some("another-token".to_owned()), ..owner() };
    assert!(take(&store, &other, again, "Reeds").await.unwrap());
    let sessions = store.rehearsals(Some("Larkmoor Youth Winds")).await.unwrap();
    assert_eq!(sessions.len(), 3);
    assert!(
        sessions.iter().all(|s| s.kind == SessionKind::Practice && (s.n_players, s.n_runs) == (1, 2)),
        "{sessions:?}"
    );
    store.close().await;
}

/// What stands in the place of something in a practice.
fn odd() -> impl Strategy<Value = Value> {
    let odd = [
        json!(null),
        json!(true),
        json!(-1),
        json!(0),
        json!(1),
        json!(0.5),
        json!(1e300),
        json!(-1e300),
        json!(65536),
        json!(""),
        json!("x"),
        json!("player-0"),
        json!("matched"),
        json!({"id": "no-such-text"}),
        json!([]),
        json!([255, 255]),
        json!([128, 128, 128, 128, 128, 128, 128, 128, 128, 128, 1]),
        json!({}),
        json!({"type": "run"}),
    ];
    proptest::sample::select(odd.to_vec())
}

/// Puts something odd in the place that `at` leads to.
fn damage(value: &mut Value, at: &[prop::sample::Index], odd: &Value) {
    let Some((first, rest)) = at.split_first() else {
        *value = odd.clone();
        return;
    };
    match value {
        Value::Array(items) if !items.is_empty() => {
            let place = first.index(items.len());
            damage(&mut items[place], rest, odd);
        }
        Value::Object(fields) if !fields.is_empty() => {
            let key = fields.keys().nth(first.index(fields.len())).unwrap().clone();
            damage(&mut fields[&key], rest, odd);
        }
        // Most numbers become other numbers: what cannot even be read is refused before anything is looked at.
        Value::Number(number) if !odd.is_number() => {
            *value = json!(number.as_f64().unwrap_or_default() * 3.0 + 1.0)
        }
        other => *other = odd.clone(),
    }
}

/// The practice as text, without what is told again: a tenth of the size, and the same kinds of things.
fn small() -> Value {
    static SMALL: OnceLock<Value> = OnceLock::new();
    let small = SMALL.get_or_init(|| {
        let mut kept = practised().kept.clone();
        kept.retain(|one| !matches!(one, Kept::Run(run) if !run.told.is_over));
        serde_json::to_value(Practice { kept, ..practised().clone() }).unwrap()
    });
    small.clone()
}

fn damages() -> impl Strategy<Value = Vec<(Vec<prop::sample::Index>, Value)>> {
    prop::collection::vec((prop::collection::vec(any::<prop::sample::Index>(), 3..14), odd()), 1..4)
}

#[tokio::test]
async fn of_damaged_practices_whole_ones_are_written_or_nothing() {
    let dir = dir("damaged");
    let store = Store::open(&dir.0).await.unwrap();
    let mut chance = proptest::test_runner::TestRunner::deterministic();
    let (mut n_taken, mut n_refused) = (0, 0);
    for number in 0..800 {
        let mut value = small();
        for (at, odd) in damages().new_tree(&mut chance).unwrap().current() {
            damage(&mut value, &at, &odd);
        }
        // Each by a device of its own, so that none is in the way of another.
        let by = Owner { token: Some(format!("token-{number}")), ..owner() };
        let Ok(practice) = read(&serde_json::to_vec(&value).unwrap()) else { continue };
        let practice = Practice { origin_id: format!("damaged-{number}"), ..practice };
        match take(&store, &by, practice, "Reeds").await {
            Ok(taken) => n_taken += usize::from(taken),
            Err(NotTaken::Cannot(_)) => n_refused += 1,
            Err(other) => panic!("{other}: {value}"),
        }
    }
    let sessions = store.rehearsals(None).await.unwrap();
    assert_eq!(sessions.len(), n_taken);
    assert!(sessions.iter().all(|s| s.n_players == 1), "{sessions:?}");
    assert!(n_taken > 10 && n_refused > 4, "{n_taken} taken, {n_refused} refused: the damage shows nothing");
    store.close().await;
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_damaged_practice_is_refused_or_can_be_looked_back_at(damages in damages()) {
        let mut value = small();
        for (at, odd) in &damages {
            damage(&mut value, at, odd);
        }
        let Ok(practice) = read(&serde_json::to_vec(&value).unwrap()) else { return Ok(()) };
        let Ok(checked) = checked(practice) else { return Ok(()) };
        let kept = runs(&checked.kept);
        // Whoever looks back at it later finds something that can be shown.
        let numbers: Vec<u16> = kept.iter().map(|run| run.told.number).collect();
        let past = windrow_room::PastRuns::of(kept.into_iter().cloned().collect());
        prop_assert_eq!(past.results().runs.len(), numbers.len());
        let _ = past.review();
        for number in numbers {
            let _ = past.replay(number);
        }
        let players = checked.kept.iter().filter(|one| matches!(one, Kept::Player { .. })).count();
        prop_assert_eq!(players, 1);
    }

    #[test]
    fn any_bytes_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        prop_assert!(read(&bytes).is_err());
    }
}
