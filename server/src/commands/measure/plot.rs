//! A picture of one file as SVG: pitch, level and pulses over one time axis. Writes text; must not know how anything was
//! measured. Black, greys and one blue (Okabe-Ito), no colour carries a meaning of its own.

use super::summary::Summary;
use std::fmt::Write;
use windrow_analysis::Pulse;
use windrow_protocol::note::Note;

/// What is drawn.
#[derive(Debug)]
pub(super) struct Drawing<'a> {
    /// Name of the file.
    pub(super) title: &'a str,
    pub(super) summary: &'a Summary,
    /// Seconds and MIDI note number, in order.
    pub(super) pitch: Vec<(f64, f64)>,
    /// Seconds and dB re full scale, in order.
    pub(super) level: Vec<(f64, f64)>,
    pub(super) pulses: &'a [Pulse],
}

const WIDTH: f64 = 960.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 20.0;
/// Top and height of the three panels.
const PITCH: (f64, f64) = (60.0, 180.0);
const LEVEL: (f64, f64) = (270.0, 140.0);
const PULSES: (f64, f64) = (440.0, 110.0);
const HEIGHT: f64 = 600.0;
/// Points further apart than this are not joined: the tone was broken between them.
const JOINED_S: f64 = 0.05;
/// Least range of the pitch panel in cents and of the pulse panel in dB, so that small unrest does not look large.
const MIN_CENTS: f64 = 60.0;
const MIN_DEPTH_DB: f64 = 6.0;
/// Range of the level panel below its loudest moment, dB.
const LEVEL_RANGE_DB: f64 = 48.0;
/// Points of a line at most: two to each tenth of a pixel's width would say no more.
const MAX_POINTS: usize = 4000;

/// The whole picture.
pub(super) fn svg(drawing: &Drawing) -> String {
    let s = drawing.summary;
    let mut out = String::new();
    let title = escaped(drawing.title);
    let about = escaped(&caption(s));
    // Writing to a string cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" \
         height=\"{HEIGHT}\" role=\"img\" font-family=\"sans-serif\" font-size=\"13\" fill=\"#222\">\n\
         <title>{title}: {about}</title>\n\
         <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>\n\
         <text x=\"{LEFT}\" y=\"26\" font-size=\"17\">{title}</text>\n\
         <text x=\"{LEFT}\" y=\"46\">{about}</text>\n"
    );
    let time = Axis { low: 0.0, high: s.duration_s.max(0.1), start: LEFT, length: WIDTH - LEFT - RIGHT };
    pitch_panel(&mut out, drawing, &time);
    level_panel(&mut out, drawing, &time);
    pulse_panel(&mut out, drawing, &time);
    let bottom = PULSES.0 + PULSES.1;
    for t in time.marks(8.0) {
        let x = time.place(t);
        let _ = writeln!(
            out,
            "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
            bottom + 18.0,
            plain(t)
        );
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">seconds</text>\n</svg>",
        WIDTH - RIGHT,
        bottom + 36.0
    );
    out
}

fn caption(s: &Summary) -> String {
    let mut parts = vec![s.state.word().to_owned()];
    parts.extend(s.note.zip(s.centre_cents).map(|(note, cents)| format!("{note} {cents:+.1} cents")));
    parts.extend(s.pulse_rate_hz.map(|hz| format!("{hz:.2} pulses a second")));
    parts.extend(s.depth_db_pp.map(|db| format!("depth {db:.1} dB")));
    parts.extend(s.swing_cents_pp.map(|cents| format!("swing {cents:.0} cents")));
    parts.join(", ")
}

