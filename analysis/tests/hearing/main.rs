//! The analyser as a whole against sound whose truth is known.
//!
//! - `truth`: hearing a sound and comparing with what it was made from.
//! - `accuracy`: pitch, rate, depth, swing, timing over the range, with the limits asked for.
//! - `behaviour`: straight tones, choked valleys, note changes, references; what must not be said.
//! - `contour`: spans, eases and hairpins.
//! - `capture`: what is said of the microphone's path; `microphones` simulates such paths.
//! - `calibration`: a device's own delay, on simulated recordings; `leaks` puts clicks into sounds.
//! - `clicks`: the tick in the microphone, found and taken out; `leak_figures` prints what that does.
//! - `high_pass`: phones that cut off the bass.
//! - `neighbours`: one player among others.
//! - `properties`: cuts, loudness, hostile samples.
//! - `allocation`: none after the start.
//!
//! Truth is the formula a tone was made by (`windrow_analysis::signals`), never a stored output of the analyser.

mod accuracy;
mod allocation;
mod behaviour;
mod calibration;
mod capture;
mod clicks;
mod contour;
mod high_pass;
mod leak_figures;
mod leaks;
mod microphones;
mod neighbours;
mod properties;
mod truth;
