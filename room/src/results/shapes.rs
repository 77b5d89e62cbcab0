//! Shapes that a player's pulses make over time: how vibrato is eased in, and how it follows a hairpin. Pure arithmetic on
//! times and sizes; knows no rooms, scores or messages.

use super::super::statistics::{median, spearman};

/// Pulses a hairpin is told from at least, and the least range of its loudness, dB: under it there is nothing to follow. The
/// same as `windrow measure` asks.
const HAIRPIN_PULSES: usize = 6;
const HAIRPIN_DB: f64 = 3.0;
/// Pulses that an ease is told from at least.
const EASE_PULSES: usize = 3;
/// An interval of more than this many median intervals is a breath, not a slow pulse (our own choice, as the devices do).
const BREATH_INTERVALS: f64 = 1.8;
/// Loudness is a mean over at least this long, so that a reading within a pulse does not stand for its peak or its valley.
const LEAST_MEAN_US: f64 = 0.5e6;

/// When a pulse was, and how deep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Depth {
    pub(super) time_us: f64,
    pub(super) depth_db: f64,
}

/// Intervals between neighbouring pulses, without those across a breath.
pub(super) fn played_intervals_us(times_us: impl IntoIterator<Item = f64>) -> Vec<f64> {
    let times: Vec<f64> = times_us.into_iter().collect();
    let mut intervals: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    if let Some(usual) = median(&mut intervals.clone()) {
        intervals.retain(|&us| us <= BREATH_INTERVALS * usual);
    }
    intervals
}

/// When the depth passes 10 and 90 % of its full value on its way up. `growing` are the pulses from the beginning of the growth,
/// at `from_us`, on; `full` those after it, whose median is the full depth. The last way up counts: what fell back
/// before was no growth.
pub(super) fn ease_us(from_us: f64, growing: &[Depth], full: &[Depth]) -> Option<(f64, f64)> {
    if growing.len() + full.len() < EASE_PULSES || growing.is_empty() {
        return None;
    }
    let all: Vec<Depth> = growing.iter().chain(full).copied().collect();
    let period_us = median(&mut played_intervals_us(all.iter().map(|p| p.time_us)))?;
    // Where nobody plays on, the growth's last two pulses have to do.
    let last = &growing[growing.len().saturating_sub(2)..];
    let of_full = if full.is_empty() { last } else { full };
    let full_db = median(&mut of_full.iter().map(|p| p.depth_db).collect::<Vec<_>>())?;
    if full_db <= 0.0 {
        return None;
    }
    // The tone is straight up to one pulse before the first.
    let straight =
        Depth { time_us: (all[0].time_us - period_us).max(from_us.min(all[0].time_us)), depth_db: 0.0 };
    let way: Vec<Depth> = std::iter::once(straight).chain(all).collect();
    let top = way.iter().position(|p| p.depth_db >= 0.9 * full_db)?;
    let foot = way[..top].iter().rposition(|p| p.depth_db <= 0.1 * full_db)?;
    Some((crossing(way[foot], way[foot + 1], 0.1 * full_db), crossing(way[top - 1], way[top], 0.9 * full_db)))
}

/// Where the line between two points passes a depth.
fn crossing(a: Depth, b: Depth, depth_db: f64) -> f64 {
    let share =
        if b.depth_db > a.depth_db { (depth_db - a.depth_db) / (b.depth_db - a.depth_db) } else { 1.0 };
    a.time_us + share.clamp(0.0, 1.0) * (b.time_us - a.time_us)
}

/// How depth and rate follow the loudness.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Following {
    pub(super) depth: Option<f64>,
    pub(super) rate: Option<f64>,
    /// When it was loudest.
    pub(super) peak_us: Option<f64>,
}

/// Rank correlations of depth and of the rate about each pulse with the loudness about it, and the loudest moment; nothing
/// where there are too few pulses or hardly a hairpin. Levels in order of time.
pub(super) fn following(pulses: &[Depth], levels: &[(f64, f64)]) -> Following {
    let times: Vec<f64> = pulses.iter().map(|p| p.time_us).collect();
    let Some(period_us) = median(&mut played_intervals_us(times.iter().copied())) else {
        return Following::default();
    };
    let half_us = period_us.max(LEAST_MEAN_US) / 2.0;
    let loudness = |at_us: f64| mean_level_db(levels, at_us - half_us, at_us + half_us);
    let louds: Vec<(usize, f64)> = (0..pulses.len()).filter_map(|i| Some((i, loudness(times[i])?))).collect();
    let low = louds.iter().map(|l| l.1).fold(f64::INFINITY, f64::min);
    let high = louds.iter().map(|l| l.1).fold(f64::NEG_INFINITY, f64::max);
    if louds.len() < HAIRPIN_PULSES || high - low < HAIRPIN_DB {
        return Following::default();
    }
    let depth: Vec<(f64, f64)> = louds.iter().map(|&(i, db)| (db, pulses[i].depth_db)).collect();
    // The rate about a pulse is that of its two intervals; where one is a breath, there is none.
    let rate: Vec<(f64, f64)> = louds
        .iter()
        .filter(|&&(i, _)| i > 0 && i + 1 < times.len())
        .map(|&(i, db)| (db, times[i] - times[i - 1], times[i + 1] - times[i]))
        .filter(|&(_, before, after)| before.max(after) <= BREATH_INTERVALS * before.min(after))
        .map(|(db, before, after)| (db, 2.0 / (before + after)))
        .collect();
    let loudest = levels.iter().filter_map(|&(us, _)| Some((us, loudness(us)?)));
    let peak_us = loudest.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(us, _)| us);
    Following {
        depth: spearman(&depth),
        rate: spearman(&rate).filter(|_| rate.len() >= HAIRPIN_PULSES),
        peak_us,
    }
}

