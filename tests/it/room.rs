//! Rehearsals over real sockets: joining, the music, reconnecting, what the conductor sees.

use tokio_tungstenite::tungstenite::Message;
use windrow::words::english;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::judge::State;
use windrow_protocol::messages::{
    ClockAsk, ConductorHears, ConductorSays, Hearing, MicrophoneReport, MicrophoneStatus, Moment,
    PlayerHears, PlayerSays, RefusedReason,
};
use windrow_protocol::score::{Score, Target};
use windrow_protocol::units::{Bpm, Cents, Decibels, Hertz, Share};
use windrow_tests::{Conductor, Player, TestServer, hello, reading};

fn bpm(value: f64) -> Bpm {
    Bpm::new(value).unwrap()
}

async fn start(conductor: &mut Conductor) -> Score {
    conductor.command(ConductorSays::Start).await;
    conductor.see(|s| s.score.clone()).await
}

#[tokio::test]
async fn players_get_chairs_and_parts_in_the_order_they_come() {
    let server = TestServer::start().await;
    let imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let hadley = Player::join(&server, "Hadley", Instrument::Oboe).await;
    let tobias = Player::join(&server, "Tobias", Instrument::Flute).await;
    let places: Vec<_> =
        [&imogen, &hadley, &tobias].iter().map(|p| (p.welcome.chair, p.welcome.part.as_str())).collect();
    assert_eq!(places, [(1, "flute 1"), (2, "oboe 1"), (3, "flute 2")]);
    assert_eq!(imogen.welcome.section, "Larkmoor Youth Winds");
    let mut conductor = Conductor::open(&server).await;
    let names = conductor.see(|s| (s.lanes.len() == 3).then(|| s.lanes.clone())).await;
    let names: Vec<_> = names.iter().map(|l| l.name.as_str()).collect();
    assert_eq!(names, ["Imogen", "Hadley", "Tobias"]);
    server.stop().await;
}

#[tokio::test]
async fn a_code_may_be_typed_in_small_letters_with_spaces() {
    let server = TestServer::start().await;
    let typed = format!(" {} {}", &server.code()[..3].to_lowercase(), &server.code()[3..]);
    let player = Player::join_as(&server, hello(&typed, "Imogen", Instrument::Flute)).await;
    assert_eq!(player.welcome.chair, 1);
}

#[tokio::test]
async fn late_joiner_gets_the_music_that_is_playing() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let score = start(&mut conductor).await;
    let late = Player::join(&server, "Wren", Instrument::Flute).await;
    assert_eq!(late.welcome.score, Some(score));
}

#[tokio::test]
async fn a_tempo_change_reaches_all_with_the_same_score() {
    let server = TestServer::start().await;
    let mut players = Vec::new();
    for name in ["Imogen", "Tobias", "Wren"] {
        players.push(Player::join(&server, name, Instrument::Flute).await);
    }
    let mut conductor = Conductor::open(&server).await;
    conductor.command(ConductorSays::SetCountIn { bars: 0 }).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(120.0), at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    let first = players[0].hear_score().await.unwrap();
    assert_eq!((first.spans.len(), first.spans[0].bpm, first.spans[0].first_bar), (1, bpm(120.0), Some(1)));
    // Once beat nought has come a change waits for the bar line.
    conductor.see(|s| (s.time_us > first.start_us).then_some(())).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(132.0), at: Moment::Bar }).await;
    let changed = players[0].hear_score().await.unwrap();
    assert_eq!(changed.version, first.version + 1);
    assert_eq!(changed.start_us, first.start_us);
    let bars: Vec<_> = changed.spans.iter().map(|s| (s.length_beats.map(|l| l.get() % 4.0), s.bpm)).collect();
    assert_eq!(bars, [(Some(0.0), bpm(120.0)), (None, bpm(132.0))]);
    for player in &mut players[1..] {
        assert_eq!(player.hear_score().await, Some(first.clone()));
        assert_eq!(player.hear_score().await, Some(changed.clone()));
    }
    conductor.command(ConductorSays::Stop { at: Moment::Now }).await;
    for player in &mut players {
        assert_eq!(player.hear_score().await, None);
    }
}

