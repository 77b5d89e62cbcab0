//! A room in which anything is said and wanted, in any order and at any time. Bytes choose what happens, so that a change of one
//! byte changes one event; whole messages may stand among them as text.

#[path = "../../../fuzz/choices.rs"]
mod choices;

use super::comes_back;
use crate::plan::{self, built_in};
use crate::words::Language;
use choices::Choices;
use windrow_protocol::instrument::Instrument;
use windrow_protocol::messages::{ConductorSays, PlayerSays};
use windrow_protocol::units::{Hertz, Name};
use windrow_room::{FreshIds, KnownDevice, Person, VirtualRoom, hello};

/// Most events of one run.
const MAX_EVENTS: usize = 200;
/// Devices that come and go.
const N_DEVICES: u8 = 6;
/// Between two events, µs: from none to a week.
const PASSES_US: [f64; 8] = [0.0, 1.0, 2e5, 1e6, 1.1e7, 6e7, 3.6e9, 6e11];
/// Numbers that measures may have: usual ones, borders, and what is beyond.
const NUMBERS: [&str; 16] = [
    "0", "1", "-1", "3", "5.5", "12", "-40", "60", "100", "240", "-240", "0.5", "1e-300", "12000", "1e308",
    "-0.0",
];
/// Whole numbers.
const WHOLES: [&str; 8] = ["0", "1", "2", "3", "8", "255", "65535", "4294967295"];
/// Times beside now: offsets, µs.
const OFFSETS_US: [f64; 8] = [0.0, -1e5, -1e6, 3e5, 1e7, -1e10, 1e14, -1e14];

/// What devices say. `$t` is a time, `$n` a number, `$w` a whole one.
const PLAYER: [&str; 8] = [
    r#"{"type":"reading","seq":$w,"time_us":$t,"hearing":"pulsed","level_db":$n,"note":"F4","cents":$n,"centre_cents":$n,"pulse_rate_hz":$n,"n_pulses":9,"depth_db_pp":$n,"swing_cents_pp":$n,"evenness_cv":0.1,"straight_reference_cents":$n,"choked_share":0.5,"trust":1,"trusted":true}"#,
    r#"{"type":"reading","seq":$w,"time_us":$t,"hearing":"straight","level_db":$n,"cents":$n,"centre_cents":$n,"trust":0.9,"trusted":true,"capture":{"clipped_share":0,"clips":false,"gain_riding":true}}"#,
    r#"{"type":"pulses","seq":$w,"pulses":[{"time_us":$t,"depth_db":$n,"swing_cents":$n},{"time_us":$t,"depth_db":$n,"swing_cents":$n,"mean_cents":$n,"choked":true}]}"#,
    r#"{"type":"span-result","seq":$w,"score_version":$w,"span_idx":$w,"n_pulses":$w,"pulse_rate_hz":$n,"depth_db_pp":$n,"timing_ms":$n}"#,
    r#"{"type":"microphone","status":"lost","sample_rate_hz":$n}"#,
    r#"{"type":"check","findings":[],"tone_db":$n,"noise_db":$n}"#,
    r#"{"type":"rest","resting":true}"#,
    r#"{"type":"timing","calibrated":true}"#,
];

/// What a conductor wants.
const CONDUCTOR: [&str; 24] = [
    r#"{"type":"start"}"#,
    r#"{"type":"stop"}"#,
    r#"{"type":"go-on"}"#,
    r#"{"type":"again","at":"bar"}"#,
    r#"{"type":"next","at":"now"}"#,
    r#"{"type":"next","at":"exercise"}"#,
    r#"{"type":"back","at":"beat"}"#,
    r#"{"type":"hold"}"#,
    r#"{"type":"slower"}"#,
    r#"{"type":"faster","at":"beat"}"#,
    r#"{"type":"set-tempo","bpm":20}"#,
    r#"{"type":"set-tempo","bpm":300,"at":"now"}"#,
    r#"{"type":"set-subdivision","per_beat":$w}"#,
    r#"{"type":"set-count-in","bars":$w}"#,
    r#"{"type":"set-note","note":"A4","chair":$w}"#,
    r#"{"type":"set-note","note":null}"#,
    r#"{"type":"set-voicing","voicing":"triad"}"#,
    r#"{"type":"set-turns","turns":"down-the-line"}"#,
    r#"{"type":"set-tuning","tuning":"just"}"#,
    r#"{"type":"choose","exercise":$w,"at":"now"}"#,
    r#"{"type":"set-flow","flow":"go-on"}"#,
    r#"{"type":"step-back"}"#,
    r#"{"type":"check-room","chairs":[$w,$w]}"#,
    r#"{"type":"answer","notice":$w,"answer":"second-takes-over"}"#,
];