fn pitch_panel(out: &mut String, drawing: &Drawing, time: &Axis) {
    let note = drawing.summary.note.map(Note::midi);
    let from = f64::from(note.unwrap_or(69));
    let points: Vec<(f64, f64)> = drawing.pitch.iter().map(|&(t, midi)| (t, 100.0 * (midi - from))).collect();
    let centre = drawing.summary.centre_cents.unwrap_or(0.0);
    let half = middle_share(&points, centre).max(MIN_CENTS / 2.0) * 1.15;
    let cents = Axis { low: centre - half, high: centre + half, start: PITCH.0 + PITCH.1, length: -PITCH.1 };
    frame(out, PITCH, "pitch, cents", &cents, time);
    if drawing.summary.centre_cents.is_some() {
        let y = cents.place(centre);
        let _ = writeln!(
            out,
            "<line x1=\"{LEFT}\" x2=\"{:.1}\" y1=\"{y:.1}\" y2=\"{y:.1}\" stroke=\"#0072b2\" stroke-dasharray=\"6 4\"/>",
            WIDTH - RIGHT
        );
    }
    curve(out, &points, time, &cents);
}

fn level_panel(out: &mut String, drawing: &Drawing, time: &Axis) {
    let loudest = drawing.level.iter().map(|&(_, db)| db).fold(-LEVEL_RANGE_DB, f64::max);
    let high = loudest + 3.0;
    let db = Axis { low: high - LEVEL_RANGE_DB, high, start: LEVEL.0 + LEVEL.1, length: -LEVEL.1 };
    frame(out, LEVEL, "level, dB", &db, time);
    curve(out, &drawing.level, time, &db);
}

fn pulse_panel(out: &mut String, drawing: &Drawing, time: &Axis) {
    let deepest = drawing.pulses.iter().map(|p| p.depth_db).fold(MIN_DEPTH_DB, f64::max).min(60.0);
    let depth = Axis { low: 0.0, high: deepest * 1.1, start: PULSES.0 + PULSES.1, length: -PULSES.1 };
    frame(out, PULSES, "pulses, depth dB", &depth, time);
    for pulse in drawing.pulses {
        let (x, y) = (time.place(pulse.time_s), depth.place(pulse.depth_db));
        // A broken valley before the pulse is drawn as an open mark, beside being said in the caption.
        let fill = if pulse.choked { "#fff" } else { "#0072b2" };
        let _ = writeln!(
            out,
            "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{:.1}\" y2=\"{y:.1}\" stroke=\"#0072b2\" stroke-width=\"2\"/>\
             <circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.5\" fill=\"{fill}\" stroke=\"#0072b2\" stroke-width=\"1.5\"/>",
            depth.start
        );
    }
}

/// Border, name, value lines and time lines of a panel.
fn frame(out: &mut String, (top, height): (f64, f64), name: &str, values: &Axis, time: &Axis) {
    for value in values.marks(5.0) {
        let y = values.place(value);
        let _ = writeln!(
            out,
            "<line x1=\"{LEFT}\" x2=\"{:.1}\" y1=\"{y:.1}\" y2=\"{y:.1}\" stroke=\"#ddd\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
            WIDTH - RIGHT,
            LEFT - 6.0,
            y + 4.5,
            plain(value)
        );
    }
    for t in time.marks(8.0) {
        let x = time.place(t);
        let _ = writeln!(
            out,
            "<line x1=\"{x:.1}\" x2=\"{x:.1}\" y1=\"{top}\" y2=\"{:.1}\" stroke=\"#eee\"/>",
            top + height
        );
    }
    let _ = writeln!(
        out,
        "<rect x=\"{LEFT}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" fill=\"none\" stroke=\"#888\"/>\n\
         <text transform=\"translate(16 {:.1}) rotate(-90)\" text-anchor=\"middle\">{name}</text>",
        WIDTH - LEFT - RIGHT,
        top + height / 2.0
    );
}

/// A line through points, interrupted where they lie apart; what leaves the panel is held at its edge.
fn curve(out: &mut String, points: &[(f64, f64)], time: &Axis, values: &Axis) {
    let step = points.len().div_ceil(MAX_POINTS).max(1);
    let mut path = String::new();
    let mut last_s = f64::NEG_INFINITY;
    for &(t, value) in points.iter().step_by(step).filter(|p| p.1.is_finite()) {
        let sign = if t - last_s > JOINED_S * step as f64 { 'M' } else { 'L' };
        last_s = t;
        let y = values.place(value.clamp(values.low, values.high));
        let _ = write!(path, "{sign}{:.1} {y:.1}", time.place(t));
    }
    let _ = writeln!(out, "<path d=\"{path}\" fill=\"none\" stroke=\"#222\" stroke-width=\"1.2\"/>");
}