#[tokio::test]
async fn settings_made_before_the_start_are_those_of_the_score() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(66.0), at: Moment::Bar }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar }).await;
    conductor.command(ConductorSays::SetNote { note: Some("F4".parse().unwrap()), chair: None }).await;
    let title = conductor.see(|s| (s.settings.note.is_some()).then(|| s.title.clone())).await;
    assert_eq!(english(&title), "Triplets at 66");
    let score = start(&mut conductor).await;
    assert_eq!(score.spans[0].note, Some("F4".parse().unwrap()));
    assert!(matches!(score.spans[1].target, Target::Pulses { per_beat } if per_beat.get() == 3));
}

#[tokio::test]
async fn a_command_that_cannot_be_done_is_answered_in_words() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    start(&mut conductor).await;
    conductor.command(ConductorSays::Start).await;
    let text = loop {
        if let ConductorHears::CannotDo { text } = conductor.hear().await.unwrap() {
            break text;
        }
    };
    assert_eq!(english(&text), "the music is playing already: stop it first, or choose Again");
}

#[tokio::test]
async fn who_reconnects_keeps_the_chair_and_the_conductor_sees_them_away_meanwhile() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let imogen = Player::join(&server, "Imogen", Instrument::Flute).await;
    let _tobias = Player::join(&server, "Tobias", Instrument::Flute).await;
    let token = imogen.welcome.token.clone();
    drop(imogen);
    conductor.see_lane("Imogen", |l| l.state == State::Away).await;
    let again = Player::join_as(
        &server,
        windrow_protocol::messages::Hello {
            token: Some(token),
            ..hello(server.code(), "Imogen", Instrument::Flute)
        },
    )
    .await;
    assert_eq!((again.welcome.chair, again.welcome.part.as_str()), (1, "flute 1"));
    let lane = conductor.see_lane("Imogen", |l| l.state != State::Away).await;
    assert_eq!((lane.state, lane.chair), (State::NotHeard, 1));
    let n_players = conductor.see(|s| Some(s.section.n_players)).await;
    assert_eq!(n_players, 2);
}

#[tokio::test]
async fn the_same_player_from_another_page_replaces_the_first() {
    let server = TestServer::start().await;
    let mut first = Player::join(&server, "Imogen", Instrument::Flute).await;
    let mut greeting = hello(server.code(), "Imogen", Instrument::Flute);
    greeting.token = Some(first.welcome.token.clone());
    let second = Player::join_as(&server, greeting).await;
    assert_eq!(second.welcome.player_id, first.welcome.player_id);
    let (refused, close_code) = first.hear_refusal().await;
    assert_eq!((refused.reason, close_code), (RefusedReason::Replaced, 4007));
}

#[tokio::test]
async fn the_clock_is_answered_with_times_in_order() {
    let server = TestServer::start().await;
    let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
    let mut last_us = 0.0;
    for id in 1..=3 {
        player.say(&PlayerSays::Clock(ClockAsk { id, t1_us: 12.5 })).await;
        let answer = player
            .hear(|m| match m {
                PlayerHears::Clock(answer) => Some(answer),
                _ => None,
            })
            .await;
        assert_eq!((answer.id, answer.t1_us), (id, 12.5));
        assert!(answer.t2_us.get() > last_us && answer.t3_us >= answer.t2_us, "{answer:?}");
        last_us = answer.t3_us.get();
    }
}

