//! What a room check found, for the conductor's page. Plain data; how it is found is the room's work.

use crate::phrase::Phrase;
use crate::units::{Decibels, Name};
use serde::{Deserialize, Serialize};

/// What each device hears of its own player, of the room, and of every other player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RoomCheck {
    /// Counts up with every change.
    pub version: u32,
    /// Chairs in order.
    pub chairs: Vec<CheckedChair>,
    /// Pairs of chairs of which one device hears the other player nearly as loud as its own, or louder.
    pub too_close: Vec<[u16; 2]>,
    /// What to do about it, in words; what matters first.
    pub advice: Vec<Phrase>,
}

/// What a room check found at one chair. Levels are dB re full scale of that chair's device: they compare within a row,
/// not between devices.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckedChair {
    /// Seat, from 1.
    pub chair: u16,
    /// Name.
    pub name: Name,
    /// Such as "flute 2".
    pub part: String,
    /// In one word.
    pub finding: Finding,
    /// The player's own note.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub own_db: Option<Decibels>,
    /// The room while nobody plays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub noise_db: Option<Decibels>,
    /// Own note over the loudest neighbour; over the noise where no neighbour is heard.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apart_db: Option<f64>,
    /// The loudest neighbour.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loudest: Option<u16>,
    /// Every neighbour that is heard here over the noise.
    pub leaks: Vec<Leak>,
}

/// A neighbour as heard by somebody else's device, without the noise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Leak {
    /// Who is heard.
    pub chair: u16,
    /// How loud.
    pub level_db: Decibels,
}

/// What a room check says of one chair.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finding {
    /// Had no turn yet.
    NotChecked,
    /// The device has left.
    Away,
    /// The device may not or cannot listen.
    NoMicrophone,
    /// Nothing was heard in the turn, here or anywhere.
    Silent,
    /// Others heard the player, the own device did not.
    NotHeard,
    /// The device hears somebody else louder than its own player.
    OtherIsLouder,
    /// The device turns its level by itself: louder while its player is silent, so that neighbours seem nearer than they are.
    TurnsLevel,
    /// A neighbour is heard nearly as loud.
    TooClose,
    /// The room is nearly as loud as the player.
    Noisy,
    /// The own player stands out.
    Clear,
}