/// Mean level from one time to another, in dB: loudness goes by ratios.
fn mean_level_db(levels: &[(f64, f64)], from_us: f64, to_us: f64) -> Option<f64> {
    let first = levels.partition_point(|l| l.0 < from_us);
    let within = levels[first..].iter().take_while(|l| l.0 <= to_us);
    let (n, sum) = within.fold((0.0, 0.0), |(n, sum), l| (n + 1.0, sum + l.1));
    (n > 0.0).then(|| sum / n)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pulses every quarter of a second from a time on, s, with these depths.
    fn pulses(from_s: f64, depths_db: impl IntoIterator<Item = f64>) -> Vec<Depth> {
        let pulse = |(i, depth_db)| Depth { time_us: (from_s + 0.25 * i as f64) * 1e6, depth_db };
        depths_db.into_iter().enumerate().map(pulse).collect()
    }

    #[test]
    fn a_straight_line_takes_eight_tenths_of_its_way() {
        // From nothing at 0 s to 8 dB at 8 s: 10 % at 0.8 s, 90 % at 7.2 s.
        let growing = pulses(0.0, (0..32).map(|i| f64::from(i) * 0.25));
        let full = pulses(8.0, [8.0; 8]);
        let (from_us, to_us) = ease_us(0.0, &growing, &full).unwrap();
        assert!((from_us - 0.8e6).abs() < 1.0 && (to_us - 7.2e6).abs() < 1.0, "{from_us} {to_us}");
    }

    #[test]
    fn a_switch_takes_less_than_a_pulse() {
        let (from_us, to_us) = ease_us(0.0, &pulses(1.0, [8.0; 8]), &pulses(3.0, [8.0; 4])).unwrap();
        assert!((to_us - from_us - 0.2e6).abs() < 1.0, "{from_us} {to_us}");
    }

    #[test]
    fn two_pulses_show_no_growth() {
        assert_eq!(ease_us(0.0, &pulses(0.0, [2.0]), &pulses(0.25, [4.0])), None);
        assert_eq!(ease_us(0.0, &[], &pulses(0.25, [4.0; 8])), None);
    }

    #[test]
    fn a_breath_is_no_slow_pulse() {
        let intervals = played_intervals_us([0.0, 1.0, 2.0, 6.0, 7.0]);
        assert_eq!(intervals, [1.0, 1.0, 1.0]);
    }

    /// Ten levels a second over eight seconds, loudest by 12 dB at `peak_s`; each swings by 6 dB four times a second, as pulses do.
    fn hairpin(peak_s: f64) -> Vec<(f64, f64)> {
        let level = |i: i32| {
            let s = f64::from(i) / 10.0;
            let share = if s < peak_s { s / peak_s } else { (8.0 - s) / (8.0 - peak_s) };
            (s * 1e6, -36.0 + 12.0 * share + 3.0 * (std::f64::consts::TAU * 4.0 * s).sin())
        };
        (0..80).map(level).collect()
    }

    #[test]
    fn depth_that_grows_and_shrinks_with_the_loudness_follows_it() {
        let depth = |i: i32| 2.0 + f64::from(16 - (16 - i).abs()) / 4.0;
        let followed = following(&pulses(0.0, (0..32).map(depth)), &hairpin(4.0));
        assert!(followed.depth.unwrap() > 0.95, "{followed:?}");
        assert!((followed.peak_us.unwrap() - 4e6).abs() < 0.5e6, "{followed:?}");
        assert_eq!(followed.rate, None, "every interval is the same");
        let against = following(&pulses(0.0, (0..32).map(|i| 8.0 - depth(i))), &hairpin(4.0));
        assert!(against.depth.unwrap() < -0.95, "{against:?}");
    }

    #[test]
    fn a_rate_that_follows_is_found() {
        // Intervals shrink from 0.3 to 0.2 s up to the peak and grow again.
        let mut time_s = 0.0;
        let mut played = Vec::new();
        while time_s < 7.9 {
            played.push(Depth { time_us: time_s * 1e6, depth_db: 4.0 });
            time_s += 0.2 + 0.1 * (time_s - 4.0).abs() / 4.0;
        }
        let followed = following(&played, &hairpin(4.0));
        assert!(followed.rate.unwrap() > 0.9 && followed.depth.is_none(), "{followed:?}");
    }

    #[test]
    fn an_even_loudness_is_not_followed() {
        let even: Vec<(f64, f64)> = hairpin(4.0).into_iter().map(|(us, _)| (us, -30.0)).collect();
        assert_eq!(following(&pulses(0.0, [4.0; 32]), &even), Following::default());
    }
}