#[tokio::test]
async fn a_fast_player_is_named_and_told_what_to_do() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut wren = Player::join(&server, "Wren", Instrument::Flute).await;
    conductor.command(ConductorSays::SetCountIn { bars: 0 }).await;
    conductor.command(ConductorSays::SetTempo { bpm: bpm(120.0), at: Moment::Bar }).await;
    conductor.command(ConductorSays::SetSubdivision { per_beat: 3, at: Moment::Bar }).await;
    conductor.command(ConductorSays::Start).await;
    // Readings until the page names the fault: 6.6 pulses a second where 6 are asked for.
    let mut seq = 0;
    // Its lane is taken from the same picture: the next may be one in which the readings have stopped.
    let (say, lane) = loop {
        let (time_us, said) = conductor
            .see(|s| {
                let lane = s.lanes.iter().find(|l| l.name.as_str() == "Wren" && l.state == State::Fast);
                Some((s.time_us.get(), s.say.clone().zip(lane.cloned())))
            })
            .await;
        if let Some(said) = said {
            break said;
        }
        seq += 1;
        let mut heard = reading(seq, time_us);
        heard.hearing = Hearing::Pulsed;
        heard.pulse_rate_hz = Some(Hertz::new(6.6).unwrap());
        heard.n_pulses = 8;
        heard.depth_db_pp = Some(Decibels::new(6.0).unwrap());
        heard.swing_cents_pp = Some(Cents::new(10.0).unwrap());
        heard.centre_cents = Some(Cents::new(2.0).unwrap());
        heard.trust = Share::new(0.9).unwrap();
        heard.trusted = true;
        wren.say(&PlayerSays::Reading(heard)).await;
    };
    assert_eq!(english(&say.text), "Wren, wait for the tick: three to the beat.");
    assert_eq!(say.player_id, wren.welcome.player_id);
    assert_eq!(english(&lane.evidence), "3.3 to the beat");
    let you = wren
        .hear(|m| match m {
            PlayerHears::You(you) if you.state == State::Fast => Some(you),
            _ => None,
        })
        .await;
    assert_eq!(english(&you.sentence), "Wait for the tick, then give the next pulse.");
}

#[tokio::test]
async fn a_rest_and_a_refused_microphone_show_at_once() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut anouk = Player::join(&server, "Anouk", Instrument::AltoSax).await;
    let report =
        MicrophoneReport { status: MicrophoneStatus::Refused, sample_rate_hz: None, still_on: Vec::new() };
    anouk.say(&PlayerSays::Microphone(report)).await;
    let lane = conductor.see_lane("Anouk", |l| l.microphone.is_some()).await;
    assert_eq!((lane.state, english(&lane.evidence).as_str()), (State::NotHeard, "microphone refused"));
    anouk.say(&PlayerSays::Rest { resting: true }).await;
    conductor.see_lane("Anouk", |l| l.state == State::Resting).await;
    anouk.say(&PlayerSays::Rest { resting: false }).await;
    conductor.see_lane("Anouk", |l| l.state == State::NotHeard).await;
}

#[tokio::test]
async fn closing_the_server_says_goodbye() {
    let server = TestServer::start().await;
    let mut player = Player::join(&server, "Imogen", Instrument::Flute).await;
    let mut conductor = Conductor::open(&server).await;
    let (refused, (), ()) =
        tokio::join!(player.hear_refusal(), async { while conductor.hear().await.is_ok() {} }, async {
            server.stop().await;
        });
    assert_eq!((refused.0.reason, refused.1), (RefusedReason::Closing, 4008));
}

#[tokio::test]
async fn a_room_seats_a_whole_orchestra_and_says_so_to_the_next() {
    let server = TestServer::start().await;
    let mut conductor = Conductor::open(&server).await;
    let mut players = Vec::new();
    for i in 1..=256 {
        players.push(Player::join(&server, &format!("Player {i}"), Instrument::ClarinetBb).await);
    }
    assert_eq!(players[255].welcome.part, "clarinet in B flat 256");
    let greeting = PlayerSays::Hello(hello(server.code(), "Wren", Instrument::Flute));
    let greeting = Message::text(serde_json::to_string(&greeting).unwrap());
    let (refused, close_code) = Player::refused(&server, vec![greeting]).await;
    assert_eq!((refused.reason, close_code), (RefusedReason::Full, 4002));
    let score = start(&mut conductor).await;
    for player in &mut players {
        assert_eq!(player.hear_score().await.as_ref(), Some(&score));
    }
}