impl Choices<'_> {
    fn fill(&mut self, template: &str, now_us: f64) -> String {
        let mut text = String::new();
        let mut pieces = template.split('$');
        text.push_str(pieces.next().unwrap_or_default());
        for piece in pieces {
            let (kind, rest) = piece.split_at(1);
            match kind {
                "t" => text.push_str(&(now_us + self.of(&OFFSETS_US)).clamp(-1e14, 1e14).to_string()),
                "n" => text.push_str(self.of(&NUMBERS)),
                _ => text.push_str(self.of(&WHOLES)),
            }
            text.push_str(rest);
        }
        text
    }

    /// A text that begins with its length.
    fn text(&mut self) -> String {
        let n_bytes = self.next() * 4;
        let (text, rest) = self.0.split_at(n_bytes.min(self.0.len()));
        self.0 = rest;
        String::from_utf8_lossy(text).into_owned()
    }
}

/// Anything in any order: nothing stops the room, and all it says can be read.
pub(super) fn room(bytes: &[u8]) {
    let mut choices = Choices(bytes);
    let section = Name::new("Fuzz").expect("a name");
    let mut room = VirtualRoom::new(section, Hertz::clamped(440.0).expect("a number")).keeping();
    for _ in 0..MAX_EVENTS {
        if choices.0.is_empty() {
            break;
        }
        happen(&mut room, &mut choices);
        for (_, letter) in room.take_letters() {
            comes_back(&letter);
        }
    }
    let picture = room.look().expect("a room has nothing against being looked at");
    comes_back(&*picture);
    comes_back(&room.results());
    room.end();
    for kept in room.take_kept() {
        comes_back(&kept);
    }
}

fn happen(room: &mut VirtualRoom, choices: &mut Choices<'_>) {
    let device = choices.next() % usize::from(N_DEVICES);
    match choices.next() % 16 {
        0 => {
            let name = Name::new(["Wren", "Imogen", "Wren"][device % 3]).expect("a name");
            let hello = hello(&name, Instrument::ALL[device % Instrument::ALL.len()]);
            let _ = room.let_in(device, hello);
        }
        1 => {
            let name = Name::new(&choices.text()).or_else(|_| Name::new("Piers")).expect("a name");
            let mut hello = hello(&name, Instrument::ALL[choices.next() % Instrument::ALL.len()]);
            hello.person = Some(format!("person-{}", choices.next() % 4));
            hello.takes_over = choices.next().is_multiple_of(2);
            let (player_id, token) = (format!("p{device}"), format!("t{}", choices.next() % 4));
            let known = KnownDevice { is_known: choices.next().is_multiple_of(2), ..KnownDevice::default() };
            let _ = room.let_in_as(device, hello, FreshIds { player_id, token }, known);
        }
        2 => {
            let _ = room.let_out(device);
        }
        3..=5 => {
            let template = choices.of(&PLAYER);
            let now_us = room.now_us;
            if let Ok(says) = serde_json::from_str::<PlayerSays>(&choices.fill(template, now_us)) {
                let _ = room.tell(device, says);
            }
        }
        6..=8 => {
            let template = choices.of(&CONDUCTOR);
            if let Ok(command) = serde_json::from_str::<ConductorSays>(&choices.fill(template, 0.0)) {
                let _ = room.command(command);
            }
        }
        9 => {
            let all = built_in(Language::English);
            let _ = room.take_plan(plan::compile(&all[choices.next() % all.len()]));
        }
        10 | 11 => room.now_us = (room.now_us + choices.of(&PASSES_US)).min(1e13),
        12 => {
            let text = choices.text();
            if let Ok(says) = serde_json::from_str::<PlayerSays>(&text) {
                let _ = room.tell(device, says);
            } else if let Ok(command) = serde_json::from_str::<ConductorSays>(&text) {
                let _ = room.command(command);
            }
        }
        13 => {
            let person = |n: usize| Person {
                person_id: format!("person-{n}"),
                name: Name::new(["Wren", "Imogen", "Piers", "Tobias"][n % 4]).expect("a name"),
                instrument: Instrument::ALL[n % Instrument::ALL.len()],
                part: String::new(),
            };
            let people = (0..choices.next() % 5).map(person).collect();
            let _ = room.take_list(Name::new("Section").expect("a name"), people);
        }
        _ => {
            let picture = room.look().expect("a room has nothing against being looked at");
            assert!(picture.lanes.len() <= 256);
            comes_back(&*picture);
        }
    }
}
