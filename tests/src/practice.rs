//! A practice as a device hands it in: a simulated player alone in a room, by the rules of every rehearsal and in a time of its own.

use serde_json::{Value, json};
use windrow::player::{RehearsedDevice, SimulatedSound, larkmoor};
use windrow_protocol::PROTOCOL_VERSION;
use windrow_protocol::messages::{ConductorSays, Moment};
use windrow_protocol::units::Hertz;
use windrow_room::{Kept, VirtualRoom, hello};

/// Time passes in steps of this length.
const STEP_US: f64 = 40_000.0;
/// Steps from one look of the room to the next.
const STEPS_PER_LOOK: u32 = 5;

/// What the first of Larkmoor's flutes, who is matched, kept of half a minute of eighths at 60.
///
/// # Panics
/// When the room has something against it.
pub fn kept() -> Vec<Kept> {
    let player = larkmoor::players().swap_remove(0);
    let mut room = VirtualRoom::new(player.name.clone(), Hertz::new(440.0).expect("a tuning")).keeping();
    let mut device = RehearsedDevice::new(Box::new(SimulatedSound::new(&player, 440.0)));
    room.let_in(0, hello(&player.name, player.instrument)).expect("there is room for one");
    // From quarters, the warm-up's second exercise, to eighths.
    for says in [ConductorSays::Next { at: Moment::Bar }, ConductorSays::Start] {
        room.command(says).expect("nothing plays yet");
    }
    let mut kept = Vec::new();
    for step in 1..=1100u32 {
        room.now_us = f64::from(step) * STEP_US;
        if step == 750 {
            room.command(ConductorSays::Stop { at: Moment::Now }).expect("it plays");
        }
        for (_, message) in room.take_letters() {
            device.take(message).expect("the simulated sound can be analysed");
        }
        for says in device.hear(room.now_us) {
            room.tell(0, says).expect("the device is in");
        }
        if step % STEPS_PER_LOOK == 0 {
            room.look().expect("a room can be looked at");
        }
        kept.extend(room.take_kept());
    }
    room.end();
    kept.extend(room.take_kept());
    kept
}

/// The same as it is handed in.
#[must_use]
pub fn body(origin_id: &str, began_unix_ms: i64, kept: &[Kept]) -> Value {
    json!({
        "origin_id": origin_id,
        "began_unix_ms": began_unix_ms,
        "invented": false,
        "plan_title": "",
        "protocol_version": PROTOCOL_VERSION,
        "name": "Imogen",
        "instrument": "flute",
        "kept": kept,
    })
}
