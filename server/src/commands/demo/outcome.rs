//! What the room says of each invented player, beside what the player was made to do. The names of the fields are what
//! scripts rely on. Must not know how a state came about.

use crate::commands::columns::{quantity, signed};
use crate::player::SimulatedPlayer;
use anyhow::Context;
use serde::Serialize;
use windrow_protocol::messages::Snapshot;
use windrow_protocol::units::{Cents, Decibels, Hertz};

/// One player at the end of a demonstration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Outcome {
    /// Name.
    pub player: String,
    /// Such as "flute 2".
    pub part: String,
    /// The state the sound was made to have.
    pub intended: &'static str,
    /// The state on the conductor's page.
    pub state: &'static str,
    /// Pulses a second.
    pub pulse_rate_hz: Option<f64>,
    /// Pitch centre, cents from the note.
    pub centre_cents: Option<f64>,
    /// Peak over valley.
    pub depth_db_pp: Option<f64>,
    /// Excursion of the pitch, peak to peak.
    pub swing_cents_pp: Option<f64>,
    /// Whether the newest reading may be judged by.
    pub trusted: bool,
}

impl Outcome {
    /// Finds each player's lane by name, in the players' order.
    pub(super) fn of_all(players: &[SimulatedPlayer], room: &Snapshot) -> anyhow::Result<Vec<Self>> {
        let outcome = |player: &SimulatedPlayer| {
            let lane = room.lanes.iter().find(|lane| lane.name == player.name);
            let lane = lane.with_context(|| format!("{} is not in the room", player.name.as_str()))?;
            Ok(Self {
                player: player.name.as_str().to_owned(),
                part: lane.part.clone(),
                intended: player.habit.intended().word(),
                state: lane.state.word(),
                pulse_rate_hz: lane.pulse_rate_hz.map(Hertz::get),
                centre_cents: lane.centre_cents.map(Cents::get),
                depth_db_pp: lane.depth_db_pp.map(Decibels::get),
                swing_cents_pp: lane.swing_cents_pp.map(Cents::get),
                trusted: lane.trusted,
            })
        };
        players.iter().map(outcome).collect()
    }

    /// One line.
    pub(super) fn to_json(&self) -> String {
        serde_json::to_string(self).expect("numbers and text always have a JSON form")
    }
}

/// A header and one row a player.
pub(super) fn rows(outcomes: &[Outcome]) -> Vec<Vec<String>> {
    let head = ["player", "part", "intended", "state", "pulses", "centre", "depth", "swing", "trusted"];
    let row = |o: &Outcome| {
        vec![
            o.player.clone(),
            o.part.clone(),
            o.intended.to_owned(),
            o.state.to_owned(),
            quantity(o.pulse_rate_hz, 2, "Hz"),
            signed(o.centre_cents, 0, "cents"),
            quantity(o.depth_db_pp, 1, "dB"),
            quantity(o.swing_cents_pp, 0, "cents"),
            if o.trusted { "yes" } else { "no" }.to_owned(),
        ]
    };
    std::iter::once(head.map(str::to_owned).to_vec()).chain(outcomes.iter().map(row)).collect()
}
