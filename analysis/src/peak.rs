//! Where exactly a pulse peaks. The wide smoothing that finds pulses moves the peak of a lopsided one, such as a surge
//! that decays slowly, by a hundredth of its period; near the peak a narrow one does for those. Knows a track and a place.

/// Looked at to both sides, in periods.
const REACH_PERIODS: f64 = 0.15;
/// Half-width of the narrow smoothing, frames.
const NARROW: usize = 2;
/// The higher point found must rise above the wide peak by this share of the pulse's size, and by this many times what
/// the narrow smoothing takes away as noise.
const RISE_SHARE: f64 = 0.02;
const RISE_NOISES: f64 = 2.0;

/// The peak near `top` in an unsmoothed track of pulses of `period` frames and the given size, where it is clearly higher
/// than the track at `top` itself; `None` where `top` is as good.
pub(crate) fn sharper_peak(track: &[f64], top: f64, period: f64, size: f64) -> Option<f64> {
    let reach = (REACH_PERIODS * period) as usize;
    let middle = top.round() as usize;
    if reach <= NARROW || middle < reach + NARROW || middle + reach + NARROW >= track.len() {
        return None;
    }
    let narrow = |i: usize| {
        let weight = |d: usize| 0.5 + 0.5 * (std::f64::consts::PI * d as f64 / (NARROW + 1) as f64).cos();
        let sides = (1..=NARROW).map(|d| weight(d) * (track[i - d] + track[i + d])).sum::<f64>();
        (track[i] + sides) / (NARROW + 1) as f64
    };
    let (mut best, mut highest, mut noise) = (middle, narrow(middle), 0.0);
    for (i, x) in track.iter().enumerate().take(middle + reach + 1).skip(middle - reach) {
        let value = narrow(i);
        noise += (x - value).powi(2);
        if value > highest {
            (best, highest) = (i, value);
        }
    }
    let noise = (noise / (2 * reach + 1) as f64).sqrt();
    let inside = best > middle - reach && best < middle + reach;
    if !inside || highest - narrow(middle) < RISE_SHARE * size + RISE_NOISES * noise {
        return None;
    }
    let (left, right) = (narrow(best - 1), narrow(best + 1));
    let curve = left - 2.0 * highest + right;
    let aside = if curve < 0.0 { (0.5 * (left - right) / curve).clamp(-0.5, 0.5) } else { 0.0 };
    Some(best as f64 + aside)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_surge_peaks_where_it_turns_and_a_wave_stays() {
        let (period, size) = (150.0, 6.0);
        for peak in [100.0, 100.4, 103.0] {
            let surge =
                |i: f64| if i < peak { -size * ((i - peak) / 60.0).powi(2) } else { -0.1 * (i - peak) };
            let track: Vec<f64> = (0..200).map(|i| surge(f64::from(i))).collect();
            // Three frames late, as the wide smoothing finds it; the narrow one still rounds the corner by one.
            let found = sharper_peak(&track, peak + 3.5, period, size).expect("a higher point");
            assert!((found - peak).abs() < 2.0, "{found} for {peak}");
        }
        let wave: Vec<f64> =
            (0..200).map(|i| 3.0 * (std::f64::consts::TAU * (f64::from(i) - 100.0) / period).cos()).collect();
        assert_eq!(sharper_peak(&wave, 101.0, period, size), None);
    }
}