/// How far nineteen of twenty points at most lie from a value: attacks and breaks must not squeeze the rest.
fn middle_share(points: &[(f64, f64)], centre: f64) -> f64 {
    let mut distances: Vec<f64> = points.iter().map(|p| (p.1 - centre).abs()).collect();
    distances.sort_by(f64::total_cmp);
    distances.get(distances.len() * 19 / 20).copied().unwrap_or(0.0)
}

/// Values along a length on the picture.
#[derive(Debug, Clone, Copy)]
struct Axis {
    low: f64,
    high: f64,
    start: f64,
    length: f64,
}

impl Axis {
    fn place(&self, value: f64) -> f64 {
        self.start + (value - self.low) / (self.high - self.low) * self.length
    }

    /// Round values (1, 2 or 5 times a power of ten), about `n` of them.
    fn marks(&self, n: f64) -> Vec<f64> {
        let rough = (self.high - self.low) / n;
        let power = 10f64.powf(rough.log10().floor());
        let step =
            [1.0, 2.0, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= rough).unwrap_or(rough);
        let first = (self.low / step).ceil() as i64;
        let last = (self.high / step).floor() as i64;
        (first..=last).map(|i| i as f64 * step).collect()
    }
}

/// A number without needless digits or a negative nought.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    // Control characters are not allowed in XML at all.
    let text: String = text.chars().filter(|c| !c.is_control()).collect();
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use windrow_analysis::Capture;
    use windrow_protocol::judge::State;

    fn summary() -> Summary {
        Summary {
            duration_s: 2.0,
            sample_rate_hz: 48_000,
            note: Note::from_midi(69),
            f0_hz: Some(440.0),
            centre_cents: Some(0.0),
            upper_cents: None,
            pulse_rate_hz: Some(5.0),
            depth_db_pp: Some(6.0),
            swing_cents_pp: Some(10.0),
            evenness_cv: None,
            drift_cents_per_10s: None,
            pulse_times_s: vec![1.0],
            timing_ms: None,
            spread_ms: None,
            state: State::Matched,
            trusted: true,
            first_trusted_s: None,
            capture: Capture::default(),
        }
    }

    fn pulse(time_s: f64, choked: bool) -> Pulse {
        Pulse {
            time_s,
            depth_db: 6.0,
            swing_cents: 10.0,
            mean_midi: Some(69.0),
            top_midi: None,
            valley_db: -6.0,
            choked,
        }
    }

    #[test]
    fn a_pulse_stands_at_its_time_and_a_break_in_the_tone_shows() {
        let summary = summary();
        let pulses = [pulse(1.0, false)];
        let pitch = vec![(0.5, 69.0), (0.52, 69.0), (1.5, 69.0)];
        let level = vec![(0.5, -20.0), (0.52, f64::NAN)];
        let svg = svg(&Drawing { title: "a<b>&.wav", summary: &summary, pitch, level, pulses: &pulses });
        // Half of 2 s on the axis from 70 to 940.
        assert!(svg.contains("<circle cx=\"505.0\""), "{svg}");
        assert_eq!(svg.matches("<circle").count(), 1);
        let pitch = svg.lines().find(|l| l.starts_with("<path")).unwrap();
        assert_eq!((pitch.matches('M').count(), pitch.matches('L').count()), (2, 1), "{pitch}");
        assert!(svg.contains("a&lt;b&gt;&amp;.wav") && !svg.contains("NaN"), "{svg}");
    }

    #[test]
    fn marks_are_round_and_within() {
        let axis = Axis { low: -34.5, high: 34.5, start: 0.0, length: 100.0 };
        assert_eq!(axis.marks(5.0), [-20.0, 0.0, 20.0]);
        let axis = Axis { low: 0.0, high: 2.0, start: 0.0, length: 100.0 };
        assert_eq!(axis.marks(8.0).len(), 5);
    }
}
