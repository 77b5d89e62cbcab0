//! Commands and their musical moments over real sockets: everybody agrees on when a change takes effect, and whoever
//! comes late is in the right bar at once.

use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::score::{Score, Target};
use windrow_protocol::timeline::{Tick, Timeline};
use windrow_protocol::units::Bpm;
use windrow_tests::{Conductor, Player, TestServer, hello};

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

/// Two minutes of ticks.
fn ticks(score: &Score) -> Vec<Tick> {
    let timeline = Timeline::new(score.clone()).unwrap();
    timeline.ticks_between(0.0, score.start_us.get() + 120e6)
}

#[tokio::test]
async fn twenty_devices_agree_on_every_tick_after_every_command() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut players = Vec::new();
    for i in 0..20 {
        players.push(Player::join(&server, &format!("Player {i}"), Instrument::Oboe).await);
    }
    let mut versions = Vec::new();
    for command in [
        ConductorSays::Start,
        ConductorSays::Faster { at: Moment::Bar },
        ConductorSays::SetSubdivision { per_beat: 4, at: Moment::Beat },
        ConductorSays::SetTempo { bpm: bpm(72.0), at: Moment::Bar },
        ConductorSays::Next { at: Moment::Bar },
        ConductorSays::Back { at: Moment::Now },
        ConductorSays::Again { at: Moment::Beat },
    ] {
        conductor.command(command.clone()).await;
        let mut heard = Vec::new();
        for player in &mut players {
            heard.push(player.hear_score().await.unwrap());
        }
        let first = ticks(&heard[0]);
        assert!(!first.is_empty() && heard.iter().all(|score| ticks(score) == first), "{command:?}");
        versions.push(heard[0].version);
    }
    assert!(versions.windows(2).all(|v| v[0] < v[1]), "{versions:?}");
}

#[tokio::test]
async fn who_comes_late_or_comes_back_is_in_the_right_bar_at_once() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut first = Player::join(&server, "Imogen", Instrument::Flute).await;
    conductor.command(ConductorSays::Start).await;
    first.hear_score().await.unwrap();
    conductor.command(ConductorSays::Next { at: Moment::Bar }).await;
    let known = first.hear_score().await.unwrap();

    let late = Player::join(&server, "Wren", Instrument::Oboe).await;
    assert_eq!(late.welcome.score.as_ref(), Some(&known));
    let mut back = hello(server.code(), "Imogen", Instrument::Flute);
    back.token = Some(first.welcome.token.clone());
    let again = Player::join_as(&server, back).await;
    assert_eq!((again.welcome.chair, again.welcome.score.as_ref()), (1, Some(&known)));
    // The exercise after the change is counted in, and its first bar has the number one.
    let timeline = Timeline::new(known).unwrap();
    let count_in = timeline.score().spans.iter().rposition(|s| s.target == Target::CountIn).unwrap();
    let first_note = timeline.span_start(count_in + 1).unwrap();
    assert_eq!((timeline.bar_at(first_note), timeline.bar_line_at(first_note)), (1, first_note));
}

#[tokio::test]
async fn a_stop_can_be_gone_on_with_and_a_score_that_ends_is_taken_away() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(300.0), at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    let start_us = player.hear_score().await.unwrap().start_us;
    conductor.see(|s| (s.time_us > start_us).then_some(())).await;
    conductor.command(ConductorSays::Stop { at: Moment::Beat }).await;
    let ending = player.hear_score().await.unwrap();
    assert!(Timeline::new(ending).unwrap().end_beat().is_some());
    assert_eq!(player.hear_score().await, None, "two seconds after its end");
    assert!(conductor.see(|s| s.score.is_none().then_some(s.exercise.can_go_on)).await);
    conductor.command(ConductorSays::GoOn).await;
    assert!(player.hear_score().await.is_some());
}
