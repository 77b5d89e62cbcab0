//! What the tools beside the program read from the command line and print.

use serde::Serialize;
use serde_json::Value;
use std::ops::RangeInclusive;

/// A number of an option that may lie in a range.
///
/// # Errors
/// In words, when it is no number or lies outside.
pub fn number_in(word: &str, range: RangeInclusive<f64>) -> Result<f64, String> {
    let value: f64 = word.parse().map_err(|_| format!("{word} is no number"))?;
    let (low, high) = (range.start(), range.end());
    if range.contains(&value) { Ok(value) } else { Err(format!("it must be from {low} to {high}")) }
}

/// Figures as JSON, to the thousandth.
///
/// # Panics
/// Never with what derives `Serialize` and has names of text.
pub fn rounded(figures: &impl Serialize) -> Value {
    fn round(value: &mut Value) {
        match value {
            Value::Number(n) if n.is_f64() => {
                *value = serde_json::json!(n.as_f64().map(|x| (1000.0 * x).round() / 1000.0));
            }
            Value::Array(values) => values.iter_mut().for_each(round),
            Value::Object(fields) => fields.values_mut().for_each(round),
            _ => {}
        }
    }
    let mut value = serde_json::to_value(figures).expect("figures are plain");
    round(&mut value);
    value
}
